package casefile_test

import (
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"vialwright/casefile"
	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/fold"
	"vialwright/quantity"
)

// q states a quantity that the test writes itself.
func q[Q quantity.Kind](text string) quantity.Stated[Q] {
	s, err := quantity.Parse[Q](text)
	if err != nil {
		panic(err)
	}
	return s
}

// local is a time of day on the day of the scenario, in the Azores in winter.
func local(clock string) time.Time {
	t, err := quantity.ParseTime("2027-03-04T"+clock+"-01:00", nil)
	if err != nil {
		panic(err)
	}
	return t
}

// worked gives the facts of the worked example.
func worked(tb testing.TB) []fact.Fact {
	tb.Helper()
	return decode(tb, file(tb, "worked.yaml")).Facts
}

// file reads a file of testdata.
func file(tb testing.TB, name string) []byte {
	tb.Helper()
	data, err := os.ReadFile("../casefile/testdata/" + name)
	if err != nil {
		tb.Fatal(err)
	}
	return data
}

// decode reads a case file that must be sound.
func decode(tb testing.TB, data []byte) *casefile.File {
	tb.Helper()
	f, err := casefile.Decode(data, time.LoadLocation)
	if err != nil {
		tb.Fatal(err)
	}
	return f
}

// caseOf is a case file with the header of the worked example.
func caseOf(tb testing.TB, lines ...string) []byte {
	tb.Helper()
	head, _, _ := strings.Cut(string(file(tb, "worked.yaml")), "entries:\n")
	return []byte(head + "entries:\n  - " + strings.Join(lines, "\n  - ") + "\n")
}

const (
	theOrder    = "order: {id: P1, prescribed: 1.30 GBq, at: 2027-03-04T13:30, residual: 2 %}"
	theVial     = "receive: {vial: S1, lot: L-0311, labelled: 3.0 GBq, reference: 2027-03-04T18:00, volume: 5.0 mL}"
	theDraw     = "draw: {from: S1, into: Y1, for: P1, at: 2027-03-04T11:10, volume: 2.2 mL}"
	theTransfer = "transfer: {from: Y1, into: A1, at: 2027-03-04T11:20}"
	theResidual = "residual: {for: P1, before: {at: 2027-03-04T11:30, rate: 182 uSv/h, background: 0.2 uSv/h}, after: {at: 2027-03-04T15:12, rate: 6.4 uSv/h, background: 0.2 uSv/h}}"
)

// foldLines folds the worked example's header with other entries, one a line.
func foldLines(tb testing.TB, lines ...string) dispensing.Case {
	tb.Helper()
	c, err := fold.File(decode(tb, caseOf(tb, lines...)))
	if err != nil {
		tb.Fatal(err)
	}
	return c
}

func meterOf(g fact.Geometry) *fact.Meter {
	return &fact.Meter{
		ID: "M1", CalibrationU: q[quantity.Fraction]("2 %"), Repeatability: q[quantity.Fraction]("1 %"),
		Geometry: &fact.Geometries{Syringe: []fact.Geometry{g}},
	}
}

// refusals reads the table: "== name", the file, "-- code", the message.
func refusals(tb testing.TB) []refusal {
	tb.Helper()
	sections := regexp.MustCompile(`(?m)^=([=+]) (.*)\n`)
	text := string(file(tb, "refused.txt"))
	at := sections.FindAllStringSubmatchIndex(text, -1)
	preamble := ""
	var out []refusal
	for i, m := range at {
		end := len(text)
		if i+1 < len(at) {
			end = at[i+1][0]
		}
		r := refusal{name: text[m[4]:m[5]]}
		body, rest, found := strings.Cut(text[m[1]:end], "-- ")
		r.file = bytesOf(body)
		if r.name == "preamble" {
			preamble = r.file
			continue
		}
		if !found {
			tb.Fatalf("%s: no -- line", r.name)
		}
		if text[m[2]] == '+' {
			r.file = strings.TrimRight(preamble, "\n") + "\n" + r.file
		}
		r.code, r.message, _ = strings.Cut(strings.TrimRight(rest, "\n"), "\n")
		out = append(out, r)
	}
	return out
}

// cachedZones loads each zone once, as a long-running program does.
func cachedZones() fact.Zones {
	known := map[string]*time.Location{}
	return func(name string) (*time.Location, error) {
		if z := known[name]; z != nil {
			return z, nil
		}
		z, err := time.LoadLocation(name)
		if err == nil {
			known[name] = z
		}
		return z, err
	}
}

// refusedBy decodes and folds.
func refusedBy(data string) error {
	f, err := casefile.Decode([]byte(data), time.LoadLocation)
	if err == nil {
		_, err = fold.File(f)
	}
	return err
}

func decoded(tb testing.TB, text string) dispensing.Case {
	tb.Helper()
	f, err := casefile.Decode([]byte(text), time.LoadLocation)
	if err != nil {
		tb.Fatal(err)
	}
	return mustFold(tb, f.Facts)
}

// refusal is a case of testdata/refused.txt.
type refusal struct {
	name, file, code, message string
}

// bytesOf writes \xHH of the table as one byte.
func bytesOf(s string) string {
	return byteEscape.ReplaceAllStringFunc(s, func(e string) string {
		b, _ := strconv.ParseUint(e[2:], 16, 8)
		return string([]byte{byte(b)})
	})
}

// fold folds facts that must be sound.
func mustFold(tb testing.TB, facts []fact.Fact) dispensing.Case {
	tb.Helper()
	c, err := fold.Facts(facts, time.LoadLocation)
	if err != nil {
		tb.Fatal(err)
	}
	return c
}

var byteEscape = regexp.MustCompile(`\\x[0-9a-f]{2}`)
