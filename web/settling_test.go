package web

import (
	"fmt"
	"net/http/httptest"
	"net/url"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/settling"
)

// touch is the one touch, sent with a nonce.
func (s *story) touch(b *browser, nonce string) *page {
	s.Helper()
	return b.post(theBench+"/shaken", url.Values{"nonce": {nonce}, "p0.of": {"S1"}})
}

// draws are the draws of the case as they were recorded.
func (s *story) draws() (out []*fact.Draw) {
	f := mustCase(s)
	for _, r := range f.Records {
		if d, ok := r.Fact.(*fact.Draw); ok {
			out = append(out, d)
		}
	}
	return out
}

func (s *story) shakings() int {
	f := mustCase(s)
	n := 0
	for _, r := range f.Records {
		if r.Fact.Kind() == "agitate" {
			n++
		}
	}
	return n
}

// TestClockOnTheBench: what the page says before the vial is shaken, after,
// and when it has stood too long. The window of the vial of the story is 51 s
// by the best estimate (5 mL, 2.1 mL in 10 s, tip 5 mm).
func TestClockOnTheBench(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("assay")
	s.t1.look(theBench).says(200, "Not shaken", "No shaking of S1 is noted.", "Resuspended Alt+Shift+S", "Needle tip 5 mm up, assumed", "Draw 2.1 mL in 10 s, assumed", settling.Caution)
	s.touch(s.t1, "one").recorded()
	s.t1.look(theBench).says(200, "Still mixed", "A draw begun within 51 s stays within 5\u00a0% of the mixed vial, by the model's best estimate.", "S1 was shaken 0 s ago, at 11:00:00")
	s.clock.add(20 * time.Second)
	p := s.t1.look(theBench).says(200, "Still mixed", "begun within 31 s", "now, 20 s", "trusted to 51 s", "clear", "bed")
	if !strings.Contains(p.body, `data-until="2027-03-04T12:00:51.`) || !strings.Contains(p.body, `data-then-word="Resuspend again"`) || !strings.Contains(p.body, `data-now="2027-03-04T12:00:20.000Z"`) {
		t.Error("the page does not tell the script when what it says ends")
	}
	s.clock.add(35 * time.Second)
	s.t1.look(theBench).says(200, "Resuspend again", "The model says that a draw begun now is 9.0\u00a0% too thin.", "S1 was shaken 55 s ago")
	s.clock.add(time.Hour)
	s.t1.look(theBench).says(200, "Resuspend again", "The bed reaches the needle tip", "S1 was shaken 1 h 1 min ago")
	s.touch(s.t1, "two").recorded()
	s.t1.look(theBench).says(200, "Still mixed")
	s.t1.look(theBench+"/step/make-up").says(200, "Make up the volume")
	if strings.Contains(s.t1.look(theBench+"/step/make-up").body, `id="settling"`) {
		t.Error("the clock stands beside a step that it does not matter to")
	}
}

// TestOneTouch: it is recorded once however often it is sent, rests on nothing
// that the page showed, hinders no other form, and leads back.
func TestOneTouch(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("assay")
	form := s.t1.look(theBench).form("step")
	for range 3 {
		if p := s.touch(s.t1, "same").recorded(); p.location != theBench {
			t.Errorf("it leads to %s", p.location)
		}
	}
	s.rp.fill("/day/enter/note", "note", "/day/enter/note", "p0.text", "the lamp flickers").recorded()
	s.touch(s.t1, "other").recorded()
	if n := s.shakings(); n != 2 {
		t.Errorf("shaken %d times, want 2", n)
	}
	form.Set("p0.volume", "2.1")
	s.t1.post(theBench+"/step/draw", form).recorded()
	dr := s.as("DR1")
	dr.post(theBench+"/shaken", url.Values{"nonce": {"x"}, "p0.of": {"S1"}}).says(403)
	s.t1.post(theBench+"/shaken", url.Values{"nonce": {"y"}, "p0.of": {"S9"}}).says(422, "The shaking was not recorded")
	if strings.Contains(dr.look(theBench+"/step/draw").body, `id="shake"`) {
		t.Error("who may not record it has the button")
	}
}

// TestClockLeadsBack to the page of the bench that the touch was on.
func TestClockLeadsBack(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("assay")
	st, err := s.srv.reckon(s.theFile(), s.clock.now())
	if err != nil {
		t.Fatal(err)
	}
	b, _ := (&request{Server: s.srv}).bench(st, "P1")
	for from, want := range map[string]string{
		theBench: theBench, theBench + "/step/draw": theBench + "/step/draw", theBench + "/check": theBench + "/check",
		theBench + "/step/shaken": theBench, "/day": theBench, "/": theBench, ":": theBench, theBench + "/step/draw?x=1": theBench + "/step/draw",
	} {
		if got := b.back(from); got != want {
			t.Errorf("from %s back to %s, want %s", from, got, want)
		}
	}
}

