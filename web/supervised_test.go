package web_test

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"

	"vialwright/fact"
	"vialwright/hotlab"
	"vialwright/web/kit"
	"vialwright/web/webtest"
)

// lapsed is the training of a person that ran out the day before the story.
func lapsed(who string) string {
	return "training: {who: " + who + ", in: unsealed sources, at: 2026-03-03T09:00, until: 2027-03-03T17:00}"
}

// beside signs a form as a supervisor.
func beside(id string) []string { return []string{"supervisor", id, "supervisor-pin", webtest.PIN} }

// A person whose training lapsed acts with the PIN of a supervisor: one who may, whose
// own training holds, and who is somebody else. The supervisor had a hand in it, and does not
// check the dose.
func TestLapsedActsBesideASupervisor(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("remainder")
	s.Tell(lapsed("T1"), lapsed("DR1"))
	s.Clock.Set("11:18")
	water := []string{"p0.volume", "1.3", "p0.diluent", "water for injection", "p0.lot", "W-77"}
	form := s.T1.Look(webtest.Bench).Says(http.StatusOK, "Your training in unsealed sources held until", "PIN of the supervisor", "I stood by and supervised this")
	if strings.Contains(form.Body, `name="supervisor" value="DR1"`) || !strings.Contains(form.Body, `name="supervisor" value="RP1"`) {
		t.Error("who is offered as a supervisor has lapsed too, or nobody is offered")
	}
	for _, c := range []struct {
		name, says string
		signs      []string
	}{
		{"nobody", "has lapsed, and nobody supervises", nil},
		{"no PIN", "it is empty", []string{"supervisor", "RP1"}},
		{"a wrong PIN", "the PIN of RP1: that is not right", []string{"supervisor", "RP1", "supervisor-pin", "1357"}},
		{"themselves", "that is you", beside("T1")},
		{"one who may not", "may not supervise", beside("SN1")},
		{"one who lapsed too", "has lapsed too", beside("DR1")},
		{"nobody of the site", "there is no account XX9", beside("XX9")},
	} {
		p := s.Step(s.T1, "make-up", append(c.signs, water...)...)
		if p.Says(http.StatusUnprocessableEntity, c.says); p.Form("step").Get("p0.lot") != "W-77" || p.Form("step").Get("supervisor-pin") != "" {
			t.Errorf("%s: what was typed is gone, or a PIN is kept", c.name)
		}
	}
	if kept := s.Draft("T1", webtest.Bench+"/step/make-up"); strings.Contains(kept, "1357") || strings.Contains(kept, webtest.PIN) {
		t.Errorf("a PIN is kept: %s", kept)
	}
	s.Step(s.T1, "make-up", append(beside("RP1"), water...)...).Recorded()
	x, _ := s.Facts("supervised")[0].(*fact.Supervised)
	if made, _ := webtest.Case(s).Entry(x.First); x.By != "RP1" || x.First != x.Last || fact.Word(made.Fact) != "make-up" {
		t.Errorf("%+v", x)
	}
	s.RP.Look("/history").Says(http.StatusOK, "supervised", "I stood by and supervised this")
	for _, step := range []struct {
		key, at string
		typed   []string
	}{{"transfer", "11:20", nil}, {"baseline", "11:30", []string{"p0.before.rate", "182 180 184 181", "p0.before.background", "0.2"}}} {
		s.Clock.Set(step.at)
		s.Step(s.T1, step.key, append(beside("RP1"), step.typed...)...).Recorded()
	}
	s.Clock.Set("11:40")
	s.RP.Look(webtest.Bench+"/check").Says(http.StatusOK, "would check their own work")
	s.Go("second-check")
}

