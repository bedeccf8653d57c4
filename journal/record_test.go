package journal_test

import (
	"errors"
	"fmt"
	"reflect"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"vialwright/fact"
	"vialwright/journal"
	"vialwright/quantity"
)

const drawBody = `{"v":2,"recorded":"2027-03-04T12:10:31Z","by":"rp-3","kind":"draw","fact":` +
	`{"from":"S1","into":"Y1","for":"P1","at":"2027-03-04T11:10:00-01:00","volume":"2.2 mL"}}`

func TestRecordOfADraw(t *testing.T) {
	r := journal.Record{
		By: "rp-3", Recorded: local("11:10").Add(31 * time.Second),
		Fact: &fact.Draw{From: "S1", Into: "Y1", For: "P1", At: local("11:10"), Volume: q[quantity.Volume]("2.2 mL")},
	}
	body, err := r.Marshal()
	if err != nil {
		t.Fatal(err)
	}
	if string(body) != drawBody {
		t.Errorf("written\n%s, want\n%s", body, drawBody)
	}
	back, err := journal.Parse(drawBody)
	if err != nil {
		t.Fatal(err)
	}
	r.Recorded = r.Recorded.UTC()
	if !reflect.DeepEqual(back, r) {
		t.Errorf("read %+v, want %+v", back, r)
	}
	if back.Recorded.Location() != time.UTC {
		t.Errorf("recorded is in %v", back.Recorded.Location())
	}
}

func TestEveryKindThereAndBack(t *testing.T) {
	facts := decode(t, file(t, "all-kinds.yaml")).Facts
	for _, f := range facts {
		r := journal.Record{Recorded: time.Date(2027, 3, 4, 12, 0, 0, 5, time.UTC), By: "rp-3", Fact: f}
		body, err := r.Marshal()
		if err != nil {
			t.Fatalf("%s: %v", f.Kind(), err)
		}
		back, err := journal.Parse(string(body))
		if err != nil {
			t.Fatalf("%s: %v\n%s", f.Kind(), err, body)
		}
		if !reflect.DeepEqual(back, r) {
			t.Errorf("%s: read %+v, want %+v", f.Kind(), back.Fact, f)
		}
	}
}

