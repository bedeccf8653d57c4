package preparation_test

import (
	"fmt"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/settling"
	"vialwright/web"
	"vialwright/web/documents"
	"vialwright/web/preparation"
	"vialwright/web/webtest"
)

// TestClockOnTheBench: what the page says before the vial is shaken, after,
// and when it has stood too long. The window of the vial of the story is 51 s
// by the best estimate (5 mL, 2.1 mL in 10 s, tip 5 mm).
func TestClockOnTheBench(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("assay")
	s.T1.Look(webtest.Bench).Says(200, "Not resuspended", "No resuspension of S1 is recorded.", "Resuspended Alt+Shift+S", "Needle tip 5 mm up, assumed", "Draw 2.1 mL in 10 s, assumed", settling.Caution)
	s.Touch(s.T1, "one").Recorded()
	s.T1.Look(webtest.Bench).Says(200, "Still mixed", "A draw begun within 51 s stays within 5\u00a0% of the mixed vial, by the model's best estimate.", "S1 was resuspended 0 s ago, at 11:00:00")
	s.Clock.Add(20 * time.Second)
	p := s.T1.Look(webtest.Bench).Says(200, "Still mixed", "begun within 31 s", "now, 20 s", "trusted to 51 s", "clear", "bed")
	if !strings.Contains(p.Body, `data-until="2027-03-04T12:00:51.`) || !strings.Contains(p.Body, `data-then-word="Resuspend again"`) || !strings.Contains(p.Body, `data-now="2027-03-04T12:00:20.000Z"`) {
		t.Error("the page does not tell the script when what it says ends")
	}
	s.Clock.Add(35 * time.Second)
	s.T1.Look(webtest.Bench).Says(200, "Resuspend again", "The model says that a draw begun now is 9.0\u00a0% too thin.", "S1 was resuspended 55 s ago")
	s.Clock.Add(time.Hour)
	s.T1.Look(webtest.Bench).Says(200, "Resuspend again", "The settled bed reaches the needle tip", "S1 was resuspended 1 h 1 min ago")
	s.Touch(s.T1, "two").Recorded()
	s.T1.Look(webtest.Bench).Says(200, "Still mixed")
	s.T1.Look(webtest.Bench+"/step/make-up").Says(200, "Make up the volume")
	if strings.Contains(s.T1.Look(webtest.Bench+"/step/make-up").Body, `id="settling"`) {
		t.Error("the clock stands beside a step that it does not matter to")
	}
}

// TestOneTouch: it is recorded once however often it is sent, rests on nothing
// that the page showed, hinders no other form, and leads back.
func TestOneTouch(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("assay")
	form := s.T1.Look(webtest.Bench).Form("step")
	for range 3 {
		if p := s.Touch(s.T1, "same").Recorded(); p.Location != webtest.Bench {
			t.Errorf("it leads to %s", p.Location)
		}
	}
	s.RP.Fill("/day/enter/note", "note", "/day/enter/note", "p0.text", "the lamp flickers").Recorded()
	s.Touch(s.T1, "other").Recorded()
	if n := len(s.Facts("agitate")); n != 2 {
		t.Errorf("shaken %d times, want 2", n)
	}
	form.Set("p0.volume", "2.1")
	s.T1.Post(webtest.Bench+"/step/draw", form).Recorded()
	dr := s.As("DR1")
	dr.Post(webtest.Bench+"/resuspend", url.Values{"nonce": {"x"}, "p0.of": {"S1"}}).Says(403)
	s.T1.Post(webtest.Bench+"/resuspend", url.Values{"nonce": {"y"}, "p0.of": {"S9"}}).Says(422, "The resuspension was not recorded")
	if strings.Contains(dr.Look(webtest.Bench+"/step/draw").Body, `id="resuspended"`) {
		t.Error("who may not record it has the button")
	}
}

