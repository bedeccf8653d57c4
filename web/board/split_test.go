package board_test

import (
	"testing"

	"vialwright/web/webtest"
)

// Two orders out of one vial stand beside each other, and their sum against
// what the vial holds; worked by hand: 3.24 GBq in 5 mL at 11:00. P1 wants
// 1.30/0.98 · 2^(2.5/64.0417) = 1.3629 GBq, P2 1.10 · 2^(4/64.0417) = 1.1487
// GBq, together 2.512 GBq; with the yield assumed as 100 % that is 2.1 and 1.8
// mL, 3.9 mL together.
func TestSplit(t *testing.T) {
	l := webtest.New(t, nil).Hire()
	s := webtest.NewStory(l)
	s.Until("receipt")
	order := func(id, territory, prescribed string) {
		s.RP.Fill("/day/enter/order", "order", "/day/enter/order", "p0.id", id, "p0.patient", "DEMO-0042", "p0.territory", territory,
			"p0.prescribed", prescribed, "p0.prescribed.unit", "GBq", "p0.at", "2027-03-04T15:00", "p0.by", "D. Example").Recorded()
	}
	order("P2", "left lobe", "1.10")
	s.Go("assay")
	s.RP.Look("/day").Says(200, "Doses out of vial S1", "1 P1 right lobe, DEMO-0042 1.30 GBq (35.14 mCi)", "to draw 2.1 mL",
		"2 P2 left lobe, DEMO-0042 1.10 GBq (29.73 mCi)", "to draw 1.8 mL", "3.9 mL of 5 mL", "2.512 GBq of 3.240 ± 0.070 GBq")
	// A third is too much.
	order("P3", "left lobe", "1.20")
	s.RP.Get("/day").Says(200, "not enough")
	// An infusion of another day is told with its day.
	s.RP.Fill("/day/enter/order", "order", "/day/enter/order", "p0.id", "P4", "p0.patient", "DEMO-0043", "p0.territory", "left lobe",
		"p0.prescribed", "1.10", "p0.prescribed.unit", "GBq", "p0.at", "2027-03-05T15:00", "p0.by", "D. Example").Recorded()
	s.RP.Look("/day").Says(200, "4 P4 left lobe, DEMO-0043 1.10 GBq (29.73 mCi) Fri 5 Mar 15:00")
}
