package procedure_test

import (
	"slices"
	"strings"
	"testing"

	"vialwright/journal"
	"vialwright/procedure"
)

// TestWalk: each step in its turn is the one to do, permitted to the person
// who does it, and done by it; what comes later is refused.
func TestWalk(t *testing.T) {
	b := newBench(t).does(dora, theOrder, theSign)
	walk := slices.Concat(walk[:6], []stage{
		{procedure.SecondCheck, rita, []string{checkAhead}},
		{procedure.Label, tess, []string{strings.Replace(labelAhead, "1.33 GBq", "1.34 GBq", 1)}},
		{procedure.Transfer, tess, []string{transferAhead}},
		{procedure.Baseline, tess, []string{theBefore}},
	}, walk[10:])
	for i, s := range walk {
		p := b.prep("P1")
		now, ok := p.Current()
		if !ok || now.Key != s.key || now.State != procedure.Now {
			t.Fatalf("the step is %s (%s, %s), want %s", now.Key, now.State, now.Why, s.key)
		}
		if err := procedure.Permit(s.who, s.key, p, p.Deeds); err != nil {
			t.Fatalf("%s: %v", s.key, err)
		}
		for _, later := range walk[i+1:] {
			// Where nobody is there to check, the transfer may come first.
			ahead := later.key == procedure.Transfer && (s.key == procedure.SecondCheck || s.key == procedure.Label)
			if procedure.Permit(later.who, later.key, p, p.Deeds) == nil && !ahead {
				t.Errorf("%s is permitted at %s", later.key, s.key)
			}
			if st := p.Step(later.key).State; st != procedure.Later {
				t.Errorf("%s is %s at %s", later.key, st, s.key)
			}
		}
		b.does(s.who, s.lines...)
		done := b.prep("P1").Step(s.key)
		if done.State != procedure.Done || done.By != s.who.ID || done.At.IsZero() {
			t.Fatalf("%s is %+v", s.key, done)
		}
	}
	p := b.prep("P1")
	if _, left := p.Current(); left || p.Now != -1 || !p.Closed || !p.Given || p.Container != "A1" {
		t.Errorf("at the end %+v", p)
	}
	if s := p.Step(procedure.Adjust); s.State != procedure.Skipped || s.Why != "the dose is within tolerance" {
		t.Errorf("adjust is %+v", s)
	}
}

// at is the step a preparation stands at, its state and reason.
func (b *bench) at() (procedure.Key, procedure.State, string) {
	b.tb.Helper()
	s, _ := b.prep("P1").Current()
	return s.Key, s.State, s.Why
}

// stands asks for the step and its state.
func (b *bench) stands(key procedure.Key, state procedure.State) {
	b.tb.Helper()
	if k, s, why := b.at(); k != key || s != state {
		b.tb.Fatalf("it stands at %s, %s (%s), want %s, %s", k, s, why, key, state)
	}
}

// A dose that came out too small is topped up: the reading of what is left is
// asked for again, and the top-up is the adjustment.
func TestTopUp(t *testing.T) {
	b := upTo(t, procedure.Assay)
	b.does(tess, "draw: {from: S1, into: Y1, for: P1, at: @11:10, volume: 1.8 mL}", "read: {of: S1, meter: M1, at: @11:14, gross: 2.13 GBq, background: 0.2 MBq}")
	b.stands(procedure.Adjust, procedure.Now)
	if got := b.permit(tess, procedure.MakeUp); got != procedure.CodeNotYet {
		t.Errorf("make-up before the adjustment: %q", got)
	}
	if got := b.permit(tess, procedure.Adjust); got != "" {
		t.Errorf("the adjustment: %q", got)
	}
	b.does(tess, "draw: {from: S1, into: Y1, for: P1, at: @11:16, volume: 0.4 mL}")
	b.stands(procedure.Remainder, procedure.Now)
	b.does(tess, "read: {of: S1, meter: M1, at: @11:17, gross: 1.87 GBq, background: 0.2 MBq}")
	b.stands(procedure.MakeUp, procedure.Now)
	if s := b.prep("P1").Step(procedure.Adjust); s.State != procedure.Done || s.At.Format("15:04") != "11:16" {
		t.Errorf("adjust is %+v", s)
	}
}

