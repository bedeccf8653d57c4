package preparation_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"vialwright/fact"
	"vialwright/web/webtest"
)

// misses are the near misses of the case.
func misses(s *webtest.Story) (out []*fact.NearMiss) {
	for _, e := range webtest.Case(s).Entries() {
		if x, ok := e.Fact.(*fact.NearMiss); ok {
			out = append(out, x)
		}
	}
	return out
}

// TestDrawAsksAboutTheVial: a draw from a vial that is not the planned one, or
// was not assayed, is asked about, and recorded only with the answer to that
// question; one from another vial than was scanned is refused.
func TestDrawAsksAboutTheVial(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("assay")
	receive := "/day/enter/receive"
	s.T1.Fill(receive, "receive", receive, "p0.vial", "S2", "p0.lot", "L-0312", "p0.labelled", "3.0", "p0.labelled.unit", "GBq",
		"p0.reference", "2027-03-04T18:00", "p0.volume", "5.0").Recorded()
	step := webtest.Bench + "/step/draw"
	other := []string{"p0.volume", "2.1", "p0.from", "S2"}
	p := s.T1.Fill(step, "step", step, other...)
	p.Says(http.StatusUnprocessableEntity, "planned from S1, and this one is from S2", "S2 was not assayed before this draw", "Yes: it was drawn from S2")
	asked := p.Choice("p0.from.answer", 0)
	s.T1.Fill(step, "step", step, append(other, "p0.from.answer", p.Choice("p0.from.answer", 1))...).Says(http.StatusUnprocessableEntity, "planned from S1")
	s.T1.Fill(step, "step", step, append(other, "p0.scanned", "S1")...).Says(http.StatusUnprocessableEntity, "The scan says S1, and the draw says S2")
	s.T1.Fill(step, "step", step, append(other, "p0.scanned", "S9")...).Says(http.StatusUnprocessableEntity, "The scan matches no vial here")
	if n := len(s.Facts("draw")); n != 0 {
		t.Fatalf("%d draws were recorded without an answer", n)
	}
	if got := misses(s); len(got) != 2 || got[0].For != "P1" || got[0].Step != "draw" {
		t.Errorf("near misses %+v", got)
	}
	s.T1.Fill(step, "step", step, append(other, "p0.scanned", "s2", "p0.from.answer", asked)...).Recorded()
	d, _ := s.Facts("draw")[0].(*fact.Draw)
	if len(s.Facts("draw")) != 1 || d.From != "S2" || d.Scanned != "s2" {
		t.Errorf("draws %+v", d)
	}
}

// TestDrawBeforeTheAssay: of a draw that is said to be earlier than the assay of the
// vial it is the time that is in doubt, and not the vial.
func TestDrawBeforeTheAssay(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("assay")
	s.Clock.Set("11:30")
	step := webtest.Bench + "/step/draw"
	assay := lastOf(s, "read")
	s.T1.Fill(assay, "correct", assay, "p0.reason", "the clock was late", "p0.with.read.at", "2027-03-04T11:20").Recorded()
	s.T1.Fill(step, "step", step, "p0.volume", "2.1", "p0.at", "2027-03-04T11:10").Says(http.StatusUnprocessableEntity,
		"A draw at 11:10 is before the first assay of S1, at 11:20. Is the time right?", "Yes: it was drawn at 11:10")
}

// TestRefusedScansStay: a scan that is refused is an entry, without what may
// name a person, and the review counts it.
func TestRefusedScansStay(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("label")
	scan := func(raw, back string) *webtest.Page {
		t.Helper()
		return s.T1.Post("/scan?back="+url.QueryEscape(back), url.Values{"raw": {raw}})
	}
	scan("S1", "/day").Leads("/")
	scan("WK99-VFTV-W544", webtest.Bench).Says(404, "No dose of this laboratory")
	scan("Jane Doe 1950", "/").Says(404, "no identifier of an order")
	s.RP.Look("/")
	s.Step(s.RP, "release", "p0.serial", webtest.AnotherSerial()).Says(http.StatusForbidden, "is no label of order P1")
	want := []fact.NearMiss{
		{For: "P1", What: "a scan that is not known here", Scanned: "WK99-VFTV-W544"},
		{What: "a scan that is not known here, of 13 characters"},
		{For: "P1", Step: "release"},
	}
	got := misses(s)
	if len(got) != len(want) {
		t.Fatalf("%d near misses, want %d", len(got), len(want))
	}
	for i, w := range want {
		x := got[i]
		if x.For != w.For || x.Step != w.Step || w.What != "" && x.What != w.What || w.Scanned != "" && x.Scanned != w.Scanned {
			t.Errorf("near miss %d is %+v, want %+v", i+1, x, w)
		}
	}
	s.Go("release", "hand-over", "time-out", "infusion", "residual", "survey")
	s.RP.Look(webtest.Bench+"/step/close").Says(200, "3 near misses", "No physician has completed the order with what was delivered.")
	s.DR.Fill(webtest.Bench, "complete-order", webtest.Bench+"/step/complete-order").Recorded()
	if text := s.RP.Look(webtest.Bench + "/step/close").Text(); strings.Contains(text, "No physician has completed") {
		t.Error("a completed order is asked to be completed before its record is closed")
	}
}

// TestScanAtTheDraw: a vial's id scanned at the bench is in the form of the
// draw that is due.
func TestScanAtTheDraw(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("assay")
	s.T1.Post("/scan?back="+url.QueryEscape(webtest.Bench), url.Values{"raw": {"s1"}}).Leads(webtest.Bench)
	if got := s.T1.Look(webtest.Bench).Form("step").Get("p0.scanned"); got != "s1" {
		t.Errorf("the draw has %q scanned", got)
	}
	if said := s.T1.Look(webtest.Bench).Text(); strings.Contains(said, "What you typed") {
		t.Error("what was scanned is told as typed")
	}
	if got := misses(s); len(got) != 0 {
		t.Errorf("a vial of the case is a near miss: %+v", got)
	}
}
