package casefile_test

import (
	"strings"
	"testing"
	"time"

	"vialwright/casefile"
	"vialwright/dispensing"
	"vialwright/fact/facttest"
	"vialwright/journal"
)

// twoPatients is an invented morning: one vial, two patients.
const twoPatients = `case: 1
zone: UTC
policy: {tolerance: 10 %}
meters:
  - {id: M1, calibration-u: 2 %, repeatability: 0.8 %, geometry: {shipping-vial: {factor: 1, u: 1 %, basis: label}, syringe: {factor: 0.95, u: 2 %, basis: label}}}
entries:
  - order:   {id: P1, prescribed: 1.30 GBq, at: 2027-03-04T13:30, patient: INV-111, territory: right lobe, by: PHY1}
  - order:   {id: P2, prescribed: 0.60 GBq, at: 2027-03-04T14:30, patient: INV-222, territory: segment four, by: PHY2}
  - receive: {vial: S1, lot: L-0311, labelled: 3.0 GBq, reference: 2027-03-04T18:00, volume: 5.0 mL, at: 2027-03-04T08:00}
  - read:    {of: S1, meter: M1, at: 2027-03-04T11:00, gross: 3.24 GBq, background: 0.2 MBq, by: NT1}
  - draw:    {from: S1, into: Y2, for: P2, at: 2027-03-04T11:10, volume: 1.0 mL, by: NT2}
  - read:    {of: Y2, meter: M1, at: 2027-03-04T11:12, gross: 0.62 GBq, background: 0.2 MBq, by: NT2}
  - draw:    {from: S1, into: Y1, for: P1, at: 2027-03-04T11:20, volume: 2.2 mL, by: NT1}
  - read:    {of: S1, meter: M1, at: 2027-03-04T11:24, gross: 1.18 GBq, background: 0.2 MBq}
  - note:    {text: the aunt of INV-222 called, at: 2027-03-04T11:30}
  - deviation: {for: P2, text: the port of INV-222 leaks, at: 2027-03-04T11:31}
  - deviation: {for: P1, text: the line was kinked, at: 2027-03-04T11:32}
  - correct: {entry: 6, reason: the display of INV-222 was misread, with: {read: {of: Y2, meter: M1, at: 2027-03-04T11:12, gross: 0.63 GBq, background: 0.2 MBq, by: NT3}}}
  - cancel: {for: P2, reason: INV-222 has a fever, at: 2027-03-04T11:40}
  - infuse:  {for: P1, from: Y1, start: 2027-03-04T13:30, stop: 2027-03-04T13:40, reason: complete}
`

// TestForOrder: what is handed out for one order says nothing of another patient,
// and gives the same figures.
func TestForOrder(t *testing.T) {
	f, err := casefile.Decode([]byte(twoPatients), time.LoadLocation)
	if err != nil {
		t.Fatal(err)
	}
	own, err := casefile.ForOrder(journal.Records(f.Facts), "P1")
	if err != nil {
		t.Fatal(err)
	}
	data, err := casefile.Export(casefile.Extract(own), time.LoadLocation)
	if err != nil {
		t.Fatal(err)
	}
	text := string(data)
	for _, gone := range []string{"INV-222", "segment", "PHY2", "NT2", "NT3", "aunt", "P2", "fever", "leaks", "misread"} {
		if strings.Contains(text, gone) {
			t.Errorf("%q is handed out:\n%s", gone, text)
		}
	}
	for _, there := range []string{"INV-111", "right lobe", "PHY1", "NT1", "the line was kinked", "other-A", "0.60 GBq", "not shown", "person-"} {
		if !strings.Contains(text, there) {
			t.Errorf("%q is missing:\n%s", there, text)
		}
	}
	got, want := dispensing.Reckon(facttest.FoldText(t, text), time.Time{}), dispensing.Reckon(facttest.FoldText(t, twoPatients), time.Time{})
	for i, o := range want.Orders {
		g := got.Orders[i]
		if g.Dispensed == nil || o.Dispensed == nil || g.Dispensed.Activity != o.Dispensed.Activity || g.Dispensed.U != o.Dispensed.U {
			t.Errorf("%s: %+v, want %+v", o.Order.ID, g.Dispensed, o.Dispensed)
		}
	}
	if before, _ := casefile.Export(f.Facts, time.LoadLocation); !strings.Contains(string(before), "INV-222") {
		t.Error("the records themselves were changed")
	}
}