// A dose that came out too large is given back in part.
func TestReturn(t *testing.T) {
	b := upTo(t, procedure.Assay)
	b.does(tess, "draw: {from: S1, into: Y1, for: P1, at: @11:10, volume: 2.8 mL}", "read: {of: S1, meter: M1, at: @11:14, gross: 1.45 GBq, background: 0.2 MBq}")
	b.stands(procedure.Adjust, procedure.Now)
	b.does(tess, "return: {from: Y1, into: S1, at: @11:16, volume: 0.6 mL}")
	b.stands(procedure.Remainder, procedure.Now)
	b.does(tess, "read: {of: S1, meter: M1, at: @11:17, gross: 1.87 GBq, background: 0.2 MBq}")
	b.stands(procedure.MakeUp, procedure.Now)
}

// A dose that was given back whole is drawn again, into another syringe.
func TestRedraw(t *testing.T) {
	b := upTo(t, procedure.Remainder)
	b.does(tess, "return: {from: Y1, into: S1, at: @11:16}")
	b.stands(procedure.Draw, procedure.Now)
	if _, _, why := b.at(); why != "all of it was returned to the vial: redraw" {
		t.Errorf("why: %q", why)
	}
	if got := b.permit(tess, procedure.Draw); got != "" {
		t.Errorf("to draw again: %q", got)
	}
	if got := b.permit(tess, procedure.MakeUp); got != procedure.CodeNotYet {
		t.Errorf("to make up an empty syringe: %q", got)
	}
	b.does(tess, "read: {of: S1, meter: M1, at: @11:18, gross: 3.23 GBq, background: 0.2 MBq}", "draw: {from: S1, into: Y2, for: P1, at: @11:20, volume: 2.2 mL}")
	b.stands(procedure.Remainder, procedure.Now)
	b.does(tess, "read: {of: S1, meter: M1, at: @11:22, gross: 1.86 GBq, background: 0.2 MBq}")
	b.stands(procedure.MakeUp, procedure.Now)
	b.does(tess, "make-up: {of: Y2, at: @11:24, volume: 1.3 mL, diluent: water for injection}", "transfer: {from: Y2, into: A1, at: @11:25}")
	b.stands(procedure.SecondCheck, procedure.Now)
}

// After a transfer the whole dose can still go back, and the steps from the
// draw on open again; the check and the label of before are void.
func TestRedrawAfterTheCheck(t *testing.T) {
	b := upTo(t, procedure.Label)
	b.does(tess, "return: {from: A1, into: S1, at: @11:47}")
	b.stands(procedure.Draw, procedure.Now)
	p := b.prep("P1")
	for _, key := range []procedure.Key{procedure.Remainder, procedure.Transfer, procedure.SecondCheck, procedure.Label, procedure.Release} {
		if s := p.Step(key); s.State != procedure.Later {
			t.Errorf("%s is %+v", key, s)
		}
	}
	if p.Labels[0].Void == "" {
		t.Error("the label of the old dose is in force")
	}
}

// What was given up stands still; struck out, it goes on where it stood.
func TestCancelAndResume(t *testing.T) {
	b := upTo(t, procedure.Transfer)
	b.does(rita, "cancel: {for: P1, reason: the patient has a fever, at: @11:25}")
	p := b.prep("P1")
	if p.Cancelled != "the patient has a fever" || p.Step(procedure.Baseline).State != procedure.Skipped || p.Step(procedure.Draw).State != procedure.Done {
		t.Errorf("given up: %+v", p)
	}
	for _, s := range walk[:16] {
		if got := b.permit(s.who, s.key); got != procedure.CodeCancelled {
			t.Errorf("%s of what was given up: %q", s.key, got)
		}
	}
	if got := b.permit(rita, procedure.Close); got != procedure.CodeNoDeviation {
		t.Errorf("closing with the dose still there: %q", got)
	}
	closing := *b
	closing.records = slices.Clone(b.records)
	closing.does(tess, "discard: {from: A1, into: W1, at: @11:40}")
	closing.stands(procedure.Close, procedure.Now)
	if got := closing.permit(rita, procedure.Close); got != "" {
		t.Errorf("closing with the dose discarded: %q", got)
	}
	b.does(rita, "correct: {entry: 15, reason: the fever was gone}")
	b.stands(procedure.SecondCheck, procedure.Now)
	if got := b.permit(tess, procedure.Baseline); got != "" {
		t.Errorf("taken up again: %q", got)
	}
}