// badRecords are refused; each is drawBody with a part replaced.
var badRecords = []struct {
	name, old, new, code string
	// message is that of the error without place and hint, rest what stands in
	// the record from the place on.
	message, rest string
}{
	{"nothing", drawBody, "", "not-canonical", `expected {"v":`, ""},
	{"another version", `"v":2`, `"v":1`, "unknown-version", "the record has version 1; this program reads version 2", `1,"recorded"`},
	{"version in quotes", `"v":2`, `"v":"2"`, "not-canonical", "expected a number without quotes", `"2",`},
	{"no version", `"v":2`, `"v":`, "not-canonical", "expected a number without quotes", `,"recorded"`},
	{"white space", `{"v"`, `{ "v"`, "not-canonical", `expected {"v":`, `{ "v"`},
	{"recorder before version", `"v":2`, `"by":"rp-3","v":2`, "not-canonical", `expected {"v":`, `{"by"`},
	{"recorder is a number", `"rp-3"`, "17", "not-canonical", "by: expected a text in double quotes", `17,`},
	{"recorded in a zone", "12:10:31Z", "13:10:31+01:00", "not-canonical", `recorded: "2027-03-04T13:10:31+01:00" is not in UTC`, `"2027-03-04T13`},
	{"recorded without a zone", "12:10:31Z", "12:10:31", "time-zone-needed", `recorded: "2027-03-04T12:10:31": a local time needs a zone`, `"2027-03-04T12:10:31"`},
	{"no one", `"rp-3"`, `""`, "empty", "by: the text is empty", `"",`},
	{"needless escape", `"rp-3"`, `"\u0072p-3"`, "not-canonical", `by: only \" and \\ are escaped`, `"\u0072`},
	{"unfinished escape", `"rp-3"`, `"rp-3\`, "not-canonical", `by: only \" and \\ are escaped`, `"rp-3\,`},
	{"line end in a text", `"rp-3"`, "\"rp\n3\"", "not-text", "by: the text holds the invisible character U+000A", "\"rp\n3"},
	{"not UTF-8", `"rp-3"`, "\"rp\xff\"", "not-text", "by: the text is not UTF-8", "\"rp\xff"},
	{"unknown kind", `"draw"`, `"drew"`, "unknown-kind", `kind: there is no kind of fact called "drew"`, `"drew"`},
	{"kind without a fact", `,"fact":`, `,"what":`, "not-canonical", `expected ,"fact":`, `,"what"`},
	{"empty fact", `{"from":"S1","into":"Y1","for":"P1","at":"2027-03-04T11:10:00-01:00","volume":"2.2 mL"}`, "{}", "missing", "from: expected an id such as P1", `}}`},
	{"field missing", `"into":"Y1",`, "", "missing", "into: expected an id such as P1", `,"for"`},
	{"field missing at the end", `,"volume":"2.2 mL"`, "", "missing", "volume: expected a volume such as 2.2 mL", `}}`},
	{"fields out of order", `"into":"Y1","for":"P1"`, `"for":"P1","into":"Y1"`, "missing", "into: expected an id such as P1", `,"for"`},
	{"field twice", `"into":"Y1",`, `"into":"Y1","into":"Y1",`, "missing", "for: expected an id such as P1", `,"into"`},
	{"field unknown", `mL"}`, `mL","colour":"red"}`, "not-canonical", "a field is not known here, comes twice, or is out of order", `,"colour"`},
	{"null", `"2.2 mL"`, "null", "not-canonical", "volume: expected a text in double quotes", `null`},
	{"quantity not canonical", `"2.2 mL"`, `"2.2mL"`, "not-canonical", `volume: "2.2mL": it is not written as a record writes it`, `"2.2mL"`},
	{"quantity of another kind", `"2.2 mL"`, `"2.2 MBq"`, "unit-kind", `volume: "2.2 MBq": MBq is an activity; a volume was expected`, `"2.2 MBq"`},
	{"time without seconds", "11:10:00-01:00", "11:10-01:00", "not-canonical", `at: "2027-03-04T11:10-01:00" is not written as a record writes it`, `"2027-03-04T11:10-`},
	{"time with zeros", "11:10:00-01:00", "11:10:00.0-01:00", "not-canonical", `at: "2027-03-04T11:10:00.0-01:00" is not written as a record writes it`, `"2027-03-04T11:10:00.0`},
	{"offset of nothing", "11:10:00-01:00", "11:10:00+00:00", "not-canonical", `at: "2027-03-04T11:10:00+00:00" is not written as a record writes it`, `"2027-03-04T11:10:00+`},
	{"February 29th", "2027-03-04T11", "2027-02-29T11", "time-impossible", `at: "2027-02-29T11:10:00-01:00": February 2027 has 28 days`, `"2027-02-29`},
	{"something after", `mL"}}`, `mL"}} `, "not-canonical", "there is more text after the record", " "},
	{"unfinished", `mL"}}`, `mL"}`, "not-canonical", "expected }", ""},
	{"a line end", `mL"}}`, "mL\"}}\n", "not-canonical", "there is more text after the record", "\n"},
	{"a text that does not end", `"2.2 mL"}}`, `"2.2 mL`, "not-canonical", "volume: a text does not end", `"2.2 mL`},
	{"an escape that does not end", `"2.2 mL"}}`, `"2.2 \" mL`, "not-canonical", "volume: a text does not end", `"2.2 \" mL`},
	{"very long", `"rp-3"`, `"` + strings.Repeat("x", journal.MostBytes) + `"`, "too-long", "it is longer than 65536 bytes", `{"v":2`},
	{"a list too long", `"draw","fact":{`, `"residual","fact":{"for":"P1","before":{"at":"2027-03-04T11:10:00-01:00","rate":[` + strings.Repeat(`"1 uSv/h",`, 17), "too-many", "before.rate: the list does not end after 16 items", `,"1 uSv/h","from"`},
	{"a list of nothing", `"draw","fact":{`, `"residual","fact":{"for":"P1","before":{"at":"2027-03-04T11:10:00-01:00","rate":[]`, "too-few", "before.rate: the list holds 0 of the 1 it needs", `]"from"`},
	{"an entry of no kind", `"draw","fact":{`, `"correct","fact":{"entry":1,"reason":"slip","with":{"drew":{`, "unknown-kind", `with: there is no kind of entry called "drew"`, `"drew":`},
	{"a header in a correction", `"draw","fact":{`, `"correct","fact":{"entry":1,"reason":"slip","with":{"site":{`, "header-in-entries", `with: site is not an entry`, `"site":`},
	{"a setting in a correction", `"draw","fact":{`, `"correct","fact":{"entry":1,"reason":"slip","with":{"policy":{`, "header-in-entries", `with: a correction cannot put in a setting`, `"policy":`},
	{"a correction in a correction", `"draw","fact":{`, `"correct","fact":{"entry":1,"reason":"slip","with":{"correct":{`, "correction-of-correction", `with: a correction cannot put in a correction`, `"correct":`},
	{"an entry number in quotes", `"draw","fact":{`, `"correct","fact":{"entry":"1"`, "not-canonical", "entry: expected a number without quotes", `"1""from"`},
	{"an entry number of too many digits", `"draw","fact":{`, `"correct","fact":{"entry":1234567890`, "bad-entry-number", `entry: "1234567890" is no entry number`, `1234567890`},
}

