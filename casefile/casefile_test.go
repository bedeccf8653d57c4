package casefile_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"reflect"
	"regexp"
	"runtime"
	"strings"
	"testing"
	"time"

	"vialwright/casefile"
	"vialwright/fact"
	"vialwright/fact/facttest"
	"vialwright/plainyaml"
	"vialwright/quantity"
)

// TestWorkedExampleDecodes holds the facts to what a person reads.
func TestWorkedExampleDecodes(t *testing.T) {
	label := func(factor string, value float64, u string) []fact.Geometry {
		return []fact.Geometry{{Factor: fact.Number{Value: value, Text: factor}, U: facttest.Q[quantity.Fraction](u), Basis: "label"}}
	}
	read := func(at, gross string) *fact.Read {
		return &fact.Read{Of: "S1", Meter: "M1", At: facttest.Local(at), Gross: facttest.Q[quantity.Activity](gross), Background: facttest.Q[quantity.Activity]("0.2 MBq")}
	}
	rate := func(at, rate string) *fact.DoseReading {
		return &fact.DoseReading{At: facttest.Local(at), Rate: []quantity.Stated[quantity.MeterRate]{facttest.Q[quantity.MeterRate](rate)}, Background: facttest.Q[quantity.MeterRate]("0.2 uSv/h")}
	}
	ten := facttest.Q[quantity.Fraction]("10 %")
	want := []fact.Fact{
		&fact.Site{Zone: "Atlantic/Azores", HalfLife: facttest.Q[quantity.Span]("64.0417 h")},
		&fact.Policy{
			Tolerance: ten, LabelTolerance: ten, Confidence: facttest.Q[quantity.Fraction]("95 %"),
			MakeUp: &fact.Range{Min: facttest.Q[quantity.Volume]("3 mL"), Max: facttest.Q[quantity.Volume]("5 mL")}, Graduation: facttest.Q[quantity.Volume]("0.1 mL"),
		},
		&fact.Meter{
			ID: "M1", CalibrationU: facttest.Q[quantity.Fraction]("2 %"), Repeatability: facttest.Q[quantity.Fraction]("0.8 %"),
			Geometry: &fact.Geometries{ShippingVial: label("1", 1, "0 %"), AdministrationVial: label("0.98", 0.98, "1 %")},
		},
		&fact.Order{ID: "P1", Prescribed: facttest.Q[quantity.Activity]("1.30 GBq"), At: facttest.Local("13:30"), Allowance: fact.Allowance{Residual: facttest.Q[quantity.Fraction]("2 %")}},
		&fact.Receive{Vial: "S1", Lot: "L-0311", Labelled: facttest.Q[quantity.Activity]("3.0 GBq"), Reference: facttest.Local("18:00"), Volume: facttest.Q[quantity.Volume]("5.0 mL")},
		read("11:00", "3.24 GBq"),
		&fact.Draw{From: "S1", Into: "Y1", For: "P1", At: facttest.Local("11:10"), Volume: facttest.Q[quantity.Volume]("2.2 mL")},
		read("11:14", "1.85 GBq"),
		&fact.MakeUp{Of: "Y1", At: facttest.Local("11:18"), Volume: facttest.Q[quantity.Volume]("1.3 mL"), Diluent: "water for injection"},
		&fact.Transfer{From: "Y1", Into: "A1", At: facttest.Local("11:20")},
		&fact.Residual{For: "P1", Before: rate("11:30", "182 uSv/h"), After: rate("15:12", "6.4 uSv/h")},
	}
	got := facttest.Worked(t)
	if len(got) != len(want) {
		t.Fatalf("%d facts, want %d", len(got), len(want))
	}
	for i := range want {
		if !reflect.DeepEqual(got[i], want[i]) {
			t.Errorf("fact %d (%s) is\n%+v, want\n%+v", i, fact.Word(want[i]), got[i], want[i])
		}
	}
}

