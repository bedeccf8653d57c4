package web

import (
	"math"
	"net/http"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"vialwright/fact"
)

// checking fills the page of the second check in.
func (s *story) checking(b *browser, gross, figure string, more ...string) *page {
	s.Helper()
	return b.fill(theBench+"/check", "step", theBench+"/check", append([]string{
		"p0.gross", gross, "p0.gross.unit", "GBq", "p0.background", "0.2", "p0.background.unit", "MBq", "p0.activity", figure, "p0.activity.unit", "GBq",
	}, more...)...)
}

// labels counts the labels that are recorded.
func (s *story) labels() int { return len(s.facts("label")) }

// printing tries to print a label.
func (s *story) printing() *page {
	s.Helper()
	s.t1.look("/")
	return s.t1.post(theBench+"/step/label", url.Values{"nonce": {s.srv.newSerialForTest()}, "head": {decimal(mustCase(s).Newest)}, "pin": {pin}, "p0.size": {"administration-vial"}})
}

// A figure that does not follow from the own readings is not recorded: neither
// the prescription nor the first figure typed beside a reading passes.
func TestCheckFigureFollowsFromReading(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("baseline")
	s.clock.set("11:40")
	for _, c := range [][2]string{{"1.86", "1.30"}, {"0.10", "1.33"}, {"1.86", "1.54"}} {
		p := s.checking(s.mp, c[0], c[1])
		p.says(http.StatusForbidden, "your figure is more than 1 % from what your own readings give")
		if got := p.form("step").Get("p0.activity"); got != c[1] {
			t.Errorf("what was typed is gone: %q", got)
		}
	}
	if n := len(s.facts("second-check")); n != 0 {
		t.Errorf("%d checks are recorded", n)
	}
	s.check()
	v, _ := s.facts("second-check")[0].(*fact.SecondCheck)
	if v.Of != "S1" || v.Shared != 10+settings {
		t.Errorf("%+v", v)
	}
}

// A check that differs keeps the dose, shows no figure to who is asked to read
// again, and is struck out by its maker in one go, or by who may release; not
// by who prepared.
func TestCheckThatDiffers(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("baseline")
	s.clock.set("11:40")
	s.checking(s.mp, "1.93", "1.26").recorded()
	p := s.mp.get(theBench+"/check").says(200, "Differs", "1.26 GBq", "more than the 5 % that the site allows", "Strike out the check of MP1", "Both read again: first the person who prepared, then the checker.")
	if strings.Contains(p.body, `id="step"`) || strings.Contains(p.text(), "1.329") {
		t.Error("an empty form is back, or the first figure is told")
	}
	if s.printing(); s.labels() != 0 {
		t.Error("a label was printed for a dose whose check differs")
	}
	strike := entry(17)
	if v, ok := mustCase(s).Entry(17 + settings); !ok || v.Fact.Kind() != "second-check" {
		t.Fatalf("entry 17 is no check: %+v", v)
	}
	prepared := s.t1.look(theBench+"/check").says(200, "Differs")
	if strings.Contains(prepared.text(), "Strike out") || strings.Contains(prepared.text(), "1.26") {
		t.Error("who prepared is offered to strike the check out, or told its figure")
	}
	if p := s.t1.look(theBench).says(200, "Read again", "See the second check"); !strings.Contains(p.body, `id="reading"`) {
		t.Error("who prepared is asked to read again, and has no form for it")
	}
	s.t1.fill(strike, "correct", strike, "p0.reason", "I do not like it").says(http.StatusForbidden, "may not release")
	if p := s.rp.look(theBench+"/check").says(200, "Differs", "Show figures"); strings.Contains(p.text(), "1.26") || strings.Contains(p.text(), "Strike out") {
		t.Error("who could still check is told the figures, or decides without them")
	}
	s.rp.fill(theBench, "see-figures", theBench+"/step/see-figures").recorded()
	s.rp.look(theBench+"/check").says(200, "Second figure, MP1", "1.261", "First figure", "1.329", "Strike out the check of MP1")
	// The checker's own slip: struck out, and checked again at once.
	if p := s.mp.fill(strike, "correct", strike, "p0.reason", "the wrong line").recorded(); p.location != theBench+"/check" {
		t.Errorf("it leads to %s", p.location)
	}
	if p := s.checking(s.mp, "1.86", "1.33").recorded(); p.location != theBench+"/check" {
		t.Errorf("it leads to %s", p.location)
	}
	s.label()
}

// Once the check is there its page and the bench tell everybody both figures,
// their difference and what is shared, and no empty form comes back; so with
// the time-out.
func TestAfterTheCheck(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("second-check")
	for _, b := range []*browser{s.mp, s.t1, s.rp, s.dr, s.nurse} {
		for _, at := range []string{theBench + "/check", theBench} {
			if at != theBench && (b == s.dr || b == s.nurse) {
				continue // who may check at all has the page
			}
			p := b.look(at).says(200, "First figure 1.329 GBq", "Second figure, MP1 11:40 1.33 GBq, worked out as 1.33 GBq", "Difference 0.1 %",
				"allowed 5 %", "what was left in S1; the reading before the draw is shared, entry 13")
			if at != theBench && strings.Contains(p.body, `name="p0.gross"`) {
				t.Errorf("%s: the empty form is back", b.id)
			}
		}
	}
	for _, tell := range []func(*story){(*story).label, (*story).release, (*story).handOver, (*story).timeOut} {
		tell(s)
	}
	p := s.nurse.look(theBench+"/time-out").says(200, "The time-out was held by SN1", "right lobe", "1.33 GBq", "What is next")
	if strings.Contains(p.body, `name="p0.patient"`) {
		t.Error("the empty form of the time-out is back")
	}
}