func TestParseRefuses(t *testing.T) {
	for _, c := range badRecords {
		t.Run(c.name, func(t *testing.T) {
			if !strings.Contains(drawBody, c.old) {
				t.Fatal("the table replaces what is not there")
			}
			body := strings.Replace(drawBody, c.old, c.new, 1)
			_, err := journal.Parse(body)
			var e *journal.RecordError
			if !errors.As(err, &e) {
				t.Fatalf("not refused: %v", err)
			}
			says := fmt.Sprintf("record, byte %d: %s; ", e.Offset, c.message)
			if e.Code != c.code || !strings.HasPrefix(e.Error(), says) || e.Hint == "" {
				t.Errorf("%s\n%s, want\n%s\n%s", e.Code, e.Error(), c.code, says)
			}
			if rest := body[e.Offset:]; !strings.HasPrefix(rest, c.rest) || (c.rest == "") != (rest == "") {
				t.Errorf("the fault is placed before %.20q, want %.20q", rest, c.rest)
			}
		})
	}
}

func TestMarshalRefuses(t *testing.T) {
	sound := func() (*journal.Record, *fact.Draw) {
		d := &fact.Draw{From: "S1", Into: "Y1", For: "P1", At: local("11:10"), Volume: q[quantity.Volume]("2.2 mL")}
		return &journal.Record{By: "rp-3", Recorded: local("11:10"), Fact: d}, d
	}
	for _, c := range []struct {
		name    string
		spoil   func(*journal.Record, *fact.Draw)
		code    string
		message string
	}{
		{"no fact", func(r *journal.Record, _ *fact.Draw) { r.Fact = nil }, "missing", "record: fact: the record holds no fact"},
		{"no time", func(r *journal.Record, _ *fact.Draw) { r.Recorded = time.Time{} }, "time-century", `record: recorded: "0001-01-01T00:00:00Z": the date is in another century`},
		{"no one", func(r *journal.Record, _ *fact.Draw) { r.By = "" }, "empty", "record: by: the text is empty"},
		{"two lines", func(r *journal.Record, _ *fact.Draw) { r.By = "a\nb" }, "not-text", "record: by: the text holds the invisible character U+000A"},
		{"too long", func(r *journal.Record, _ *fact.Draw) { r.By = strings.Repeat("é", 501) }, "too-long", "record: by: the text has more than 500 characters"},
		{"no source", func(_ *journal.Record, d *fact.Draw) { d.From = "" }, "missing", "record: from: it is missing; expected an id such as P1"},
		{"an id with a space", func(_ *journal.Record, d *fact.Draw) { d.Into = "Y 1" }, "bad-id", `record: into: "Y 1" is no id`},
		{"a value that is not its text", func(_ *journal.Record, d *fact.Draw) { d.Volume.Value = 22 }, "inconsistent", `record: volume: "2.2 mL": the text and the value 22 in base units disagree`},
		{"a text that is not canonical", func(_ *journal.Record, d *fact.Draw) { d.Volume.Text = "2.20mL" }, "not-canonical", `record: volume: "2.20mL": it is not written as a record writes it`},
		{"a number that is not its text", func(r *journal.Record, _ *fact.Draw) {
			r.Fact = meterOf(fact.Geometry{Factor: fact.Number{Value: 1, Text: "0.1"}, U: q[quantity.Fraction]("1 %"), Basis: "label"})
		}, "inconsistent", `record: geometry.syringe[1].factor: "0.1" and its value disagree`},
		{"a number that is none", func(r *journal.Record, _ *fact.Draw) {
			r.Fact = meterOf(fact.Geometry{Factor: fact.Number{Value: 1, Text: "1e0"}, U: q[quantity.Fraction]("1 %"), Basis: "label"})
		}, "bad-number", `record: geometry.syringe[1].factor: "1e0" is no plain decimal number`},
		{"half a range", func(r *journal.Record, _ *fact.Draw) {
			r.Fact = &fact.Policy{MakeUp: &fact.Range{Min: q[quantity.Volume]("3 mL")}}
		}, "missing", "record: make-up[2]: it is missing; expected a volume such as 2.2 mL"},
		{"too many directions", func(r *journal.Record, _ *fact.Draw) {
			d := &fact.DoseReading{At: local("11:30"), Background: q[quantity.DoseRate]("0.2 uSv/h")}
			for range 17 {
				d.Rate = append(d.Rate, q[quantity.DoseRate]("182 uSv/h"))
			}
			r.Fact = &fact.Residual{For: "P1", Before: d}
		}, "too-many", "record: before.rate: the list has more than 16 items"},
		{"a zone that is a path", func(r *journal.Record, _ *fact.Draw) { r.Fact = &fact.Site{Zone: "../x"} }, "bad-zone", `record: zone: "../x" is no name of a zone`},
		{"a correction of nothing", func(r *journal.Record, _ *fact.Draw) { r.Fact = &fact.Correct{Reason: "slip"} }, "missing", "record: entry: it is missing"},
		{"an unknown basis", func(r *journal.Record, _ *fact.Draw) { r.Fact = &fact.Policy{Basis: "guess"} }, "unknown-word", `record: basis: "guess" is not one of the words read here`},
		{"a fault in a replacement", func(r *journal.Record, d *fact.Draw) {
			d.Into = ""
			r.Fact = &fact.Correct{Entry: 1, Reason: "slip", With: d}
		}, "missing", "record: with.draw.into: it is missing"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r, d := sound()
			c.spoil(r, d)
			_, err := r.Marshal()
			var e *journal.RecordError
			if !errors.As(err, &e) {
				t.Fatalf("not refused: %v", err)
			}
			if e.Code != c.code || !strings.HasPrefix(e.Error(), c.message) || e.Offset != -1 {
				t.Errorf("%s\n%s, want\n%s\n%s", e.Code, e.Error(), c.code, c.message)
			}
			if links, err := journal.Seal(journal.Head{}, salt, *r); err == nil || links != nil {
				t.Errorf("Seal gives %v, %v", links, err)
			}
		})
	}
}