// treeOf makes maps, lists, texts and nils of a case file.
func treeOf(n *plainyaml.Node) any {
	switch n.Kind {
	case plainyaml.Text:
		return n.Text
	case plainyaml.Mapping:
		m := map[string]any{}
		for i := range n.Pairs() {
			m[n.Key(i).Text] = treeOf(n.Val(i))
		}
		return m
	case plainyaml.List:
		list := []any{}
		for i := range n.Items {
			list = append(list, treeOf(&n.Items[i]))
		}
		return list
	}
	return nil
}

// asJSON writes a YAML case file as JSON, for a machine or for a person.
func asJSON(tb testing.TB, data []byte, indent string) []byte {
	tb.Helper()
	root, err := plainyaml.Parse(data, casefile.MaxBytes)
	if err != nil {
		tb.Fatal(err)
	}
	text, err := json.Marshal(treeOf(&root))
	if err != nil {
		tb.Fatal(err)
	}
	// The tree holds texts only; what must be a number is made one.
	for _, key := range []string{"case", "factor", "entry", "copy", "first", "last", "spheres", "up-to", "cases", "own", "shared", "dose", "doses", "started", "vials", "index", "x", "y", "ratio", "benches", "suites", "punctures"} {
		parts := strings.Split(string(text), `"`+key+`":"`)
		for i := 1; i < len(parts); i++ {
			n, rest, _ := strings.Cut(parts[i], `"`)
			parts[i] = n + rest
		}
		text = []byte(strings.Join(parts, `"`+key+`":`))
	}
	if indent == "" {
		return text
	}
	var out bytes.Buffer
	if err := json.Indent(&out, text, "", indent); err != nil {
		tb.Fatal(err)
	}
	return out.Bytes()
}

// nextField is a field that is not the first of its group.
var nextField = regexp.MustCompile(`, ([a-z-]+: )`)

// TestWaysToWriteACase: the same facts in every way of writing.
func TestWaysToWriteACase(t *testing.T) {
	for _, name := range []string{"worked.yaml", "all-kinds.yaml"} {
		data := facttest.File(t, name)
		want := facttest.Decode(t, data).Facts
		text := string(data)
		before, after, _ := strings.Cut(text, "\nentries:")
		for way, other := range map[string]string{
			"JSON on one line":          string(asJSON(t, data, "")),
			"JSON indented by spaces":   string(asJSON(t, data, "  ")),
			"JSON indented by tabs":     string(asJSON(t, data, "\t")),
			"Windows line ends":         strings.ReplaceAll(text, "\n", "\r\n"),
			"a byte order mark":         "\uFEFF" + text,
			"a marker in front":         "---\n" + text,
			"a marker and a comment":    "# a case\n--- # here\n" + text,
			"no line end at the end":    strings.TrimRight(text, "\n"),
			"lists not indented":        before + "\nentries:" + strings.ReplaceAll(after, "\n  - ", "\n- "),
			"empty lines and comments":  strings.ReplaceAll(text, "\n  - ", "   # so\n\n   \n   # and so\n  - "),
			"a comment with no space":   strings.ReplaceAll(text, "\nentries:", "\n#entries:\nentries:"),
			"single quotes":             strings.ReplaceAll(text, "water for injection", "'water for injection'"),
			"a key in quotes":           strings.ReplaceAll(text, "\nentries:", "\n\"entries\" :"),
			"commas at the end":         strings.ReplaceAll(text, "}\n", ",}\n"),
			"spaces at the end":         strings.ReplaceAll(text, "}\n", "}  \n"),
			"braces over several lines": before + "\nentries:" + nextField.ReplaceAllString(after, ",\n           $1"),
		} {
			got, err := casefile.Decode([]byte(other), time.LoadLocation)
			if err != nil {
				t.Errorf("%s, %s: %v", name, way, err)
				continue
			}
			if !reflect.DeepEqual(got.Facts, want) {
				t.Errorf("%s, %s: other facts", name, way)
			}
		}
	}
}

