package preparation_test

import (
	"testing"

	"vialwright/fact"
	"vialwright/web/webtest"
)

// TestDosesOfOnePatient: the label of a dose counts the orders of its patient on the same day, from whatever vial,
// and once its own is drawn too; not those of another day.
func TestDosesOfOnePatient(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("second-check")
	for _, x := range [][2]string{{"P2", "2027-03-04T13:30"}, {"P3", "2027-03-05T13:30"}} {
		s.RP.Fill("/day/enter/order", "order", "/day/enter/order", "p0.id", x[0], "p0.patient", "DEMO-0042", "p0.territory", "left lobe",
			"p0.prescribed", "1.10", "p0.prescribed.unit", "GBq", "p0.at", x[1], "p0.residual", "2", "p0.by", "D. Example").Recorded()
	}
	s.Clock.Set("11:45")
	s.Go("label")
	l, _ := s.Facts("label")[0].(*fact.Label)
	if l.Printed.Dose != 1 || l.Printed.Doses != 2 {
		t.Errorf("the label says dose %d of %d", l.Printed.Dose, l.Printed.Doses)
	}
}
