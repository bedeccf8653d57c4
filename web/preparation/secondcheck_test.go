package preparation_test

import (
	"math"
	"net/http"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"vialwright/fact"
	"vialwright/web/webtest"
)

// checking fills the page of the second check in.
func checking(s *webtest.Story, b *webtest.Browser, gross, figure string, more ...string) *webtest.Page {
	s.Helper()
	return b.Fill(webtest.Bench+"/check", "step", webtest.Bench+"/check", append([]string{
		"p0.gross", gross, "p0.gross.unit", "GBq", "p0.background", "0.2", "p0.background.unit", "MBq", "p0.activity", figure, "p0.activity.unit", "GBq",
	}, more...)...)
}

// labels counts the labels that are recorded.
func labels(s *webtest.Story) int { return len(s.Facts("label")) }

// printing tries to print a label.
func printing(s *webtest.Story) *webtest.Page {
	s.Helper()
	s.T1.Look("/")
	return s.T1.Post(webtest.Bench+"/step/label", url.Values{"nonce": {webtest.AnotherSerial()}, "head": {webtest.Decimal(webtest.Case(s).Newest)}, "pin": {webtest.PIN}, "p0.size": {"administration-vial"}})
}

// A figure that does not follow from the own readings is not recorded: neither
// the prescription nor the first figure typed beside a reading passes.
func TestCheckFigureFollowsFromReading(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("baseline")
	s.Clock.Set("11:40")
	for _, c := range [][2]string{{"1.86", "1.30"}, {"0.10", "1.33"}, {"1.86", "1.54"}} {
		p := checking(s, s.MP, c[0], c[1])
		p.Says(http.StatusUnprocessableEntity, "Error: your figure is more than 1 % from what your own readings give")
		if got := p.Form("step").Get("p0.activity"); got != c[1] {
			t.Errorf("what was typed is gone: %q", got)
		}
		if strings.Contains(p.Body, "<h2>Second check, by another person") {
			t.Error("the refused form has the heading of the page once more")
		}
	}
	if n := len(s.Facts("second-check")); n != 0 {
		t.Errorf("%d checks are recorded", n)
	}
	s.Go("second-check")
	v, _ := s.Facts("second-check")[0].(*fact.SecondCheck)
	if v.Of != "S1" || v.Shared != 10+webtest.Settings {
		t.Errorf("%+v", v)
	}
}

// A check that differs keeps the dose, shows no figure to who is asked to read
// again, and is struck out by its maker in one go, or by who may release; not
// by who prepared.
func TestCheckThatDiffers(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("baseline")
	s.Clock.Set("11:40")
	checking(s, s.MP, "1.93", "1.26").Recorded()
	p := s.MP.Get(webtest.Bench+"/check").Says(200, "Differs", "1.26 GBq", "more than the 5 % that the site allows", "Strike out the check of MP1", "Both read again: first the person who prepared, then the checker.")
	if strings.Contains(p.Body, `id="step"`) || strings.Contains(p.Text(), "1.329") {
		t.Error("an empty form is back, or the first figure is told")
	}
	if printing(s); labels(s) != 0 {
		t.Error("a label was printed for a dose whose check differs")
	}
	strike := webtest.Entry(17)
	if v, ok := webtest.Case(s).Entry(17 + webtest.Settings); !ok || fact.Word(v.Fact) != "second-check" {
		t.Fatalf("entry 17 is no check: %+v", v)
	}
	for _, at := range []string{"/history", "/history?of=P1", webtest.Entry(17)} {
		if p := s.T1.Look(at); strings.Contains(p.Text(), "1.93") || strings.Contains(p.Text(), "1.26") {
			t.Errorf("%s shows who prepared the dose the figure of a check that differs: %s", at, p.Text())
		}
	}
	prepared := s.T1.Look(webtest.Bench+"/check").Says(200, "Differs")
	if strings.Contains(prepared.Text(), "Strike out") || strings.Contains(prepared.Text(), "1.26") {
		t.Error("who prepared is offered to strike the check out, or told its figure")
	}
	if p := s.T1.Look(webtest.Bench).Says(200, "Read A1 again", "See the second check"); !strings.Contains(p.Body, `id="reading"`) {
		t.Error("who prepared is asked to read again, and has no form for it")
	}
	s.T1.Fill(strike, "correct", strike, "p0.reason", "I do not like it").Says(http.StatusForbidden, "may not release")
	if p := s.RP.Look(webtest.Bench+"/check").Says(200, "Differs", "Show figures"); strings.Contains(p.Text(), "1.26") || strings.Contains(p.Text(), "Strike out") {
		t.Error("who could still check is told the figures, or decides without them")
	}
	s.RP.Fill(webtest.Bench, "see-figures", webtest.Bench+"/step/see-figures").Recorded()
	s.RP.Look(webtest.Bench+"/check").Says(200, "Second figure, MP1", "1.261", "First figure", "1.329", "Strike out the check of MP1")
	// The checker's own slip: struck out, and checked again at once.
	if p := s.MP.Fill(strike, "correct", strike, "p0.reason", "the wrong line").Recorded(); p.Location != webtest.Bench+"/check" {
		t.Errorf("it leads to %s", p.Location)
	}
	if p := checking(s, s.MP, "1.86", "1.33").Recorded(); p.Location != webtest.Bench+"/check" {
		t.Errorf("it leads to %s", p.Location)
	}
	s.Go("label")
}

