package preparation_test

import (
	"strings"
	"testing"

	"vialwright/fact"
	"vialwright/rules"
	"vialwright/web"
	"vialwright/web/webtest"
)

// TestOrderOfEachMethod: an order of each method is written, checked, signed, revised,
// signed again, given, and completed. What each check gives is held in package dose,
// by the published examples.
func TestOrderOfEachMethod(t *testing.T) {
	us, err := rules.Load("us")
	if err != nil {
		t.Fatal(err)
	}
	kg := func(field, kilograms string) []string {
		return []string{"p0.dosimetry." + field, kilograms, "p0.dosimetry." + field + ".unit", "kg"}
	}
	shunt := []string{"p0.dosimetry.lung-shunt", "5", "p0.dosimetry.lung-shunt-method", "planar geometric mean"}
	all := func(lists ...[]string) (out []string) {
		for _, l := range lists {
			out = append(out, l...)
		}
		return out
	}
	for method, c := range map[string]struct {
		rests       []string
		says, after string
	}{
		"surface-area": {all([]string{
			"p0.dosimetry.height", "170", "p0.dosimetry.height.unit", "cm", "p0.dosimetry.weight", "70", "p0.dosimetry.weight.unit", "kg",
			"p0.dosimetry.tumour-volume", "300", "p0.dosimetry.liver-volume", "1500", "p0.dosimetry.lobe-volume", "1000", "p0.dosimetry.lobe-tumour-volume", "250",
		}, shunt), "By surface area", "After the infusion, lungs"},
		"mono-compartment": {all(kg("perfused-mass", "1.0"), shunt), "Mean dose, perfused volume", "After the infusion, perfused volume"},
		"partition":        {all(kg("tumour-mass", "0.2"), kg("normal-mass", "1.4"), []string{"p0.dosimetry.tumour-to-normal", "3"}, shunt), "Mean dose, normal liver", "After the infusion, tumour"},
		"closed-system":    {all(kg("tumour-mass", "0.3"), []string{"p0.dosimetry.closed-system-ratio", "1.2", "p0.dosimetry.tumour-lung-share", "10"}), "Mean dose, tumour", "After the infusion, tumour"},
	} {
		s := webtest.NewStory(webtest.New(t, func(c *web.Config) { c.Rules = &us }).Hire())
		s.RP.Fill("/day/enter/order", "order", "/day/enter/order", append([]string{
			"p0.id", "P1", "p0.patient", "DEMO-0042", "p0.second-identifier", "STAY-7", "p0.one-identifier", "", "p0.territory", "right lobe", "p0.prescribed", "1.32", "p0.prescribed.unit", "GBq",
			"p0.at", "2027-03-04T13:30", "p0.residual", "2", "p0.by", "D. Example", "p0.or-at-stasis", "yes", "p0.dosimetry.method", method,
		}, c.rests...)...).Recorded()
		s.Second = "STAY-7"
		s.DR.Look(webtest.Bench).Says(200, "Check of the prescription, never a plan", strings.ReplaceAll(method, "-", " "), c.says)
		s.Sign()
		s.RP.Fill(webtest.Entry(1), "correct", webtest.Entry(1), "p0.reason", "a slip in the activity", "p0.with.order.prescribed", "1.30 GBq", "p0.with.order.version", "2").Recorded()
		s.DR.Look(webtest.Bench).Says(200, "the order changed after it was signed")
		s.Sign()
		untilInfusion(s, nil)
		s.Go("infusion", "residual")
		s.T1.Look(webtest.Bench+"/step/residual").Says(200, c.after, "not an image-based dose")
		s.DR.Fill(webtest.Bench, "complete-order", webtest.Bench+"/step/complete-order").Recorded()
		x, _ := s.Facts("complete-order")[0].(*fact.CompleteOrder)
		if x.Outcome != "no event: within" || x.Version != "2" || x.Reason != fact.Complete || x.Late != "" {
			t.Errorf("%s: completed as %+v", method, x)
		}
	}
}