// TestBlockStyle: a person may spread an entry over lines.
func TestBlockStyle(t *testing.T) {
	f := facttest.Decode(t, []byte(`
case: 1
zone: Atlantic/Azores
entries:
- draw:
    from: S1
    into: Y1        # the syringe
    for: P1
    at: 2027-03-04 11:10
    volume: 2.2 mL
- residual:
    for: P1
    before:
      at: 2027-03-04T11:30
      background: 0.2 µSv/h
      rate:
      - 182 uSv/h
      - 180uSv/h
- note: {text: 'it''s "so" # not a comment'}
- note: {text: "caf\u00e9 \U0001f600 \\ \"/\" \x41"}
- note: {text: O'Neill said - at 12:30 - "yes"}
`))
	want := []fact.Fact{
		&fact.Site{Zone: "Atlantic/Azores"},
		&fact.Draw{From: "S1", Into: "Y1", For: "P1", At: facttest.Local("11:10"), Volume: facttest.Q[quantity.Volume]("2.2 mL")},
		&fact.Residual{For: "P1", Before: &fact.DoseReading{
			At: facttest.Local("11:30"), Background: facttest.Q[quantity.MeterRate]("0.2 uSv/h"),
			Rate: []quantity.Stated[quantity.MeterRate]{facttest.Q[quantity.MeterRate]("182 uSv/h"), facttest.Q[quantity.MeterRate]("180 uSv/h")},
		}},
		&fact.Note{Text: `it's "so" # not a comment`},
		&fact.Note{Text: `café 😀 \ "/" A`},
		&fact.Note{Text: `O'Neill said - at 12:30 - "yes"`},
	}
	if !reflect.DeepEqual(f.Facts, want) {
		for i := range want {
			t.Logf("%+v, want %+v", f.Facts[i], want[i])
		}
		t.Error("other facts")
	}
	if e := f.Refused(&fact.Refusal{Path: "entries[2]"}); e.Line != 11 || e.Col != 3 {
		t.Errorf("entry 2 begins at %d:%d", e.Line, e.Col)
	}
}

// TestWordsKeepTheirText: what YAML readers take for numbers, truth values or
// dates is text where a text stands.
func TestWordsKeepTheirText(t *testing.T) {
	for _, lot := range []string{"0311", "1e5", "0x1F", "1_000", "true", "No", "on", "2027-03-04", "12:30:45", ".5", "1.50", "=", "-1", "NaN"} {
		f := facttest.Decode(t, facttest.CaseOf(t, facttest.TheOrder, strings.Replace(facttest.TheVial, "L-0311", lot, 1)))
		if got := f.Facts[4].(*fact.Receive).Lot; got != lot {
			t.Errorf("lot %s is read as %s", lot, got)
		}
		again, err := casefile.Export(f.Facts, time.LoadLocation)
		if err != nil {
			t.Fatal(err)
		}
		if got := facttest.Decode(t, again).Facts[4].(*fact.Receive).Lot; got != lot {
			t.Errorf("lot %s is exported as %s", lot, got)
		}
	}
}

// TestClockChanges: the night of 2027-03-28 the clocks in the Azores skip
// 00:00 to 01:00, that of 2027-10-31 they show it twice.
func TestClockChanges(t *testing.T) {
	for _, c := range []struct{ written, utc, code string }{
		{"2027-03-27T23:59", "2027-03-28T00:59:00Z", ""},
		{"2027-03-28T00:00", "", quantity.CodeTimeGap},
		{"2027-03-28T00:59:59", "", quantity.CodeTimeGap},
		{"2027-03-28T01:00", "2027-03-28T01:00:00Z", ""},
		{"2027-03-28T00:30-01:00", "2027-03-28T01:30:00Z", ""},
		{"2027-10-30T23:59", "2027-10-30T23:59:00Z", ""},
		{"2027-10-31T00:00", "", quantity.CodeTimeFold},
		{"2027-10-31T00:59", "", quantity.CodeTimeFold},
		{"2027-10-31T00:59Z", "2027-10-31T00:59:00Z", ""},
		{"2027-10-31T00:59-01:00", "2027-10-31T01:59:00Z", ""},
		{"2027-10-31T01:00", "2027-10-31T02:00:00Z", ""},
	} {
		f, err := casefile.Decode(facttest.CaseOf(t, "note: {text: a, at: "+c.written+"}"), time.LoadLocation)
		if c.code != "" {
			var e *casefile.Error
			if !errors.As(err, &e) || e.Code != c.code || strings.Count(e.Hint, "UTC") != 2 {
				t.Errorf("%s: %v", c.written, err)
			}
			continue
		}
		if err != nil {
			t.Errorf("%s: %v", c.written, err)
			continue
		}
		at := f.Facts[3].(*fact.Note).At
		if got := at.UTC().Format(time.RFC3339); got != c.utc {
			t.Errorf("%s is %s, want %s", c.written, got, c.utc)
		}
		again, err := casefile.Export(f.Facts, time.LoadLocation)
		if err != nil {
			t.Fatal(err)
		}
		if got := facttest.Decode(t, again).Facts[3].(*fact.Note).At; got != at {
			t.Errorf("%s is exported as %v\n%s", c.written, got, again)
		}
	}
}