// Once the check is there its page and the bench tell everybody both figures,
// their difference and what is shared, and no empty form comes back; so with
// the time-out.
func TestAfterTheCheck(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("second-check")
	for _, b := range []*webtest.Browser{s.MP, s.T1, s.RP, s.DR, s.Nurse} {
		for _, at := range []string{webtest.Bench + "/check", webtest.Bench} {
			if at != webtest.Bench && (b == s.DR || b == s.Nurse) {
				continue // who may check at all has the page
			}
			p := b.Look(at).Says(200, "First figure 1.329 GBq", "Second figure, MP1 11:40 1.33 GBq, worked out as 1.33 GBq", "Difference 0.1 %",
				"allowed 5 %", "the remainder in S1; the reading before the draw is shared, entry 21")
			if at != webtest.Bench && strings.Contains(p.Body, `name="p0.gross"`) {
				t.Errorf("%s: the empty form is back", b.ID)
			}
		}
	}
	s.Go("label", "release", "hand-over", "time-out")
	p := s.Nurse.Look(webtest.Bench+"/time-out").Says(200, "The time-out was held by SN1", "right lobe", "1.33 GBq", "What is next")
	if strings.Contains(p.Body, `name="p0.patient"`) {
		t.Error("the empty form of the time-out is back")
	}
}

// A check that was struck out after the label was printed leaves a label in
// force, which tells the next checker nothing.
func TestLabelIsBlind(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("label")
	s.RP.Look("/labels/"+s.Serial+".pdf").Says(200, "")
	strike := webtest.Entry(17)
	s.MP.Fill(strike, "correct", strike, "p0.reason", "another vial").Recorded()
	s.RP.Look("/labels/"+s.Serial+".pdf").Says(http.StatusForbidden, "You may do the second check of this dose")
	if p := s.RP.Look(webtest.Bench); strings.Contains(p.Body, "/labels/") {
		t.Error("the label is offered to who may check")
	}
	s.T1.Look("/labels/"+s.Serial+".pdf").Says(200, "")
}

// A dose that nobody has taken over is not given, whatever is sent.
func TestInfusionNeedsTakeOver(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("release")
	s.Clock.Set("12:30")
	s.Step(s.RP, "hand-over", "p0.serial", s.Serial, "p0.to", "SN1", "p0.place", "suite 2").Recorded()
	s.Clock.Set("13:35")
	s.Nurse.Look("/")
	p := s.Nurse.Post(webtest.Bench+"/step/infusion", url.Values{
		"nonce": {"n"}, "head": {webtest.Decimal(webtest.Case(s).Newest)}, "p0.start": {"2027-03-04T13:30"}, "p0.stop": {"2027-03-04T13:34"}, "p0.reason": {"complete"},
	})
	if p.Status == http.StatusSeeOther || len(s.Facts("infuse")) != 0 {
		t.Errorf("a dose that nobody took over was given: %d %s", p.Status, p.Text())
	}
}

// activity is a number with a unit of activity, as it may stand in a page.
var activity = regexp.MustCompile(`([0-9][0-9.]*)(?:\s|&nbsp;|&#160;)*(kBq|MBq|GBq|mCi)`)

// TestBlindToTheByte goes through every byte that the checker is sent on the
// page of the check, shown or not, also with an answer that refuses: neither
// the prescription nor anything found after the draw is among them, in any
// unit, to the 0.3 % to which three digits tell it.
func TestBlindToTheByte(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("baseline")
	s.Clock.Set("11:40")
	st := s.Reckoned(webtest.Case(s))
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
	pages := map[string]*webtest.Page{"the page": s.MP.Look(webtest.Bench + "/check")}
	wrong := s.MP.Get(webtest.Bench + "/check").Form("step")
	wrong.Set("p0.gross", "7")
	pages["a refusal"] = s.MP.Post(webtest.Bench+"/check", wrong)
	for _, at := range []string{"/", "/day", webtest.Bench, webtest.Bench + "/step/draw", webtest.Bench + "/step/second-check"} {
		pages[at] = s.MP.Look(at)
	}
	for name, p := range pages {
		sent := p.Body
		for k, v := range p.Header {
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
	if p := s.T1.Look(webtest.Bench); !strings.Contains(p.Body, "1.329") || !strings.Contains(p.Body, "1.30 GBq") {
		t.Error("who prepared is shown no figure, so that nothing was looked for")
	}
	s.MP.Look(webtest.Bench+"/check").Says(200, "3.24 GBq, background 0.2 MBq", "L-0311", "2.2 mL", "M1, syringe 0.95", "1 h 0.98923")
}

// Who opens the transfer before the dose was checked is told so first: it is done once.
func TestTransferOpenedEarly(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("make-up")
	s.T1.Get(webtest.Bench+"/step/transfer").Says(200, "It is done once: have the dose checked and labelled first")
	s.T1.Get(webtest.Bench+"/step/release").Says(200, "Release")
}