func (s *story) theFile() *file {
	f, ok := mustCase(s), true
	if !ok {
		s.Fatal("no case")
	}
	return f
}

// TestDrawKeepsWhatTheClockSaid: with an entry, with another time, with none,
// and after the entry was struck out.
func TestDrawKeepsWhatTheClockSaid(t *testing.T) {
	for _, c := range []struct {
		name     string
		shaken   bool
		strike   bool
		agitated string
		after    time.Duration
		// want is trusted and of mixed; empty for none.
		trusted, ofMixed string
	}{
		{name: "as the clock says", shaken: true, after: 20 * time.Second, trusted: "51 s", ofMixed: "100.0 %"},
		{name: "too late", shaken: true, after: 55 * time.Second, trusted: "51 s", ofMixed: "91.0 %"},
		{name: "bed at the tip", shaken: true, after: 10 * time.Minute, trusted: "51 s"},
		{name: "another time", shaken: true, after: 5 * time.Minute, agitated: "2027-03-04T11:04:30", trusted: "51 s", ofMixed: "99.8 %"},
		{name: "not noted", after: time.Minute},
		{name: "struck out", shaken: true, strike: true, after: time.Minute},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := newStory(newLab1(t, nil).hire()).until("assay")
			if c.shaken {
				s.touch(s.t1, "one").recorded()
			}
			if c.strike {
				n := s.entryOf("agitate")
				at := fmt.Sprintf("/entry/%d/correct", n)
				s.t1.fill(at, "correct", at, "p0.reason", "it was another vial", "p0.strike", "yes").recorded()
			}
			s.clock.add(c.after)
			s.step(s.t1, "draw", "p0.volume", "2.1", "p0.agitated", c.agitated).recorded()
			d := s.draws()[0]
			if d.Trusted.Text != c.trusted || !strings.HasPrefix(d.OfMixed.Text, c.ofMixed) || (c.ofMixed == "") != d.OfMixed.IsZero() {
				t.Errorf("trusted %q, of mixed %q", d.Trusted.Text, d.OfMixed.Text)
			}
			if none := c.trusted == ""; d.Agitated.IsZero() != none || (d.Model == "") != none {
				t.Errorf("shaken %v, model %q", d.Agitated, d.Model)
			}
			if c.trusted != "" {
				words := []string{"draw begun within 51 s", "best estimate of the settling model; suspension 5 mL; draw 2.1 mL in 10 s, assumed"}
				s.t1.look("/history").says(200, words...)
				st, err := s.srv.reckon(s.theFile(), s.clock.now())
				if err != nil {
					t.Fatal(err)
				}
				printed := (&request{Server: s.srv, r: httptest.NewRequest("GET", "/", nil)}).paperRecord(st).Entries[s.entryOf("draw")-1-settings].Text
				for _, w := range words {
					if !strings.Contains(printed, w) {
						t.Errorf("the sheet does not say %q but %q", w, printed)
					}
				}
			}
		})
	}
}

// entryOf is the number of the first entry of a kind.
func (s *story) entryOf(kind string) int {
	s.Helper()
	for _, r := range s.theFile().Records {
		if r.Fact.Kind() == kind {
			return r.N
		}
	}
	s.Fatalf("no entry of the kind %s", kind)
	return 0
}

// TestCacheOfTheClock: what is kept is what a fresh run gives, it is worked out
// once, and no more is kept than a day needs.
func TestCacheOfTheClock(t *testing.T) {
	c := settling.Default()
	c.Cells, c.Points, c.Span = 60, 31, 120
	s := newSettled(20)
	defer s.close()
	for i := range 2 {
		c.Draw.Volume += 0.1
		want, err := settling.NewClock(c)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := s.get(c); err != nil {
			t.Fatal(err)
		}
		s.wait()
		got, err := s.get(c)
		if err != nil || !got.Spread {
			t.Fatalf("run %d: %v, %v", i, got.Spread, err)
		}
		spread, err := settling.MonteCarlo(c, 20, settlingSeed)
		if err != nil {
			t.Fatal(err)
		}
		if want.Safe, want.Spread = spread.Safe, true; !reflect.DeepEqual(got, want) {
			t.Errorf("run %d: kept is another than fresh", i)
		}
	}
	if s.known.Len() != 2 {
		t.Errorf("%d vials are kept, want 2", s.known.Len())
	}
	first := s.vial("1")
	if s.vial("1") != first {
		t.Error("a vial is not found again")
	}
	for i := range 3 * mostSettled {
		s.vial(fmt.Sprint("later ", i))
	}
	if s.known.Len() != mostSettled || s.known.Contains("1") {
		t.Errorf("%d are kept, want %d of the last", s.known.Len(), mostSettled)
	}
	c.Tip = 90
	for range 2 {
		if _, err := s.get(c); err == nil {
			t.Error("a needle above the surface is taken")
		}
	}
}

