package web

import (
	"html"
	"net/http"
	"net/url"
	"regexp"
	"testing"

	"vialwright/fact"
)

// misses are the near misses of the case.
func (s *story) misses() (out []*fact.NearMiss) {
	for _, e := range mustCase(s).Entries() {
		if x, ok := e.Fact.(*fact.NearMiss); ok {
			out = append(out, x)
		}
	}
	return out
}

// choice is the value of one of the answers to a question.
func (p *page) choice(name string, n int) string {
	p.tb.Helper()
	all := regexp.MustCompile(`name="`+regexp.QuoteMeta(name)+`" value="([^"]*)"`).FindAllStringSubmatch(p.body, -1)
	if n >= len(all) {
		p.tb.Fatalf("%d answers under %s", len(all), name)
	}
	return html.UnescapeString(all[n][1])
}

// TestDrawAsksAboutTheVial: a draw from a vial that is not the planned one, or
// was not assayed, is asked about, and recorded only with the answer to that
// question; one from another vial than was scanned is refused.
func TestDrawAsksAboutTheVial(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("assay")
	receive := "/day/enter/receive"
	s.t1.fill(receive, "receive", receive, "p0.vial", "S2", "p0.lot", "L-0312", "p0.labelled", "3.0", "p0.labelled.unit", "GBq",
		"p0.reference", "2027-03-04T18:00", "p0.volume", "5.0").recorded()
	step := theBench + "/step/draw"
	other := []string{"p0.volume", "2.1", "p0.from", "S2"}
	p := s.t1.fill(step, "step", step, other...)
	p.says(http.StatusUnprocessableEntity, "planned from S1, and this one is from S2", "S2 was not assayed before this draw", "Yes: it was drawn from S2")
	asked := p.choice("p0.from.answer", 0)
	s.t1.fill(step, "step", step, append(other, "p0.from.answer", p.choice("p0.from.answer", 1))...).says(http.StatusUnprocessableEntity, "planned from S1")
	s.t1.fill(step, "step", step, append(other, "p0.scanned", "S1")...).says(http.StatusUnprocessableEntity, "What was scanned is S1, and the draw says S2")
	s.t1.fill(step, "step", step, append(other, "p0.scanned", "S9")...).says(http.StatusUnprocessableEntity, "No vial here is known by what was scanned")
	if n := len(s.draws()); n != 0 {
		t.Fatalf("%d draws were recorded without an answer", n)
	}
	if got := s.misses(); len(got) != 2 || got[0].For != "P1" || got[0].Step != "draw" {
		t.Errorf("near misses %+v", got)
	}
	s.t1.fill(step, "step", step, append(other, "p0.scanned", "s2", "p0.from.answer", asked)...).recorded()
	if d := s.draws(); len(d) != 1 || d[0].From != "S2" || d[0].Scanned != "s2" {
		t.Errorf("draws %+v", d)
	}
}

// TestRefusedScansStay: a scan that is refused is an entry, without what may
// name a person, and the review counts it.
func TestRefusedScansStay(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("label")
	scan := func(raw, back string) *page {
		t.Helper()
		return s.t1.post("/scan?back="+url.QueryEscape(back), url.Values{"raw": {raw}})
	}
	scan("S1", "/day").leads("/")
	scan("WK99-VFTV-W544", theBench).says(404, "no dose of this laboratory")
	scan("Jane Doe 1950", "/").says(404, "no identifier of an order")
	s.rp.look("/")
	s.step(s.rp, "release", "p0.serial", s.srv.newSerialForTest()).says(http.StatusForbidden, "is no label of order P1")
	want := []fact.NearMiss{
		{For: "P1", What: "a scan of something that is not known here", Scanned: "WK99-VFTV-W544"},
		{What: "a scan of something that is not known here, of 13 characters"},
		{For: "P1", Step: "release"},
	}
	got := s.misses()
	if len(got) != len(want) {
		t.Fatalf("%d near misses, want %d", len(got), len(want))
	}
	for i, w := range want {
		x := got[i]
		if x.For != w.For || x.Step != w.Step || w.What != "" && x.What != w.What || w.Scanned != "" && x.Scanned != w.Scanned {
			t.Errorf("near miss %d is %+v, want %+v", i+1, x, w)
		}
	}
	for _, tell := range []func(){s.release, s.handOver, s.timeOut, s.infusion, s.residual, s.survey} {
		tell()
	}
	s.rp.look(theBench+"/step/close").says(200, "3 near misses")
}

// TestScanAtTheDraw: a vial's id scanned at the bench is in the form of the
// draw that is due.
func TestScanAtTheDraw(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("assay")
	s.t1.post("/scan?back="+url.QueryEscape(theBench), url.Values{"raw": {"s1"}}).leads(theBench)
	if got := s.t1.look(theBench).form("step").Get("p0.scanned"); got != "s1" {
		t.Errorf("the draw has %q scanned", got)
	}
	if got := s.misses(); len(got) != 0 {
		t.Errorf("a vial of the case is a near miss: %+v", got)
	}
}