// Cut off after any record and looked at anew, the preparation stands where
// the person left it: nothing but the record is kept.
func TestResume(t *testing.T) {
	whole := upTo(t, procedure.Close)
	live := newBench(t)
	live.records = nil
	for i, r := range whole.records {
		live.records = append(live.records, r)
		live.now = r.Recorded
		if i < 4 { // before the order
			continue
		}
		var links []journal.Record
		for _, r := range live.records {
			body, err := r.Marshal()
			if err != nil {
				t.Fatal(err)
			}
			back, err := journal.Parse(string(body))
			if err != nil {
				t.Fatal(err)
			}
			links = append(links, back)
		}
		again := &bench{tb: t, records: links, now: live.now, zone: live.zone}
		a, _ := live.prep("P1").Current()
		b, _ := again.prep("P1").Current()
		if a.Key != b.Key || a.State != b.State || a.Why != b.Why {
			t.Errorf("after record %d: %s %s, from its bytes %s %s", i+1, a.Key, a.State, b.Key, b.State)
		}
	}
}

// A dose that was given without a step is recorded, and explained.
func TestGivenWithoutAStep(t *testing.T) {
	b := upTo(t, procedure.Release)
	if got := b.permit(nora, procedure.Infusion); got != procedure.CodeNotYet {
		t.Errorf("without hand-over and time-out: %q", got)
	}
	b.does(nora, "deviation: {for: P1, text: the time-out was on paper, at: @13:29}")
	if got := b.permit(nora, procedure.Infusion); got != "" {
		t.Errorf("with a deviation: %q", got)
	}
	if got := b.permit(nora, procedure.TimeOut); got != procedure.CodeNotYet {
		t.Errorf("a deviation opened the time-out without a hand-over: %q", got)
	}
	b.does(nora, theInfusion)
	b.stands(procedure.Residual, procedure.Now)
	p := b.prep("P1")
	if s := p.Step(procedure.TimeOut); s.State != procedure.Skipped || s.Why != "the dose was given without it" {
		t.Errorf("time-out is %+v", s)
	}
	b.does(tess, theAfter, theSurvey)
	if got := b.permit(rita, procedure.Close); got != "" {
		t.Errorf("closing with a deviation: %q", got)
	}
}

// Each step names an act of the table of package people, and has its words.
func TestSteps(t *testing.T) {
	p := newBench(t).does(dora, theOrder, theSign).prep("P1")
	if len(p.Steps) != 18 || p.Steps[0].Key != procedure.Readiness || p.Steps[17].Key != procedure.Close {
		t.Errorf("steps %+v", p.Steps)
	}
	for _, s := range p.Steps {
		k := s.Key
		if k.Act().Text() == "" || k.Title() == "" || s.Title != k.Title() || s.Needs == "" || s.Records == "" {
			t.Errorf("%s lacks something: %+v", k, s)
		}
	}
	if k := procedure.Key("lunch"); k.Title() != "" || k.Act() != "" || p.Step(k).Key != "" {
		t.Error("lunch is a step")
	}
}