// A second check beside which somebody stood who worked on the dose is none.
func TestNoCheckBesideWhoWorked(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("draw")
	s.Clock.Set("11:14")
	s.Step(s.RP, "remainder", "p0.gross", "1.87", "p0.gross.unit", "GBq", "p0.background", "0.2", "p0.background.unit", "MBq").Recorded()
	s.Go("make-up", "transfer", "baseline")
	s.Tell(lapsed("T2"))
	t2 := s.As("T2")
	s.Clock.Set("11:40")
	check := func(by string) *webtest.Page {
		return t2.Fill(webtest.Bench+"/check", "step", webtest.Bench+"/check", append(beside(by), "p0.gross", "1.86", "p0.gross.unit", "GBq",
			"p0.background", "0.2", "p0.background.unit", "MBq", "p0.activity", "1.33", "p0.activity.unit", "GBq")...)
	}
	check("RP1").Says(http.StatusUnprocessableEntity, "would stand by while it is checked")
	if n := len(s.Facts("second-check")); n != 0 {
		t.Fatalf("%d checks are recorded", n)
	}
	check("MP1").Recorded()
	s.Go("label", "release")
}

// A remark and the training of another need nobody, one's own training does.
func TestWhatNeedsNoSupervisor(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("assay")
	s.Tell(lapsed("MP1"), lapsed("T1"))
	train := func(who string, more ...string) *webtest.Page {
		return s.MP.Fill("/hot-lab/enter/training", "training", "/hot-lab/enter/training", append(more, "p0.who", who, "p0.in", "unsealed sources", "p0.until", "2028-03-03T17:00")...)
	}
	train("MP1").Says(http.StatusUnprocessableEntity, "has lapsed, and nobody supervises", "PIN of the supervisor")
	train("T1").Recorded()
	s.MP.Fill("/day/enter/note", "note", "/day/enter/note", "p0.text", "the lift is slow").Recorded()
	s.Clock.Set("11:10")
	s.T1.Fill(webtest.Bench, "resuspend", webtest.Bench+"/step/resuspend").Recorded() // trained again
	train("MP1", beside("RP1")...).Recorded()
	train("T2").Recorded()
}

// A person whose training lapsed records nothing alone that needs it, through no address that
// takes a form.
func TestNothingIsEnteredAloneAfterALapse(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("baseline")
	var who []string
	for _, p := range webtest.Staff {
		who = append(who, p.ID)
		s.Tell(lapsed(p.ID))
	}
	before, tried := s.Server.Lab.Report().Records, 0
	for _, id := range slices.Backward(who) { // the administrator, who resets a password, last
		b := s.AsElsewhere(id)
		for _, r := range s.Server.Routes {
			if r.Method != http.MethodPost || slices.Contains([]string{"/sign-out", "/sign-in", "/first", "/theme", "/draft"}, r.Path) {
				continue
			}
			for _, key := range []string{"reading", "release", "label", "second-check", "resuspend", "point-reading", "dose-report", "room", "discard", "keep-stock", "readiness-check", "settings", "order", "vial"} {
				at := strings.NewReplacer("{key}", key, "{form}", key).Replace(r.Path)
				v := url.Values{
					"nonce": {fmt.Sprint(tried)}, "head": {webtest.Decimal(webtest.Case(s).Newest)}, "pin": {webtest.PIN}, "p0.serial": {webtest.AnotherSerial()}, "p0.for": {"P1"}, "p0.of": {"A1"}, "p0.meter": {"M1"},
					"p0.gross": {"1.33 GBq"}, "p0.background": {"0.2 MBq"}, "p0.activity": {"1.33 GBq"}, "p0.reason": {"x"}, "p0.text": {"x"}, "p0.room": {"R9"}, "p0.name": {"x"}, "p0.id": {"P9"}, "p0.prescribed": {"1 GBq"},
					"p0.from": {"S1"}, "p0.into": {"W1"}, "p0.store": {"safe"}, "p0.until": {"2027-03-05T09:00"}, "p0.who": {id}, "p0.worn": {"ring"}, "p0.dosemeter": {"R-1"}, "p0.to": {"2027-03-04T09:00"}, "p0.measured": {"1 mSv"},
				}
				b.Post(placed(kit.Route{Path: at}, s.Serial), v)
				tried++
			}
		}
	}
	for _, e := range s.Server.Lab.Since(before) {
		if slices.Contains(who, e.By) && hotlab.NeedsTraining(e.By, fact.Blank(e.Kind)) {
			t.Errorf("%s entered a %s alone", e.By, e.Kind)
		}
	}
	if tried < 300 {
		t.Errorf("only %d tries", tried)
	}
}
