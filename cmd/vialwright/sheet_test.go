package main

import (
	"bytes"
	"os"
	"strings"
	"testing"
	"time"

	"vialwright/casefile"
	"vialwright/dispensing"
	"vialwright/fold"
	"vialwright/paper"
)

// sameBooks are changes of the examples, in pairs, by name.
var sameBooks = map[string][]string{
	"normal":           nil,
	"stopped":          {"reason: complete", "reason: stasis", "6.4 uSv/h", "64 uSv/h", "6.2 uSv/h", "62 uSv/h", "6.6 uSv/h", "66 uSv/h"},
	"given not at all": {"reason: complete", "reason: stasis", "6.4 uSv/h", "174 uSv/h", "6.2 uSv/h", "174.2 uSv/h", "6.6 uSv/h", "174.3 uSv/h"},
	"slipped":          {"gross: 1.85 GBq", "gross: 18.5 GBq", "gross: 2.62 GBq", "gross: 26.2 GBq"},
	"digits swapped":   {"gross: 1.85 GBq", "gross: 1.58 GBq", "gross: 2.62 GBq", "gross: 2.26 GBq"},
}

// The page of reckon and the sheet of each order say the same of the same
// books: every figure of the sheet stands on the page in the same words.
func TestSheetSaysWhatReckonSays(t *testing.T) {
	for _, file := range []string{"one-patient.yaml", "two-territories.yaml"} {
		data, err := os.ReadFile("../../examples/" + file)
		if err != nil {
			t.Fatal(err)
		}
		for name, changes := range sameBooks {
			t.Run(file+" "+name, func(t *testing.T) {
				f, err := casefile.Decode([]byte(strings.NewReplacer(changes...).Replace(string(data))), loadZone)
				if err != nil {
					t.Fatal(err)
				}
				c, err := fold.File(f)
				if err != nil {
					t.Fatal(err)
				}
				r := dispensing.Reckon(c, time.Time{})
				var b bytes.Buffer
				if err := written(&b, c.Zone, func(p *page) { p.reckoned(file, c, r, nil, false) }); err != nil {
					t.Fatal(err)
				}
				page := strings.Join(strings.Fields(b.String()), " ")
				for _, o := range c.Orders {
					n := 0
					for _, figure := range figuresOf(paper.FromResult(c, r, o.ID, paper.Record{Software: "test", Made: r.At})) {
						if n++; !strings.Contains(page, figure) {
							t.Errorf("order %s: the sheet says %q, and the page does not:\n%s", o.ID, figure, b.String())
						}
					}
					if n < 3 {
						t.Errorf("order %s: only %d figures were compared", o.ID, n)
					}
				}
			})
		}
	}
}

// figuresOf are the figures of a sheet that the page has too.
func figuresOf(s paper.Sheet) (out []string) {
	both := map[string]bool{"Dispensed": true, "Delivered": true, "To draw A_d": true, "Target": true, "Prescribed A_p": true}
	for _, section := range s.Sections {
		for _, r := range section.Rows {
			value := strings.TrimSpace(r.Value + " " + r.Unit)
			if r.U != "" {
				value = r.Value + " ± " + r.U + " " + r.Unit
			}
			switch {
			case both[r.Label], strings.HasSuffix(r.Label, " as received"), r.Label == "95 % interval", r.Label == "Volume from vial S1", strings.HasPrefix(r.Label, "Valid "):
				out = append(out, value)
			case r.Label == "Decision":
				verdict, _, _ := strings.Cut(value, " (")
				out = append(out, verdict)
			}
		}
		for _, t := range section.Tables {
			if t.Heads[0] == "Container" {
				for _, row := range t.Cells {
					out = append(out, row[0]+" "+row[2])
				}
			}
			if t.Heads[0] == "Severity" {
				for _, row := range t.Cells {
					out = append(out, strings.TrimSuffix(row[2][1:], "."))
				}
			}
		}
	}
	return out
}
