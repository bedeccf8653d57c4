package record_test

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"vialwright/web/webtest"
)

// A year after a preparation its ids are still those of its order, vial, syringe
// and administration vial. What is proposed is free on the whole site; an id that
// was used is refused beside its field, with what it was and when and with a free
// one, and every word that was typed is kept.
func TestUsedLastYear(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("close")
	s.RP.Fill("/day/enter/discard", "discard", "/day/enter/discard", "p0.from", "S1", "p0.into", "W1").Recorded()
	s.Clock.Add(365 * 24 * time.Hour)
	s = webtest.NewStory(s.Lab)
	refused := func(b *webtest.Browser, at, id, action, control, used, says, free string, typed ...string) {
		t.Helper()
		before := webtest.Case(s).Newest
		p := b.Fill(at, id, action, append(typed, control, used)...)
		p.Says(http.StatusUnprocessableEntity, used+" was used before, for "+says, "2027-03-04", "An id is used once on the site, for ever. Free is "+free+".")
		if f := p.Form(id); webtest.Case(s).Newest != before || f.Get(control) != used || f.Get(typed[0]) != typed[1] {
			t.Errorf("%d records, the form holds %v", webtest.Case(s).Newest-before, f)
		}
		if at := strings.Index(p.Body, used+" was used before"); !strings.Contains(p.Body[max(0, at-1500):at], `name="`+control+`"`) {
			t.Error("it does not stand beside its field")
		}
	}
	order := []string{"p0.patient", "DEMO-0077", "p0.prescribed", "1.30", "p0.prescribed.unit", "GBq", "p0.at", "2028-03-03T18:30", "p0.by", "D. Example"}
	refused(s.RP, "/day/enter/order", "order", "/day/enter/order", "p0.id", "P1", "an order, in entry 12 of", "P2", order...)
	s.RP.Fill("/day/enter/order", "order", "/day/enter/order", append(order, "p0.id", "p1")...).
		Says(http.StatusUnprocessableEntity, "p1 differs in letter case alone from P1, which was used for an order, in entry 12 of", "Free is p2.", "To change order P1")
	s.RP.Fill("/day/enter/order", "order", "/day/enter/order", append(order, "p0.id", "P2")...).Recorded()
	s.DR.Fill("/order/P2", "sign-order", "/order/P2/step/sign-order").Recorded()
	vial := []string{"p0.lot", "L-0420", "p0.labelled", "3.0", "p0.labelled.unit", "GBq", "p0.reference", "2028-03-03T20:00", "p0.volume", "5.0"}
	refused(s.RP, "/day/enter/receive", "receive", "/day/enter/receive", "p0.vial", "S1", "a vial, in entry", "S2", vial...)
	refused(s.RP, "/day/enter/receive", "receive", "/day/enter/receive", "p0.vial", "Y1", "a syringe, in entry", "S2", vial...)
	step := func(key string, typed ...string) {
		t.Helper()
		s.T1.Fill("/order/P2/step/"+key, "step", "/order/P2/step/"+key, typed...).Recorded()
	}
	step("readiness", "p0.result", "pass", "p1.result", "pass", "p2.result", "pass", "p3.result", "pass", "p4.result", "pass", "p5.result", "pass")
	step("receipt", append(vial, "p0.vial", "S2")...)
	step("assay", "p0.gross", "3.24", "p0.gross.unit", "GBq", "p0.background", "0.2", "p0.background.unit", "MBq")
	s.T1.Fill("/order/P2", "resuspend", "/order/P2/step/resuspend").Recorded()
	if into := s.T1.Look("/order/P2/step/draw").Form("step").Get("p0.into"); into != "Y2" {
		t.Errorf("proposed is %q", into)
	}
	draw := []string{"p0.volume", "2.2"}
	refused(s.T1, "/order/P2/step/draw", "step", "/order/P2/step/draw", "p0.into", "Y1", "a syringe, in entry", "Y2", draw...)
	refused(s.T1, "/order/P2/step/draw", "step", "/order/P2/step/draw", "p0.into", "P1", "an order, in entry", "Y2", draw...)
	step("draw", append(draw, "p0.into", "Y2")...)
	// A reading that follows the draw, so that the make-up can come.
	step("remainder", "p0.gross", "1.87", "p0.gross.unit", "GBq", "p0.background", "0.2", "p0.background.unit", "MBq")
	step("make-up", "p0.volume", "1.3", "p0.diluent", "water for injection", "p0.lot", "W-77")
	refused(s.T1, "/order/P2/step/transfer", "step", "/order/P2/step/transfer", "p0.into", "A1", "an administration vial, in entry", "A2", "p0.from", "Y2")
	step("transfer", "p0.into", "A2")
	// Nor does a correction bring an id of another order.
	n := webtest.Decimal(webtest.Case(s).Newest)
	refused(s.T1, "/entry/"+n+"/correct", "correct", "/entry/"+n+"/correct", "p0.with.transfer.into", "A1", "an administration vial, in entry", "A3", "p0.reason", "a slip")
	into := s.RP.Get("/day/enter/discard").Form("discard")
	if got := into.Get("p0.into"); got != "W2" {
		t.Errorf("the waste item proposed is %q", got)
	}
}
