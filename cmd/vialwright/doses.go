package main

import (
	"context"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"vialwright/casefile"
	"vialwright/fact"
	"vialwright/journal"
)

// dosesCmd writes the report of a dosimetry service into a journal.
type dosesCmd struct {
	File    string `arg:"" help:"The report as CSV; - reads standard input."`
	Journal string `required:"" placeholder:"JOURNAL" help:"The journal, a PATH or postgres://..."`
	By      string `required:"" placeholder:"WHO" help:"Who answers for this import."`
}

// doseColumns are the columns of a report, as its first line names them.
var doseColumns = []string{"who", "dosemeter", "worn", "from", "to", "measured", "report"}

func (dosesCmd) Help() string {
	return `Reads the report of a dosimetry service and writes each line as an entry, or none. The first line names the columns, in any order:

  ` + strings.Join(doseColumns, ",") + `
  rp-3,R-117,ring,2027-02-01T00:00,2027-03-01T00:00,4.2 mSv,2027-02

worn is body, ring, fingertip, lens or fetus; a dose has its unit; a time without an offset is in the zone of the site. A line that is in the journal already is refused with all others.

` + whereHelp
}

func (c *dosesCmd) Run(e *edge) error {
	data, err := e.readFile(c.File, casefile.MaxBytes)
	if err != nil {
		return err
	}
	ctx := context.Background()
	log, err := openToWrite(ctx, c.Journal)
	if err != nil {
		return journalError(c.Journal, err)
	}
	defer log.Close()
	if err := asNotedBeside(ctx, log, c.Journal, "", e); err != nil {
		return journalError(c.Journal, err)
	}
	books, report, err := booksOf(ctx, log)
	if err != nil {
		return journalError(c.Journal, err)
	}
	zone, err := zoneOf(books.Records(nil))
	if err != nil {
		return journalError(c.Journal, err)
	}
	facts, err := c.reports(data, zone.String())
	if err != nil {
		return err
	}
	for _, r := range books.Kept(func(f fact.Fact) bool { _, report := f.(*fact.DoseReport); return report }) {
		for i, f := range facts {
			if again(r.Fact, f) {
				return usageError("%s: the report of line %d is in %s already, as entry %d; nothing was written", c.File, i+2, shown(c.Journal), r.N)
			}
		}
	}
	head, err := sealBehind(ctx, log, report.Head, journal.Entered(facts, e.now(), c.By, books.Len()+1))
	if err != nil {
		return journalError(c.Journal, err)
	}
	fmt.Fprintf(e.out, "%d reports written to %s\nhead %d %x\n", len(facts), shown(c.Journal), head.Seq, head.Hash)
	return nil
}

// again tells that two reports are of one dosemeter, person and period.
func again(a, b fact.Fact) bool {
	was, ok := a.(*fact.DoseReport)
	now, also := b.(*fact.DoseReport)
	return ok && also && was.Dosemeter == now.Dosemeter && was.Who == now.Who && was.From.Equal(now.From) && was.To.Equal(now.To)
}

// reports reads the lines as a case file would have them.
func (c *dosesCmd) reports(data []byte, zone string) ([]fact.Fact, error) {
	rows, err := csv.NewReader(strings.NewReader(strings.TrimPrefix(string(data), "\uFEFF"))).ReadAll()
	if err != nil {
		return nil, usageError("%s: %v; write it as comma-separated values", c.File, err)
	}
	if len(rows) < 2 {
		return nil, usageError("%s holds no report; its first line names the columns %s", c.File, strings.Join(doseColumns, ", "))
	}
	for _, name := range rows[0] {
		if !slices.Contains(doseColumns, strings.TrimSpace(name)) {
			return nil, usageError("%s: no column is called %q; they are %s", c.File, name, strings.Join(doseColumns, ", "))
		}
	}
	var out []fact.Fact
	for n, row := range rows[1:] {
		fields := map[string]string{}
		for i, text := range row {
			if text = strings.TrimSpace(text); text != "" {
				fields[strings.TrimSpace(rows[0][i])] = text
			}
		}
		text, err := json.Marshal(map[string]any{"case": 1, "zone": zone, "entries": []any{map[string]any{"dose-report": fields}}})
		if err != nil {
			return nil, err
		}
		f, err := casefile.Decode(text, loadZone)
		if err != nil {
			return nil, usageError("%s, line %d: %v", c.File, n+2, err)
		}
		out = append(out, f.Facts[len(f.Facts)-1])
	}
	return out, nil
}
