package preparation_test

import (
	"net/url"
	"slices"
	"strconv"
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
		s.Clock.Set("11:18")
		s.Step(s.T1, "make-up", "p0.volume", "0.9", "p0.lot", "W-1", "p0.diluent", "water for injection").Recorded()
		// The checker works with every volume that moved.
		s.MP.Look(webtest.Bench+"/check").Says(200, "Drawn from S1 into Y1 2.8 mL, 11:10", "Returned from Y1 into S1 0.7 mL, 11:16", "Diluent into Y1 0.9 mL, 11:18")
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
		s.T1.Look(webtest.Bench).Says(200, "Cancelled", "the patient has a fever", "The dose is still in A1", "Add to waste")
		s.T1.Look("/").Says(200, "P1 was cancelled, and its dose is still in A1")
		p := s.RP.Look("/history")
		at := strings.Index(p.Body, "/correct\"") // the newest entry stands first
		from := strings.LastIndex(p.Body[:at], "href=\"") + len("href=\"")
		entry := p.Body[from : at+len("/correct")]
		s.RP.Fill(entry, "correct", entry, "p0.reason", "the fever was gone", "p0.strike", "yes").Recorded()
		stands(s, "Second check, by another person")
	})
	t.Run("cancelled, and the dose added to waste", func(t *testing.T) {
		s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("remainder")
		s.T1.Fill(webtest.Bench, "cancel", webtest.Bench+"/step/cancel", "p0.reason", "the patient has a fever").Recorded()
		s.T1.Look(webtest.Bench).Says(200, "The dose is still in Y1")
		const leads = "/day/enter/discard?place=Y1"
		if !strings.Contains(s.T1.Look(webtest.Bench).Body, leads) || s.T1.Look(leads).Form("discard").Get("p0.from") != "Y1" {
			t.Error("the bench does not lead to its dose")
		}
		s.T1.Fill(leads, "discard", "/day/enter/discard").Recorded()
		if body := s.T1.Look("/day/enter/discard").Body; strings.Contains(body, `value="Y1"`) || !strings.Contains(body, `value="S1"`) {
			t.Error("what the syringe no longer holds can be added to waste again, or the vial cannot")
		}
		if strings.Contains(s.T1.Look(webtest.Bench).Body, "aria-current=\"step\"") {
			t.Error("a cancelled preparation stands at a step")
		}
		for _, page := range []string{"/", webtest.Bench} {
			if strings.Contains(s.T1.Look(page).Text(), "still in Y1") {
				t.Errorf("%s says that the dose is still in Y1", page)
			}
		}
	})
	t.Run("what left the laboratory is not given back", func(t *testing.T) {
		s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("hand-over")
		v := s.T1.Look(webtest.Bench).Form("note")
		v.Set("p0.into", "S1")
		v.Del("asked") // of the note
		s.T1.Post(webtest.Bench+"/step/give-back", v).Says(403, "There is no dose in the laboratory to return")
	})
}

// TestDrawThatTookLittle: a draw that took little over half of what its volume holds is
// asked about before its reading is recorded. Then nothing is added, given back or
// transferred, by whatever address, before a second reading says the same.
func TestDrawThatTookLittle(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("draw")
	s.Clock.Set("11:14")
	typed := []string{"p0.gross", "2.40", "p0.gross.unit", "GBq", "p0.background", "0.2", "p0.background.unit", "MBq"}
	p := s.Step(s.T1, "remainder", typed...).Says(422, "By this reading the draw took an activity far from that of its volume: is it so?", "Record 2.40 GBq as typed")
	if n := len(s.Facts("read")); n != 1 {
		t.Fatalf("%d readings are recorded before the answer", n)
	}
	s.Step(s.T1, "remainder", append(typed, "p0.gross.answer", p.Choice("p0.gross.answer", 0))...).Recorded()
	bench := s.T1.Look(webtest.Bench).Says(200, "Read S1 again before anything else")
	for _, figure := range []string{"2.40", "Draw more", "Return 0"} {
		if strings.Contains(bench.Text(), figure) {
			t.Errorf("the bench says %q: %s", figure, bench.Text())
		}
	}
	for step, typed := range map[string][2]string{"adjust": {"p0.volume", "1.5 mL"}, "make-up": {"p0.volume", "1.3 mL"}, "transfer": {"p0.into", "A1"}} {
		form := bench.Form("step")
		form.Set(typed[0], typed[1])
		if p := s.T1.Post(webtest.Bench+"/step/"+step, form); p.Status == 303 {
			t.Errorf("%s is recorded", step)
		}
	}
	read(s, "remainder", "11:16", "2.39")
	stands(s, "Add, return or redraw").Says(200, "Draw more")
}

