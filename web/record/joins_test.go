package record_test

import (
	"net/http"
	"testing"

	"vialwright/quantity"
	"vialwright/web/webtest"
)

// A correction that moves a draw to another vial, received under another setting,
// joins what is reckoned together. It is asked about first, recorded at once after
// the answer, and undone the same way; each vial keeps the label tolerance of its
// receipt.
func TestCorrectionJoins(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("assay")
	s.Clock.Set("11:10")
	s.RP.Fill("/settings", "policy", "/settings", "p0.label-tolerance", "5", "p0.reason", "by the committee").Recorded()
	s.RP.Fill("/day/enter/receive", "receive", "/day/enter/receive", "p0.vial", "S2", "p0.lot", "L-0420", "p0.labelled", "3.0", "p0.labelled.unit", "GBq",
		"p0.reference", "2027-03-04T18:00", "p0.volume", "5.0", "p0.at", "2027-03-04T11:05").Recorded()
	s.Go("draw")
	n := webtest.Decimal(webtest.Case(s).Newest)
	at := "/entry/" + n + "/correct"
	for _, vial := range []string{"S2", "S1"} {
		other := map[string]string{"S1": "S2", "S2": "S1"}[vial]
		before := webtest.Case(s).Newest
		p := s.T1.Fill(at, "correct", at, "p0.reason", "the other vial", "p0.with.draw.from", vial)
		p.Says(http.StatusUnprocessableEntity, "The entry takes it from "+other+", and the correction from "+vial, "Nothing is recorded before the answer")
		if got := webtest.Case(s).Newest; got != before {
			t.Errorf("%d records before the answer", got-before)
		}
		v := p.Form("correct")
		v.Set("p0.reason.answer", attrOf(t, p, "p0.reason.answer"))
		if v.Has("pin") {
			v.Set("pin", webtest.PIN)
		}
		s.T1.Post(at, v).Recorded()
		st := s.Reckoned(s.Server.Lab.File("P1", "S1", "S2"))
		for i, want := range []quantity.Volume{5, 5} {
			k := st.Case.Vials[i]
			if k.ID == vial {
				want -= 2.2
			}
			if got := st.Case.Book.Volume(k.ID); got < want-1e-9 || got > want+1e-9 || k.Tolerance != []quantity.Fraction{0.10, 0.05}[i] {
				t.Errorf("%s holds %v, want %v; its label tolerance is %v", k.ID, got, want, k.Tolerance)
			}
		}
	}
}

// attrOf is the first answer that a page offers under a name.
func attrOf(t *testing.T, p *webtest.Page, name string) string {
	t.Helper()
	for _, in := range webtest.Field.FindAllString(p.Body, -1) {
		a := map[string]string{}
		for _, m := range webtest.Attr.FindAllStringSubmatch(in, -1) {
			a[m[1]] = m[2]
		}
		if a["name"] == name {
			return a["value"]
		}
	}
	t.Fatalf("no answer under %s", name)
	return ""
}