// TestProbabilityOnTheBench: where trials are made, the page says so, and the
// time is the shorter one.
func TestProbabilityOnTheBench(t *testing.T) {
	s := newStory(newLab1(t, func(c *Config) { c.SettlingTrials = 20 }).hire()).until("assay")
	s.touch(s.t1, "one").recorded()
	s.t1.look(theBench)
	s.srv.settled.wait()
	p := s.t1.look(theBench).says(200, "Still mixed", "of the mixed vial, with 95\u00a0% probability.")
	if strings.Contains(p.text(), "begun within 51 s") {
		t.Error("the best estimate stands as if it held with 95 % probability")
	}
}

// TestClockTellsTheCheckerNothing: who may still check sees how the vial
// settles, and neither the plan nor the inputs that go with the activity.
func TestClockTellsTheCheckerNothing(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("baseline")
	s.touch(s.t1, "one").recorded()
	for _, at := range []string{theBench, theBench + "/check"} {
		text := s.mp.look(at).says(200, "S1 was shaken", "Resuspended").text()
		for _, figure := range []string{"million", "Suspension", "none planned"} {
			if strings.Contains(text, figure) {
				t.Errorf("%s: the checker is told %q: %s", at, figure, text)
			}
		}
	}
}

// TestSettingsOfTheClock: its inputs are among the settings, those not set are
// said to be assumed, and what is refused stands beside its field.
func TestSettingsOfTheClock(t *testing.T) {
	s := opened(t)
	at := "/settings"
	s.rp.look(at).says(200, "Settling clock: needle tip above the lowest point", "Assumed: 5 mm (an assumption, no source: measure yours).")
	set := func(changes ...string) *page {
		return s.rp.fill(at, "policy", at, append(changes, "p0.reason", "measured")...)
	}
	set("p0.settling.spheres", "many").says(422, "it is no number")
	set("p0.settling.spheres", "", "p0.settling.tip", "90").says(422, "the tip lies between the lowest point and the surface")
	set("p0.settling.spheres", "", "p0.settling.tip", "4.5", "p0.settling.density", "1.55", "p0.settling.sphere-activity", "50").recorded()
	st, err := s.srv.reckon(s.theFile(), s.clock.now())
	if err != nil {
		t.Fatal(err)
	}
	if got := st.Case.Settling; got.Model.Tip != 4.5 || got.Model.Density != 1.55 || got.PerSphere != 50 {
		t.Errorf("the clock has %+v", got)
	}
}

// TestOneCriterion: a draw is late by the clock that stood on its page, whatever
// volume was drawn in the end, and a late one is a finding on the bench.
func TestOneCriterion(t *testing.T) {
	for _, c := range []struct {
		volume string
		after  time.Duration
		late   bool
	}{{"1.9", 50 * time.Second, false}, {"1.9", 55 * time.Second, true}, {"2.3", 50 * time.Second, false}, {"2.3", 55 * time.Second, true}} {
		s := newStory(newLab1(t, nil).hire()).until("assay")
		s.touch(s.t1, "one").recorded()
		s.clock.add(c.after)
		s.step(s.t1, "draw", "p0.volume", c.volume).recorded()
		if d := s.draws()[0]; d.Trusted.Text != "51 s" {
			t.Errorf("%s mL: trusted for %s, and the clock of the page said 51 s", c.volume, d.Trusted.Text)
		}
		st, err := s.srv.reckon(s.theFile(), s.clock.now())
		if err != nil {
			t.Fatal(err)
		}
		late := slices.ContainsFunc(st.Result.Findings, func(f dispensing.Finding) bool { return f.Code == dispensing.DrawSettled && f.Order == "P1" })
		if late != c.late {
			t.Errorf("%s mL, %s after the shaking: late is %v", c.volume, c.after, late)
		}
	}
}