// TestOddOffsets: an offset that the zone did not have is kept and listed, but
// for that of a label (entry 2), which is the supplier's.
func TestOddOffsets(t *testing.T) {
	c := facttest.FoldLines(t, facttest.TheOrder, strings.Replace(facttest.TheVial, "18:00", "18:00Z", 1),
		"deviation: {for: P1, text: in winter, at: 2027-03-04T10:00-01:00}", "deviation: {text: in summer, at: 2027-07-04T10:00Z}",
		"deviation: {for: P1, text: not in summer, at: 2027-07-04T10:00-01:00}", strings.Replace(facttest.TheResidual, "15:12", "15:12+01:00", 1), facttest.TheDraw)
	if want := []int{5, 6}; !reflect.DeepEqual(c.OffsetOdd, want) {
		t.Errorf("odd offsets in %v, want %v", c.OffsetOdd, want)
	}
}

func TestExportIsGolden(t *testing.T) {
	want := facttest.File(t, "all-kinds.yaml")
	got, err := casefile.Export(facttest.Decode(t, want).Facts, time.LoadLocation)
	if err != nil {
		t.Fatal(err)
	}
	_, body, _ := bytes.Cut(want, []byte("case: 1\n"))
	// A single direction needs no brackets in a case file, nor does a
	// reference in UTC an offset of the site's.
	if string(got) != "case: 1\n"+string(body) {
		t.Errorf("exported\n%s", got)
	}
}

func TestExportOfLittle(t *testing.T) {
	got, err := casefile.Export([]fact.Fact{&fact.Site{Zone: "UTC"}, &fact.Policy{}, facttest.MeterOf(fact.Geometry{
		Factor: fact.Number{Value: 1, Text: "1"}, U: facttest.Q[quantity.Fraction]("1 %"), Basis: "label",
	})}, nil)
	want := "case: 1\nzone: UTC\npolicy: {}\nmeters:\n  - id: M1\n    calibration-u: 2 %\n    repeatability: 1 %\n    geometry:\n" +
		"      syringe: {factor: 1, u: 1 %, basis: label}\nentries: []\n"
	if err != nil || string(got) != want {
		t.Errorf("%v\n%s", err, got)
	}
	facttest.Decode(t, got)
}

// TestExportWithoutZones writes every offset.
func TestExportWithoutZones(t *testing.T) {
	facts := facttest.Worked(t)
	got, err := casefile.Export(facts, nil)
	if err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(string(got), ":00-01:00"); n != 9 {
		t.Errorf("%d times with their offset, want 9\n%s", n, got)
	}
	if !reflect.DeepEqual(facttest.Decode(t, got).Facts, facts) {
		t.Error("other facts")
	}
}

