package web

import (
	"strings"
	"testing"
)

// read records a reading of the vial in the form of a step.
func (s *story) read(step, clock, gross string) {
	s.Helper()
	s.clock.set(clock)
	s.step(s.t1, step, "p0.gross", gross, "p0.gross.unit", "GBq", "p0.background", "0.2", "p0.background.unit", "MBq").recorded()
}

// stands asks at which step the bench stands.
func (s *story) stands(title string) *page {
	s.Helper()
	p := s.t1.look(theBench)
	if !strings.Contains(p.body, `data-stands="`+title+`"`) {
		s.Fatalf("the bench does not stand at %q: %s", title, p.text())
	}
	return p
}

// What goes otherwise at the bench, and how it comes back to the way.
func TestDetours(t *testing.T) {
	drawn := func(t *testing.T, volume, left string) *story {
		s := newStory(newLab1(t, nil).hire()).until("assay")
		s.clock.set("11:10")
		s.step(s.t1, "draw", "p0.volume", volume).recorded()
		s.read("remainder", "11:14", left)
		return s
	}
	t.Run("too little is topped up", func(t *testing.T) {
		s := drawn(t, "1.8", "2.13")
		s.stands("Add, return or redraw").says(200, "Draw in addition 0.4 mL")
		s.clock.set("11:16")
		s.step(s.t1, "adjust", "p0.volume", "0.4").recorded()
		s.stands("Assay of remainder")
		s.read("remainder", "11:17", "1.87")
		s.stands("Make up the volume")
	})
	t.Run("too much is given back in part", func(t *testing.T) {
		s := drawn(t, "2.8", "1.45")
		s.stands("Add, return or redraw").says(200, "Give back 0.7 mL")
		s.clock.set("11:16")
		s.step(s.t1, "adjust", "p0.volume", "0.7").recorded()
		s.read("remainder", "11:17", "1.89")
		s.stands("Make up the volume")
	})
	t.Run("all of it goes back and is drawn anew", func(t *testing.T) {
		s := drawn(t, "2.2", "1.87")
		s.t1.fill(theBench, "give-back", theBench+"/step/give-back").recorded()
		s.stands("Draw the dose").says(200, "All of it was returned to the vial: redraw")
		s.clock.set("11:20")
		s.step(s.t1, "draw", "p0.volume", "2.2", "p0.into", "Y2").recorded()
		s.read("remainder", "11:22", "1.86")
		s.stands("Make up the volume")
	})
	t.Run("after the label it still goes back, and its label is void", func(t *testing.T) {
		s := newStory(newLab1(t, nil).hire()).until("label")
		s.t1.fill(theBench, "give-back", theBench+"/step/give-back").recorded()
		s.stands("Draw the dose")
		s.rp.look("/")
		p := s.rp.look(theBench).form("note")
		p.Set("p0.serial", s.serial)
		p.Set("pin", pin)
		if got := s.rp.post(theBench+"/step/release", p); got.status == 303 {
			t.Error("it was taken")
		}
		if strings.Contains(s.rp.look("/history").text(), "released") {
			t.Error("a dose that was given back was released")
		}
	})
	t.Run("given up, and taken up again", func(t *testing.T) {
		s := newStory(newLab1(t, nil).hire()).until("transfer")
		s.t1.fill(theBench, "cancel", theBench+"/step/cancel", "p0.reason", "the patient has a fever").recorded()
		s.t1.look(theBench).says(200, "Given up", "the patient has a fever")
		p := s.rp.look("/history")
		at := strings.LastIndex(p.body, "/correct\"")
		from := strings.LastIndex(p.body[:at], "href=\"") + len("href=\"")
		entry := p.body[from : at+len("/correct")]
		s.rp.fill(entry, "correct", entry, "p0.reason", "the fever was gone", "p0.strike", "yes").recorded()
		s.stands("Baseline dose rate")
	})
	t.Run("what left the laboratory is not given back", func(t *testing.T) {
		s := newStory(newLab1(t, nil).hire()).until("hand-over")
		v := s.t1.look(theBench).form("note")
		v.Set("p0.into", "S1")
		s.t1.post(theBench+"/step/give-back", v).says(403, "there is no dose in the laboratory to give back")
	})
}