// TestGivenUnread: once a dose was given before any reading told it, nothing asks to read
// the remainder, which cannot tell it any more, whatever is read of its vial afterwards.
func TestGivenUnread(t *testing.T) {
	b := newBench(t).does(dora, theOrder, theSign).does(tess, theChecks...).
		does(tess, theVial, theDraw, theTransfer).does(nora, theInfusion)
	for _, then := range []string{"", "read: {of: S1, meter: M1, at: @14:30, gross: 1.80 GBq, background: 0.2 MBq}"} {
		if then != "" {
			b.does(tess, then)
		}
		p := b.prep("P1")
		if s := p.Step(procedure.Remainder); s.State != procedure.Skipped || s.Why != "the dose was given without it" {
			t.Errorf("%q: the remainder is %s: %q", then, s.State, s.Why)
		}
		if now, ok := p.Current(); !ok || now.Key != procedure.Residual {
			t.Errorf("%q: now is %s", then, now.Key)
		}
		if got := b.permit(tess, procedure.Remainder); got != procedure.CodeGiven {
			t.Errorf("%q: a reading of the remainder is refused by %q", then, got)
		}
	}
}

// TestResidualWithoutBaseline: where no dose rate of the full dose can be compared with
// it, a dose rate of the residual tells nothing and is not what the step waits for; a
// reading in the activity meter is. What is in the waste unread takes a deviation to close.
func TestResidualWithoutBaseline(t *testing.T) {
	const (
		empty   = "residual: {for: P1, before: {at: @11:30, rate: 0.2 uSv/h, background: 0.2 uSv/h}}"
		late    = "residual: {for: P1, before: {at: @13:40, rate: 182 uSv/h, background: 0.2 uSv/h}}"
		inMeter = "read: {of: A1, meter: M1, at: @15:20, gross: 30 MBq, background: 0.2 MBq}"
		wrote   = "deviation: {for: P1, text: a leak at the tap, at: @15:20}"
		waste   = "discard: {from: A1, into: W1, at: @15:20}"
		full    = "read: {of: A1, meter: M1, at: @11:25, gross: 1.30 GBq, background: 0.2 MBq}"
	)
	for name, c := range map[string]struct {
		baseline, after string
		want            procedure.State
	}{
		"none, nothing read":             {"", "", procedure.Now},
		"none, by dose rate":             {"", theAfter, procedure.Now},
		"none, the full vial was read":   {full, theAfter, procedure.Now},
		"none, in the activity meter":    {"", inMeter, procedure.Done},
		"none, and a deviation":          {"", wrote, procedure.Now},
		"none, and in the waste":         {"", waste, procedure.Skipped},
		"of an empty vial":               {empty, "", procedure.Now},
		"of an empty vial, in the waste": {empty, waste, procedure.Skipped},
		"of an empty vial, in the meter": {empty, inMeter, procedure.Done},
		"after the infusion began":       {late, theAfter, procedure.Now},
		"a baseline, in the meter alone": {theBefore, inMeter, procedure.Now},
		"a baseline, by dose rate":       {theBefore, theAfter, procedure.Done},
		"a baseline, and in the waste":   {theBefore, waste, procedure.Now},
	} {
		b := newBench(t).does(dora, theOrder, theSign)
		for _, s := range walk {
			if s.key == procedure.Baseline {
				s.lines = slices.DeleteFunc([]string{c.baseline}, func(line string) bool { return line == "" })
			}
			if s.key == procedure.Residual {
				break
			}
			b.does(s.who, s.lines...)
		}
		if c.after != "" {
			b.does(tess, c.after)
		}
		s := b.prep("P1").Step(procedure.Residual)
		if s.State != c.want {
			t.Errorf("%s: the residual is %s (%s), want %s", name, s.State, s.Why, c.want)
		}
		if says := strings.Contains(s.Sentence("S1", "A1"), "Read A1 with the residual in the activity meter"); says != (s.State == procedure.Now && c.baseline != theBefore) {
			t.Errorf("%s: it says %q", name, s.Sentence("S1", "A1"))
		}
		if s.State == procedure.Skipped {
			b.does(tess, theSurvey)
			if got := b.permit(rita, procedure.Close); got != procedure.CodeNoDeviation {
				t.Errorf("%s: closed without a word: %q", name, got)
			}
		}
		if s.State == procedure.Done && (s.By != tess.ID || s.At.IsZero()) {
			t.Errorf("%s: done by %q at %s", name, s.By, s.At)
		}
	}
}
