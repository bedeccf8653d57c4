package preparation_test

import (
	"strings"
	"testing"

	"vialwright/web/webtest"
)

// read records a reading of the vial in the form of a step.
func read(s *webtest.Story, step, clock, gross string) {
	s.Helper()
	s.Clock.Set(clock)
	s.Step(s.T1, step, "p0.gross", gross, "p0.gross.unit", "GBq", "p0.background", "0.2", "p0.background.unit", "MBq").Recorded()
}

// stands asks at which step the bench stands.
func stands(s *webtest.Story, title string) *webtest.Page {
	s.Helper()
	p := s.T1.Look(webtest.Bench)
	if !strings.Contains(p.Body, `data-stands="`+title+`"`) {
		s.Fatalf("the bench does not stand at %q: %s", title, p.Text())
	}
	return p
}

// What goes otherwise at the bench, and how it comes back to the way.
func TestDetours(t *testing.T) {
	drawn := func(t *testing.T, volume, left string) *webtest.Story {
		s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("assay")
		s.Clock.Set("11:10")
		s.Step(s.T1, "draw", "p0.volume", volume).Recorded()
		read(s, "remainder", "11:14", left)
		return s
	}
	t.Run("too little is topped up", func(t *testing.T) {
		s := drawn(t, "1.8", "2.13")
		stands(s, "Add, return or redraw").Says(200, "Draw more 0.4 mL")
		s.Clock.Set("11:16")
		s.Step(s.T1, "adjust", "p0.volume", "0.4").Recorded()
		stands(s, "Assay of remainder")
		read(s, "remainder", "11:17", "1.87")
		stands(s, "Make up the volume")
	})
	t.Run("too much is given back in part", func(t *testing.T) {
		s := drawn(t, "2.8", "1.45")
		stands(s, "Add, return or redraw").Says(200, "Return 0.7 mL")
		s.Clock.Set("11:16")
		s.Step(s.T1, "adjust", "p0.volume", "0.7").Recorded()
		read(s, "remainder", "11:17", "1.89")
		stands(s, "Make up the volume")
	})
	t.Run("all of it goes back and is drawn again", func(t *testing.T) {
		s := drawn(t, "2.2", "1.87")
		s.T1.Fill(webtest.Bench, "give-back", webtest.Bench+"/step/give-back").Recorded()
		stands(s, "Draw the dose").Says(200, "All of it was returned to the vial: redraw")
		s.Clock.Set("11:20")
		s.Step(s.T1, "draw", "p0.volume", "2.2", "p0.into", "Y2").Recorded()
		read(s, "remainder", "11:22", "1.86")
		stands(s, "Make up the volume")
	})
	t.Run("after the label it still goes back, and its label is void", func(t *testing.T) {
		s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("label")
		s.T1.Fill(webtest.Bench, "give-back", webtest.Bench+"/step/give-back").Recorded()
		stands(s, "Draw the dose")
		s.RP.Look("/")
		p := s.RP.Look(webtest.Bench).Form("note")
		p.Set("p0.serial", s.Serial)
		p.Set("pin", webtest.PIN)
		if got := s.RP.Post(webtest.Bench+"/step/release", p); got.Status == 303 {
			t.Error("it was taken")
		}
		if strings.Contains(s.RP.Look("/history").Text(), "released") {
			t.Error("a dose that was given back was released")
		}
	})
	t.Run("given up, and taken up again", func(t *testing.T) {
		s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("transfer")
		s.T1.Fill(webtest.Bench, "cancel", webtest.Bench+"/step/cancel", "p0.reason", "the patient has a fever").Recorded()
		s.T1.Look(webtest.Bench).Says(200, "Cancelled", "the patient has a fever")
		p := s.RP.Look("/history")
		at := strings.LastIndex(p.Body, "/correct\"")
		from := strings.LastIndex(p.Body[:at], "href=\"") + len("href=\"")
		entry := p.Body[from : at+len("/correct")]
		s.RP.Fill(entry, "correct", entry, "p0.reason", "the fever was gone", "p0.strike", "yes").Recorded()
		stands(s, "Second check, by another person")
	})
	t.Run("what left the laboratory is not given back", func(t *testing.T) {
		s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("hand-over")
		v := s.T1.Look(webtest.Bench).Form("note")
		v.Set("p0.into", "S1")
		s.T1.Post(webtest.Bench+"/step/give-back", v).Says(403, "there is no dose in the laboratory to return")
	})
}
