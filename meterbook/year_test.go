package meterbook_test

import (
	"strings"
	"testing"
	"time"

	"vialwright/dispensing"
	"vialwright/experience/invented"
	"vialwright/fold"
	"vialwright/meterbook"
	"vialwright/rules"
)

var until = time.Date(2027, 3, 4, 11, 0, 0, 0, time.UTC)

// year is the book of an invented year, with the faults in it.
func year(t testing.TB) (*meterbook.Book, invented.Told) {
	t.Helper()
	records, told, err := invented.Meters(until, time.LoadLocation)
	if err != nil {
		t.Fatal(err)
	}
	zone, _ := time.LoadLocation("Atlantic/Azores")
	p, err := rules.Load("us")
	if err != nil {
		t.Fatal(err)
	}
	return meterbook.Of(fold.Entries(records), meterbook.RulesOf(p.On(until)), zone, until), told
}

// A year with a drift, a swapped source, a bad point of a linearity test and a lapsed
// calibration: each is named with its date, and nothing else is.
func TestYearIsToldWithDates(t *testing.T) {
	b, told := year(t)
	want := map[dispensing.Code]time.Time{"constancy-drift": told.Drift, "source-swapped": told.Swapped, "linearity-bad-point": told.BadPoint, "calibration-lapsed": told.Lapsed}
	for _, f := range b.Findings {
		at, known := want[f.Code]
		delete(want, f.Code)
		off := f.At.Sub(at).Abs()
		switch {
		case !known || f.Of != told.Meter:
			t.Errorf("found %+v", f)
		case f.Code == "constancy-drift" && off > 20*24*time.Hour, f.Code != "constancy-drift" && off > 0:
			t.Errorf("%s is at %v, not at %v", f.Text, f.At, at)
		case !strings.Contains(f.Text, f.At.In(b.Zone).Format("2 Jan 2006")):
			t.Errorf("%q does not say when", f.Text)
		}
		t.Log(f.Text)
	}
	for code := range want {
		t.Errorf("%s was not found", code)
	}
}

// What is due on the day after the year, and against what it is said.
func TestYearIsDue(t *testing.T) {
	b, told := year(t)
	against, known := b.Ready(told.Meter)
	if !known {
		t.Fatal("the meter is not in the book")
	}
	text := strings.Join(against, "\n")
	for _, part := range []string{"background of the day", "constancy of the day", "calibration for the syringe"} {
		if !strings.Contains(text, part) {
			t.Errorf("%q does not name %s", text, part)
		}
	}
	if len(against) != 3 {
		t.Errorf("%q", text)
	}
	if _, known := b.Ready("M9"); known {
		t.Error("M9 is known")
	}
}