// TestClockLeadsBack to the page of the bench that the touch was on.
func TestClockLeadsBack(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("assay")
	st := s.Reckoned(webtest.Case(s))
	for from, want := range map[string]string{
		webtest.Bench: webtest.Bench, webtest.Bench + "/step/draw": webtest.Bench + "/step/draw", webtest.Bench + "/check": webtest.Bench + "/check",
		webtest.Bench + "/step/resuspend": webtest.Bench, "/day": webtest.Bench, "/": webtest.Bench, ":": webtest.Bench, webtest.Bench + "/step/draw?x=1": webtest.Bench + "/step/draw",
	} {
		if got := preparation.BackTo(request(s.Lab), st, "P1", from); got != want {
			t.Errorf("from %s back to %s, want %s", from, got, want)
		}
	}
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
			s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("assay")
			if c.shaken {
				s.Touch(s.T1, "one").Recorded()
			}
			if c.strike {
				n := entryOf(s, "agitate")
				at := fmt.Sprintf("/entry/%d/correct", n)
				s.T1.Fill(at, "correct", at, "p0.reason", "it was another vial", "p0.strike", "yes").Recorded()
			}
			s.Clock.Add(c.after)
			s.Step(s.T1, "draw", "p0.volume", "2.1", "p0.agitated", c.agitated).Recorded()
			d, _ := s.Facts("draw")[0].(*fact.Draw)
			if d.Trusted.Text != c.trusted || !strings.HasPrefix(d.OfMixed.Text, c.ofMixed) || (c.ofMixed == "") != d.OfMixed.IsZero() {
				t.Errorf("trusted %q, of mixed %q", d.Trusted.Text, d.OfMixed.Text)
			}
			if none := c.trusted == ""; d.Agitated.IsZero() != none || (d.Model == "") != none {
				t.Errorf("shaken %v, model %q", d.Agitated, d.Model)
			}
			if c.trusted != "" {
				words := []string{"draw begun within 51 s", "best estimate of the settling model; suspension 5 mL; draw 2.1 mL in 10 s, assumed"}
				s.T1.Look("/history").Says(200, words...)
				st := s.Reckoned(webtest.Case(s))
				printed := documents.Record(request(s.Lab), st).Entries[entryOf(s, "draw")-1-webtest.Settings].Text
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
func entryOf(s *webtest.Story, kind string) int {
	s.Helper()
	for _, r := range webtest.Case(s).Records {
		if fact.Word(r.Fact) == kind {
			return r.N
		}
	}
	s.Fatalf("no entry of the kind %s", kind)
	return 0
}

// TestProbabilityOnTheBench: where trials are made, the page says so, and the
// time is the shorter one.
func TestProbabilityOnTheBench(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, func(c *web.Config) { c.SettlingTrials = 20 }).Hire()).Until("assay")
	s.Touch(s.T1, "one").Recorded()
	s.T1.Look(webtest.Bench)
	for end := time.Now().Add(time.Minute); time.Now().Before(end) && !strings.Contains(s.T1.Look(webtest.Bench).Text(), "with 95"); {
		continue // it is worked out beside the pages
	}
	p := s.T1.Look(webtest.Bench).Says(200, "Still mixed", "of the mixed vial, with 95\u00a0% probability.")
	if strings.Contains(p.Text(), "begun within 51 s") {
		t.Error("the best estimate stands as if it held with 95 % probability")
	}
}

// TestClockTellsTheCheckerNothing: who may still check sees how the vial
// settles, and neither the plan nor the inputs that go with the activity.
func TestClockTellsTheCheckerNothing(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("baseline")
	s.Touch(s.T1, "one").Recorded()
	for _, at := range []string{webtest.Bench, webtest.Bench + "/check"} {
		text := s.MP.Look(at).Says(200, "S1 was resuspended", "Resuspended").Text()
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
	s := webtest.NewStory(webtest.New(t, nil).Hire())
	at := "/settings"
	s.RP.Look(at).Says(200, "Settling clock: needle tip above the lowest point", "Assumed: 5 mm (an assumption, no source: measure yours).")
	set := func(changes ...string) *webtest.Page {
		return s.RP.Fill(at, "policy", at, append(changes, "p0.reason", "measured")...)
	}
	set("p0.settling.spheres", "many").Says(422, "it is no number")
	set("p0.settling.spheres", "", "p0.settling.tip", "90").Says(422, "The tip lies between the lowest point and the surface")
	set("p0.settling.spheres", "", "p0.settling.tip", "4.5", "p0.settling.density", "1.55", "p0.settling.sphere-activity", "50").Recorded()
	st := s.Reckoned(webtest.Case(s))
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
		s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("assay")
		s.Touch(s.T1, "one").Recorded()
		s.Clock.Add(c.after)
		s.Step(s.T1, "draw", "p0.volume", c.volume).Recorded()
		if d, _ := s.Facts("draw")[0].(*fact.Draw); d.Trusted.Text != "51 s" {
			t.Errorf("%s mL: trusted for %s, and the clock of the page said 51 s", c.volume, d.Trusted.Text)
		}
		st := s.Reckoned(webtest.Case(s))
		late := slices.ContainsFunc(st.Result.Findings, func(f dispensing.Finding) bool { return f.Code == dispensing.DrawSettled && f.Order == "P1" })
		if late != c.late {
			t.Errorf("%s mL, %s after the resuspension: late is %v", c.volume, c.after, late)
		}
	}
}

// TestADrawLongPast: that a draw was begun too late is the verdict until readings have told
// what it took, and is read behind the verdict of what is open then.
func TestADrawLongPast(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("assay")
	s.Clock.Set("11:08")
	s.T1.Fill(webtest.Bench, "resuspend", webtest.Bench+"/step/resuspend").Recorded()
	s.Clock.Set("11:10")
	s.Step(s.T1, "draw", "p0.volume", "2.2").Recorded()
	const late = "This draw was begun 2 min after S1 was resuspended"
	worst := func() (worst, all string) {
		text := s.T1.Look(webtest.Bench).Body
		_, all, _ = strings.Cut(text, `class="verdict`)
		all, _, _ = strings.Cut(all, "</section>")
		worst, _, _ = strings.Cut(all, "</summary>")
		return worst, all
	}
	if first, _ := worst(); !strings.Contains(first, late) {
		t.Errorf("before the reading the verdict is %s", first)
	}
	read(s, "remainder", "11:14", "1.87")
	if first, all := worst(); strings.Contains(first, late) || !strings.Contains(all, late) {
		t.Errorf("after the reading the verdict is %s", all)
	}
}
