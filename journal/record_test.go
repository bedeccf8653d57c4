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
	"vialwright/fact/facttest"
	"vialwright/journal"
	"vialwright/quantity"
)

func TestRecordOfADraw(t *testing.T) {
	r := journal.Record{
		By: "rp-3", Recorded: facttest.Local("11:10").Add(31 * time.Second),
		Fact: &fact.Draw{From: "S1", Into: "Y1", For: "P1", At: facttest.Local("11:10"), Volume: facttest.Q[quantity.Volume]("2.2 mL")},
	}
	body, err := r.Marshal()
	if err != nil {
		t.Fatal(err)
	}
	if string(body) != facttest.DrawBody {
		t.Errorf("written\n%s, want\n%s", body, facttest.DrawBody)
	}
	back, err := journal.Parse(facttest.DrawBody)
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
	facts := facttest.Decode(t, facttest.File(t, "all-kinds.yaml")).Facts
	for _, f := range facts {
		r := journal.Record{Recorded: time.Date(2027, 3, 4, 12, 0, 0, 5, time.UTC), By: "rp-3", Fact: f}
		body, err := r.Marshal()
		if err != nil {
			t.Fatalf("%s: %v", fact.Word(f), err)
		}
		back, err := journal.Parse(string(body))
		if err != nil {
			t.Fatalf("%s: %v\n%s", fact.Word(f), err, body)
		}
		if !reflect.DeepEqual(back, r) {
			t.Errorf("%s: read %+v, want %+v", fact.Word(f), back.Fact, f)
		}
	}
}

// TestDensitiesOfBefore: what an earlier version recorded of a density, a decimal comma and
// 0, is read as it was written, and written so again.
func TestDensitiesOfBefore(t *testing.T) {
	for text, value := range map[string]float64{"1.6 g/cm3": 1.6, "1,6 g/cm3": 1.6, "0 g/cm3": 0} {
		r := journal.Record{Recorded: time.Date(2027, 3, 4, 12, 0, 0, 0, time.UTC), By: "rp-3", Fact: &fact.Policy{Settling: &fact.Settling{Density: fact.Number{Value: value, Text: text}}}}
		body, err := r.Marshal()
		if err != nil {
			t.Fatalf("%s: %v", text, err)
		}
		if back, err := journal.Parse(string(body)); err != nil || !reflect.DeepEqual(back, r) {
			t.Errorf("%s: read %+v, %v", text, back.Fact, err)
		}
	}
}

func TestParseRefuses(t *testing.T) {
	for _, c := range facttest.BadRecords {
		t.Run(c.Name, func(t *testing.T) {
			if !strings.Contains(facttest.DrawBody, c.Old) {
				t.Fatal("the table replaces what is not there")
			}
			body := strings.Replace(facttest.DrawBody, c.Old, c.New, 1)
			_, err := journal.Parse(body)
			var e *journal.RecordError
			if !errors.As(err, &e) {
				t.Fatalf("not refused: %v", err)
			}
			says := fmt.Sprintf("record, byte %d: %s; ", e.Offset, c.Message)
			if e.Code != c.Code || !strings.HasPrefix(e.Error(), says) || e.Hint == "" {
				t.Errorf("%s\n%s, want\n%s\n%s", e.Code, e.Error(), c.Code, says)
			}
			if rest := body[e.Offset:]; !strings.HasPrefix(rest, c.Rest) || (c.Rest == "") != (rest == "") {
				t.Errorf("the fault is placed before %.20q, want %.20q", rest, c.Rest)
			}
		})
	}
}

func TestMarshalRefuses(t *testing.T) {
	sound := func() (*journal.Record, *fact.Draw) {
		d := &fact.Draw{From: "S1", Into: "Y1", For: "P1", At: facttest.Local("11:10"), Volume: facttest.Q[quantity.Volume]("2.2 mL")}
		return &journal.Record{By: "rp-3", Recorded: facttest.Local("11:10"), Fact: d}, d
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
			r.Fact = facttest.MeterOf(fact.Geometry{Factor: fact.Number{Value: 1, Text: "0.1"}, U: facttest.Q[quantity.Fraction]("1 %"), Basis: "label"})
		}, "inconsistent", `record: geometry.syringe[1].factor: "0.1" and its value disagree`},
		{"a number that is none", func(r *journal.Record, _ *fact.Draw) {
			r.Fact = facttest.MeterOf(fact.Geometry{Factor: fact.Number{Value: 1, Text: "1e0"}, U: facttest.Q[quantity.Fraction]("1 %"), Basis: "label"})
		}, "bad-number", `record: geometry.syringe[1].factor: "1e0" is no plain decimal number`},
		{"half a range", func(r *journal.Record, _ *fact.Draw) {
			r.Fact = &fact.Policy{MakeUp: &fact.Range{Min: facttest.Q[quantity.Volume]("3 mL")}}
		}, "missing", "record: make-up[2]: it is missing; expected a volume such as 2.2 mL"},
		{"too many directions", func(r *journal.Record, _ *fact.Draw) {
			d := &fact.DoseReading{At: facttest.Local("11:30"), Background: facttest.Q[quantity.MeterRate]("0.2 uSv/h")}
			for range 17 {
				d.Rate = append(d.Rate, facttest.Q[quantity.MeterRate]("182 uSv/h"))
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
			if links, err := journal.Seal(journal.Head{}, facttest.Salt, *r); err == nil || links != nil {
				t.Errorf("Seal gives %v, %v", links, err)
			}
		})
	}
}

// TestInstantsAgainstQuantity: the fast reading of times in a record and the
// full one never disagree, on canonical text and on text that nearly is.
func TestInstantsAgainstQuantity(t *testing.T) {
	form := strings.Index(facttest.DrawBody, "2027-03-04T11:10")
	rapid.Check(t, func(t *rapid.T) {
		at := time.Unix(rapid.Int64Range(946_598_400, 4_102_531_200).Draw(t, "unix"), 0). // a day beyond either end
													In(time.FixedZone("", 60*rapid.IntRange(-15*60, 15*60).Draw(t, "offset")))
		text := at.Format(time.RFC3339)
		if rapid.Bool().Draw(t, "spoil") {
			i := rapid.IntRange(0, len(text)-1).Draw(t, "place")
			c := rapid.SampledFrom([]byte("0123456789-+:.TZ")).Draw(t, "byte")
			text = text[:i] + string(c) + text[i+1:]
		}
		body := facttest.DrawBody[:form] + text + facttest.DrawBody[form+len("2027-03-04T11:10:00-01:00"):]
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
