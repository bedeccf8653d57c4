package experience_test

import (
	"testing"
	"time"

	"vialwright/casefile"
	"vialwright/experience"
	"vialwright/experience/invented"
	"vialwright/journal"
)

var until = time.Date(2027, 3, 4, 12, 0, 0, 0, time.UTC)

// past gives invented cases.
func past(tb testing.TB, n int, seed uint64) [][]journal.Record {
	tb.Helper()
	cases, err := invented.Cases(n, seed, until, time.LoadLocation)
	if err != nil {
		tb.Fatal(err)
	}
	return cases
}

// taken is a tally of cases.
func taken(cases [][]journal.Record) *experience.Tally {
	t := experience.New(time.LoadLocation)
	for _, c := range cases {
		t.Take(c)
	}
	return t
}

// records are those of a case file, by one person.
func records(tb testing.TB, text string) []journal.Record {
	tb.Helper()
	f, err := casefile.Decode([]byte(text), time.LoadLocation)
	if err != nil {
		tb.Fatal(err)
	}
	out := make([]journal.Record, len(f.Facts))
	for i, fact := range f.Facts {
		out[i] = journal.Record{Recorded: until, By: "rp-3", Fact: fact}
	}
	return out
}

const head = `case: 1
zone: Atlantic/Azores
half-life: 64.0417 h
meters:
  - id: M1
    calibration-u: 2 %
    repeatability: 0.8 %
    geometry:
      shipping-vial: [{factor: 1, u: 0.5 %, basis: label, fill: [3 mL, 5 mL]}, {factor: 1.02, u: 1 %, basis: label, fill: [0.5 mL, 3 mL]}]
      administration-vial: {factor: 0.98, u: 1 %, basis: label}
  - id: M2
    calibration-u: 5 %
    repeatability: 3 %
    geometry:
      shipping-vial: {factor: 1.21, u: 1 %, basis: traceable}
entries:
  - order:    {id: P1, prescribed: 1.30 GBq, at: 2027-03-04T13:30, residual: 2 %}
  - receive:  {vial: S1, lot: L-0311, labelled: 3.0 GBq, reference: 2027-03-04T18:00, volume: 5.0 mL}
`

const given = `  - transfer: {from: Y1, into: A1, at: 2027-03-04T11:20}
  - residual: {for: P1, before: {at: 2027-03-04T11:30, rate: 182 uSv/h, background: 0.2 uSv/h}, after: {at: 2027-03-04T15:12, rate: 6.4 uSv/h, background: 0.2 uSv/h}}
`