func meterOf(g fact.Geometry) *fact.Meter {
	return &fact.Meter{
		ID: "M1", CalibrationU: q[quantity.Fraction]("2 %"), Repeatability: q[quantity.Fraction]("1 %"),
		Geometry: &fact.Geometries{Syringe: []fact.Geometry{g}},
	}
}

// TestInstantsAgainstQuantity: the fast reading of times in a record and the
// full one never disagree, on canonical text and on text that nearly is.
func TestInstantsAgainstQuantity(t *testing.T) {
	form := strings.Index(drawBody, "2027-03-04T11:10")
	rapid.Check(t, func(t *rapid.T) {
		at := time.Unix(rapid.Int64Range(946_598_400, 4_102_531_200).Draw(t, "unix"), 0). // a day beyond either end
													In(time.FixedZone("", 60*rapid.IntRange(-15*60, 15*60).Draw(t, "offset")))
		text := at.Format(time.RFC3339)
		if rapid.Bool().Draw(t, "spoil") {
			i := rapid.IntRange(0, len(text)-1).Draw(t, "place")
			c := rapid.SampledFrom([]byte("0123456789-+:.TZ")).Draw(t, "byte")
			text = text[:i] + string(c) + text[i+1:]
		}
		body := drawBody[:form] + text + drawBody[form+len("2027-03-04T11:10:00-01:00"):]
		want, err := quantity.ParseTime(text, nil)
		canonical := err == nil && quantity.FormatTime(want, nil) == text
		r, err := journal.Parse(body)
		if (err == nil) != canonical {
			t.Fatalf("%s: %v, canonical %v", text, err, canonical)
		}
		if err == nil && !r.Fact.(*fact.Draw).At.Equal(want) {
			t.Fatalf("%s is read as %v", text, r.Fact.(*fact.Draw).At)
		}
	})
}
