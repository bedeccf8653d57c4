package preparation_test

import (
	"strings"
	"testing"

	"vialwright/web/webtest"
)

// TestLungsOfTwoVials: once the dose of an order is drawn its pages are of its own vial alone, and the lungs are
// held against the limit with another order of the patient all the same: on the bench, on the
// board, on the sheet, and when its release is sent.
func TestLungsOfTwoVials(t *testing.T) {
	rests := []string{
		"p0.dosimetry.method", "partition", "p0.dosimetry.tumour-mass", "0.2", "p0.dosimetry.tumour-mass.unit", "kg", "p0.dosimetry.normal-mass", "1.4", "p0.dosimetry.normal-mass.unit", "kg",
		"p0.dosimetry.tumour-to-normal", "3 to 1", "p0.dosimetry.lung-shunt", "30", "p0.dosimetry.lung-shunt-method", "planar geometric mean", "p0.dosimetry.lung-max", "30",
	}
	s := webtest.NewStory(webtest.New(t, nil).Hire())
	enter := func(id, patient string) *webtest.Page {
		return s.RP.Fill("/day/enter/order", "order", "/day/enter/order", append([]string{
			"p0.id", id, "p0.patient", patient, "p0.territory", "right lobe", "p0.prescribed", "1.30", "p0.prescribed.unit", "GBq", "p0.at", "2027-03-04T13:30", "p0.residual", "2", "p0.by", "D. Example",
		}, rests...)...)
	}
	enter("P1", "DEMO-0042").Recorded()
	s.Sign()
	s.Go("readiness", "receipt", "assay", "draw", "remainder", "make-up", "transfer", "baseline", "second-check", "label")
	const says = "lungs, this treatment with order P2: about 39 Gy is more than 30 Gy"
	s.Clock.Set("11:50")
	const step = webtest.Bench + "/step/release"
	release := s.RP.Look(step).Form("step")
	release.Set("p0.serial", s.Serial)
	release.Set("pin", webtest.PIN)
	enter("P3", "DEMO-0043").Recorded()
	enter("P2", "DEMO-0042").Recorded()
	s.T1.Look(webtest.Bench).Says(200, says)
	s.RP.Post(step, release)
	if got := s.Facts("release"); len(got) > 0 {
		t.Fatalf("released: %v", got)
	}
	s.RP.Look(step).Says(200, says, "Put it right")
	s.RP.Look("/").Says(200, says)
	if got := s.T1.Printed("/sheet/P1.pdf"); !strings.Contains(strings.Join(strings.Fields(got), " "), says) {
		t.Errorf("the sheet does not say %q: %s", says, got)
	}
	s.T1.Fill("/order/P2", "cancel", "/order/P2/step/cancel", "p0.reason", "the patient has a fever").Recorded()
	s.Go("release")
}