// TestNoTransferUnderACheckThatDiffers: a second check that differs keeps the once-only
// transfer back, at the button, at its address, by another order and on a late entry,
// until both have read again; the page says who does what.
func TestNoTransferUnderACheckThatDiffers(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("make-up")
	action := webtest.Bench + "/step/transfer"
	transfer := s.T1.Look(action).Form("step") // a page that was opened before the check
	s.Clock.Set("11:40")
	checking(s, s.MP, "1.93", "1.26").Recorded()
	refused := func(name, says string) {
		t.Helper()
		page := s.T1.Look(action).Says(200, says)
		if strings.Contains(page.Body, `id="step"`) {
			t.Errorf("%s: the form of the transfer is on its page", name)
		}
		transfer.Set("nonce", name)
		transfer.Set("head", webtest.Decimal(webtest.Case(s).Newest))
		s.T1.Post(action, transfer).Says(403, says)
		if n := len(s.Facts("transfer")); n > 0 {
			t.Fatalf("%s: %d transfers", name, n)
		}
	}
	refused("differs", "does not confirm the record")
	refused("who", "Both read again: first the person who prepared, then the checker")
	if p := s.T1.Look(action); strings.Contains(p.Text(), "Transfer all of") {
		t.Error("the page asks for a transfer that is refused")
	}
	onPaper(s.T1)
	transfer.Set("p0.at", "11:39")
	transfer.Set("nonce", "on paper")
	transfer.Set("head", webtest.Decimal(webtest.Case(s).Newest))
	s.T1.Post(action, transfer).Says(403, "does not confirm the record")
	transfer.Del("p0.at")
	s.T1.Post("/paper", url.Values{"end": {"yes"}}).Recorded()
	read(s, "remainder", "11:50", "1.86")
	refused("read again alone", "comes first")
	s.Clock.Set("11:55")
	checking(s, s.MP, "1.86", "1.33").Recorded()
	s.Step(s.T1, "transfer").Recorded()
}

// TestOnlyTheFailedCheckAgain: after a check that failed its answer alone is asked for
// again, with the remark and the time; what was found first stays in the record.
func TestOnlyTheFailedCheckAgain(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("order")
	s.Step(s.T1, "readiness", "p0.result", "pass", "p1.result", "pass", "p2.result", "pass", "p3.result", "pass", "p4.result", "fail", "p5.result", "pass", "p5.text", "no needles").Recorded()
	asks := func(want ...string) {
		t.Helper()
		page := s.T1.Look(webtest.Bench + "/step/readiness")
		for i := range 6 {
			name := "p" + strconv.Itoa(i) + ".result"
			if got := strings.Contains(page.Body, `name="`+name+`"`); got != slices.Contains(want, name) {
				t.Errorf("%s is asked: %v", name, got)
			}
		}
	}
	asks("p4.result")
	s.Step(s.T1, "readiness", "p4.result", "pass").Recorded()
	stands(s, "Receive the vial")
	asks("p0.result", "p1.result", "p2.result", "p3.result", "p4.result", "p5.result") // any may fail later
	if n := len(s.Facts("check")); n != 7 {
		t.Errorf("%d checks are recorded", n)
	}
}

// TestAFailedCheckOfAnOlderPageIsTaken: a check that failed, sent from a page that was
// opened before a colleague recorded theirs, is recorded; it was dropped, and the page
// said "recorded".
func TestAFailedCheckOfAnOlderPageIsTaken(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("order")
	older := s.RP.Look(webtest.Bench + "/step/readiness").Form("step")
	s.Step(s.T1, "readiness", "p0.result", "pass", "p1.result", "pass", "p2.result", "pass", "p3.result", "pass", "p4.result", "fail", "p5.result", "pass").Recorded()
	older.Set("p0.result", "fail")
	older.Set("p4.result", "pass")
	s.RP.Post(webtest.Bench+"/step/readiness", older).Recorded()
	if n := len(s.Facts("check")); n != 8 {
		t.Errorf("%d checks are recorded", n)
	}
	s.T1.Look(webtest.Bench+"/step/readiness").Says(200, "Failed: background of the activity meter M1")
}
