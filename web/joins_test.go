package web

import (
	"net/http"
	"testing"

	"vialwright/quantity"
)

// A correction that moves a draw to another vial, received under another setting,
// joins what is reckoned together. It is asked about first, recorded at once after
// the answer, and undone the same way; each vial keeps the label tolerance of its
// receipt.
func TestCorrectionJoins(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("assay")
	s.clock.set("11:10")
	s.rp.fill("/settings", "policy", "/settings", "p0.label-tolerance", "5", "p0.reason", "by the committee").recorded()
	s.rp.fill("/day/enter/receive", "receive", "/day/enter/receive", "p0.vial", "S2", "p0.lot", "L-0420", "p0.labelled", "3.0", "p0.labelled.unit", "GBq",
		"p0.reference", "2027-03-04T18:00", "p0.volume", "5.0", "p0.at", "2027-03-04T11:05").recorded()
	s.draw()
	n := decimal(mustCase(s).Newest)
	at := "/entry/" + n + "/correct"
	for _, vial := range []string{"S2", "S1"} {
		other := map[string]string{"S1": "S2", "S2": "S1"}[vial]
		before := mustCase(s).Newest
		p := s.t1.fill(at, "correct", at, "p0.reason", "the other vial", "p0.with.draw.from", vial)
		p.says(http.StatusUnprocessableEntity, "The entry takes it from "+other+", and the correction from "+vial, "Nothing is recorded before the answer")
		if got := mustCase(s).Newest; got != before {
			t.Errorf("%d records before the answer", got-before)
		}
		v := p.form("correct")
		v.Set("p0.reason.answer", attrOf(t, p, "p0.reason.answer"))
		if v.Has("pin") {
			v.Set("pin", pin)
		}
		s.t1.post(at, v).recorded()
		st, err := s.srv.reckon(s.srv.lab.File("P1", "S1", "S2"), s.clock.now())
		if err != nil {
			t.Fatal(err)
		}
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
func attrOf(t *testing.T, p *page, name string) string {
	t.Helper()
	for _, in := range field.FindAllString(p.body, -1) {
		a := map[string]string{}
		for _, m := range attr.FindAllStringSubmatch(in, -1) {
			a[m[1]] = m[2]
		}
		if a["name"] == name {
			return a["value"]
		}
	}
	t.Fatalf("no answer under %s", name)
	return ""
}
