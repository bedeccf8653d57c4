package fact_test

import (
	"reflect"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"vialwright/casefile"
	"vialwright/fact"
	"vialwright/fact/facttest"
	"vialwright/fold"
	"vialwright/journal"
	"vialwright/quantity"
)

func TestEscapeLine(t *testing.T) {
	for _, c := range []struct{ name, raw, want string }{
		{"nothing", "", ""},
		{"plain", "A17 Y-90   1234.5 MBq ST*5C", "A17 Y-90   1234.5 MBq ST*5C"},
		{"control characters", "\x02S1 3.2412 GBq\x03", `\x02S1 3.2412 GBq\x03`},
		{"spaces at the ends", " 1 GBq  ", `\x201 GBq \x20`},
		{"one space", " ", `\x20`},
		{"a backslash", `a\x41`, `a\\x41`},
		{"not UTF-8", "1 \xb5Ci\xff", `1 \xb5Ci\xff`},
		{"500 characters", strings.Repeat("a", 500), strings.Repeat("a", 500)},
		{"501 characters", strings.Repeat("a", 501), strings.Repeat("a", 496) + `\...`},
		{"no half escape at the cut", strings.Repeat("\x00", 126), strings.Repeat(`\x00`, 124) + `\...`},
		{"what looks cut", `a\...`, `a\\...`},
	} {
		if got := fact.EscapeLine(c.raw); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
	for _, text := range []string{`\`, `\x`, `\x4`, `\xzz`, `\x41`, `\xFF`, `a\.`, `a\....`, " a", "a ", "é", "a\nb", `\x0`, `a\...b`, strings.Repeat("a", 497) + `\...`} {
		if raw, whole, ok := fact.UnescapeLine(text); ok {
			t.Errorf("%q is read as %q, %v", text, raw, whole)
		}
	}
}

// TestAnyLineThereAndBack: whatever bytes a meter sends can be recorded, and
// are found again in the record and in a case file; a cut one begins with what
// was kept.
func TestAnyLineThereAndBack(t *testing.T) {
	zones := facttest.CachedZones()
	facts := facttest.Worked(t)[:5]
	rapid.Check(t, func(t *rapid.T) {
		raw := string(rapid.SliceOfN(rapid.Byte(), 1, 700).Draw(t, "raw"))
		text := fact.EscapeLine(raw)
		back, whole, ok := fact.UnescapeLine(text)
		if !ok || whole && back != raw || !whole && (!strings.HasPrefix(raw, back) || len(raw) < 124) {
			t.Fatalf("%q is written %q and read %q, whole %v, %v", raw, text, back, whole, ok)
		}
		r := &fact.Read{
			Of: "S1", Meter: "M1", At: facttest.Local("11:00"), Gross: facttest.Q[quantity.Activity]("3.24 GBq"), Background: facttest.Q[quantity.Activity]("0.2 MBq"),
			Sources: fact.Sources{Source: "tcp://198.51.100.7:4001", Line: text, BackgroundSource: fact.Typed},
		}
		body, err := journal.Record{Recorded: time.Unix(1_800_000_000, 0).UTC(), By: "rp-1", Fact: r}.Marshal()
		if err != nil {
			t.Fatal(err)
		}
		again, err := journal.Parse(string(body))
		if err != nil || !reflect.DeepEqual(again.Fact, fact.Fact(r)) {
			t.Fatalf("%v\n%s", err, body)
		}
		all := append(facts[:5:5], again.Fact)
		file, err := casefile.Export(all, zones)
		if err != nil {
			t.Fatal(err)
		}
		f, err := casefile.Decode(file, zones)
		if err != nil || !reflect.DeepEqual(f.Facts, all) {
			t.Fatalf("%v\n%s", err, file)
		}
		c, err := fold.File(f)
		if err != nil || c.Readings[0].Source != r.Source {
			t.Fatalf("%v, %+v", err, c.Readings)
		}
	})
}

// FuzzLine: what is taken for a line is written again with the same bytes.
func FuzzLine(f *testing.F) {
	for _, s := range []string{`\x02A17\x03`, `a\\b`, `a\...`, `\x20`, "plain"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		raw, whole, ok := fact.UnescapeLine(text)
		if !ok {
			return
		}
		if !whole {
			text, raw = strings.TrimSuffix(text, `\...`)+"x", raw+"x"
		}
		if fact.EscapeLine(raw) != text {
			t.Fatalf("%q is read as %q, which is written %q", text, raw, fact.EscapeLine(raw))
		}
	})
}

// What a record of before has not said stays unsaid.
func TestSourcesMayBeAbsent(t *testing.T) {
	const body = `{"v":2,"recorded":"2027-03-04T12:10:31Z","by":"rp-3","kind":"read","fact":` +
		`{"of":"S1","meter":"M1","at":"2027-03-04T11:00:00-01:00","gross":"3.24 GBq","background":"0.2 MBq"}}`
	r, err := journal.Parse(body)
	if err != nil {
		t.Fatal(err)
	}
	if got := r.Fact.(*fact.Read).Sources; got != (fact.Sources{}) {
		t.Errorf("%+v", got)
	}
	if again, err := r.Marshal(); err != nil || string(again) != body {
		t.Errorf("%s, %v", again, err)
	}
}