// A check that was struck out after the label was printed leaves a label in
// force, which tells the next checker nothing.
func TestLabelIsBlind(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("label")
	s.rp.look("/labels/"+s.serial+".pdf").says(200, "")
	strike := entry(17)
	s.mp.fill(strike, "correct", strike, "p0.reason", "another vial").recorded()
	s.rp.look("/labels/"+s.serial+".pdf").says(http.StatusForbidden, "you may do the second check of this dose")
	if p := s.rp.look(theBench); strings.Contains(p.body, "/labels/") {
		t.Error("the label is offered to who may check")
	}
	s.t1.look("/labels/"+s.serial+".pdf").says(200, "")
}

// A dose that nobody has taken over is not given, whatever is sent.
func TestInfusionNeedsTakeOver(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("release")
	s.clock.set("12:30")
	s.step(s.rp, "hand-over", "p0.serial", s.serial, "p0.to", "SN1", "p0.place", "suite 2").recorded()
	s.clock.set("13:35")
	s.nurse.look("/")
	p := s.nurse.post(theBench+"/step/infusion", url.Values{
		"nonce": {"n"}, "head": {decimal(mustCase(s).Newest)}, "p0.start": {"2027-03-04T13:30"}, "p0.stop": {"2027-03-04T13:34"}, "p0.reason": {"complete"},
	})
	if p.status == http.StatusSeeOther || len(s.facts("infuse")) != 0 {
		t.Errorf("a dose that nobody took over was given: %d %s", p.status, p.text())
	}
}

// activity is a number with a unit of activity, as it may stand in a page.
var activity = regexp.MustCompile(`([0-9][0-9.]*)(?:\s|&nbsp;|&#160;)*(kBq|MBq|GBq|mCi)`)

// TestBlindToTheByte goes through every byte that the checker is sent on the
// page of the check, shown or not, also with an answer that refuses: neither
// the prescription nor anything found after the draw is among them, in any
// unit, to the 0.3 % to which three digits tell it.
func TestBlindToTheByte(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("baseline")
	s.clock.set("11:40")
	st, err := s.srv.reckonFor(mustCase(s), s.clock.now(), "")
	if err != nil {
		t.Fatal(err)
	}
	o := st.Result.Orders[0]
	hidden := map[string]float64{
		"the prescription": o.Order.Prescribed.MBq(), "what is wanted at infusion": o.Order.Target().MBq(), "what was wanted at the draw": o.Wanted.MBq(),
		"the first figure": o.Dispensed.Activity.MBq(), "what was expected": o.Plan.Expect.MBq(),
	}
	for _, r := range st.Case.Readings[1:] { // the first is that before the draw
		hidden["the reading after the draw"], hidden["the same, net"] = r.Gross.MBq(), (r.Gross - r.Background).MBq()
	}
	for _, k := range st.Result.Containers {
		hidden["what is in "+k.Container.ID] = k.Activity.MBq()
	}
	toMBq := map[string]float64{"kBq": 1e-3, "MBq": 1, "GBq": 1e3, "mCi": 37}
	pages := map[string]*page{"the page": s.mp.look(theBench + "/check")}
	wrong := s.mp.get(theBench + "/check").form("step")
	wrong.Set("p0.gross", "7")
	pages["a refusal"] = s.mp.post(theBench+"/check", wrong)
	for _, at := range []string{"/", "/day", theBench, theBench + "/step/draw", theBench + "/step/second-check"} {
		pages[at] = s.mp.look(at)
	}
	for name, p := range pages {
		sent := p.body
		for k, v := range p.header {
			sent += "\n" + k + ": " + strings.Join(v, " ")
		}
		for _, m := range activity.FindAllStringSubmatchIndex(sent, -1) {
			x, _ := strconv.ParseFloat(sent[m[2]:m[3]], 64)
			for what, y := range hidden {
				if y > 0 && math.Abs(x*toMBq[sent[m[4]:m[5]]]/y-1) < 0.003 {
					t.Errorf("%s tells %s: %s", name, what, sent[max(0, m[0]-60):m[1]])
				}
			}
		}
		for _, digits := range []string{"1.30", "1300", "35.1", "1.329", "1328", "1329", "35.9", "1.327", "1.87", "1870", "1869", "50.5", "98.1", "102.2"} {
			if at := regexp.MustCompile(`(^|[^0-9.])` + regexp.QuoteMeta(digits) + `($|[^0-9])`).FindStringIndex(sent); at != nil {
				t.Errorf("%s holds %s: %s", name, digits, sent[max(0, at[0]-60):min(len(sent), at[1]+30)])
			}
		}
	}
	// The test finds what is shown: to who prepared, all of it is.
	if p := s.t1.look(theBench); !strings.Contains(p.body, "1.329") || !strings.Contains(p.body, "1.30 GBq") {
		t.Error("who prepared is shown no figure, so that nothing was looked for")
	}
	s.mp.look(theBench+"/check").says(200, "3.24 GBq, background 0.2 MBq", "L-0311", "2.2 mL", "M1, syringe 0.95", "1 h 0.98923")
}