func TestExportRefuses(t *testing.T) {
	open := &fact.Site{Zone: "UTC"}
	for _, c := range []struct {
		name  string
		facts []fact.Fact
		want  string
	}{
		{"nothing", nil, "case: there are no entries; begin with the site and its zone"},
		{"no case", []fact.Fact{&fact.Note{Text: "a"}}, "case: the first entry is not that of the site; begin with the site and its zone"},
		{"two cases", []fact.Fact{open, open}, "case: there is a first entry already; export one order or vial at a time"},
		{"two policies", []fact.Fact{open, &fact.Policy{}, &fact.Policy{}}, "policy: there is one policy at the top of a case file; export one order or vial at a time"},
		{"no such zone", []fact.Fact{&fact.Site{Zone: "No/Where"}}, `zone: there is no zone called "No/Where"; write a name of the IANA time zone database, or UTC`},
		{"an empty note", []fact.Fact{open, &fact.Note{Text: "a"}, &fact.Note{}}, "entries[2].note.text: it is missing; expected a text of at most 500 characters"},
		{"an empty meter", []fact.Fact{open, &fact.Meter{ID: "M1"}}, "meters[1].calibration-u: it is missing; expected a percentage such as 2 %"},
		{"an empty yield", []fact.Fact{open, &fact.Policy{DrawYield: &fact.DrawYield{}}}, "policy.draw-yield.q: it is missing; expected a percentage such as 2 %"},
		{"an empty factor", []fact.Fact{open, facttest.MeterOf(fact.Geometry{})}, "meters[1].geometry.syringe[1].factor: it is missing; expected a number such as 0.98"},
	} {
		_, err := casefile.Export(c.facts, time.LoadLocation)
		var r *fact.Refusal
		if !errors.As(err, &r) || r.Error() != c.want {
			t.Errorf("%s: %v, want %s", c.name, err, c.want)
		}
	}
}

// TestLargestFile: a file of the largest size is read, one byte more is
// refused before anything looks at it.
func TestLargestFile(t *testing.T) {
	head := "case: 1\nzone: UTC\nentries:\n"
	line := "  - note: {text: a}\n"
	body := head + strings.Repeat(line, (casefile.MaxBytes-len(head))/len(line))
	full := body + strings.Repeat("#", casefile.MaxBytes-len(body))
	if f, err := casefile.Decode([]byte(full), time.LoadLocation); err != nil || len(f.Facts) != 1+(casefile.MaxBytes-len(head))/len(line) {
		t.Errorf("the largest file: %v", err)
	}
	over := make([]byte, 100<<20)
	before := allocated()
	_, err := casefile.Decode(over, time.LoadLocation)
	var e *casefile.Error
	if !errors.As(err, &e) || e.Code != "too-large" {
		t.Errorf("not refused: %v", err)
	}
	const want = "the file is larger than 1048576 bytes, the most it can be; check that it is the right file"
	if e != nil && e.Error() != want {
		t.Errorf("%s, want %s", e.Error(), want)
	}
	if used := allocated() - before; used > 1<<16 {
		t.Errorf("refusing took %d bytes", used)
	}
	if _, err := casefile.Decode([]byte(full+"#"), time.LoadLocation); !errors.As(err, &e) || e.Code != "too-large" {
		t.Errorf("one byte more: %v", err)
	}
}

// allocated is the memory given out so far.
func allocated() uint64 {
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return m.TotalAlloc
}

func TestFileErrorNamesTheFile(t *testing.T) {
	_, err := casefile.Decode([]byte("case: 1\nzone: UTC\nentries:\n  - note: {txt: a}\n"), time.LoadLocation)
	var e *casefile.Error
	if !errors.As(err, &e) {
		t.Fatal(err)
	}
	e.File = "today.yaml"
	const want = `today.yaml: line 4, column 12: entries[1].note: there is no field called "txt" here; did you mean text?`
	if e.Error() != want {
		t.Errorf("%s, want %s", e.Error(), want)
	}
}

// TestColumnsCountCharacters: accents before a fault do not move it.
func TestColumnsCountCharacters(t *testing.T) {
	_, err := casefile.Decode([]byte("case: 1\nzone: UTC\nentries:\n  - note: {text: \"äöü 😀\", ät: 1}\n"), time.LoadLocation)
	var e *casefile.Error
	if !errors.As(err, &e) || e.Line != 4 || e.Col != 27 {
		t.Errorf("%v", err)
	}
}
