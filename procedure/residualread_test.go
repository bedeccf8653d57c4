package procedure_test

import (
	"testing"

	"vialwright/procedure"
)

// A reading of what is left of a dose that was given is no work on the dose: its
// remainder was read when it was, its second check stands, and its label holds.
func TestResidualReadingIsNoWork(t *testing.T) {
	for _, read := range []string{
		"read: {of: R1, for: P1, holds: line, meter: M1, at: @15:30, gross: 20 MBq, background: 0.2 MBq}",
		"read: {of: A1, meter: M1, at: @15:30, gross: 20 MBq, background: 0.2 MBq}",
	} {
		b := upTo(t, procedure.Survey)
		before := b.prep("P1")
		after := b.does(tess, read).prep("P1")
		for _, key := range []procedure.Key{procedure.Remainder, procedure.SecondCheck, procedure.Label} {
			if was, is := before.Step(key), after.Step(key); !is.At.Equal(was.At) || is.State != was.State {
				t.Errorf("%s: the step %s was %v at %v, and is %v at %v", read, key, was.State, was.At, is.State, is.At)
			}
		}
		for i, l := range after.Labels {
			if l.Void != before.Labels[i].Void {
				t.Errorf("%s: label %s is void: %s", read, l.Serial, l.Void)
			}
		}
		if len(before.Checks) == 0 || len(after.Checks) != len(before.Checks) {
			t.Errorf("%s: %d second checks, before it %d", read, len(after.Checks), len(before.Checks))
		}
	}
}

// A reading of the whole dose in the minute in which its infusion began came before it: the
// second check and the label are void by it, also once the infusion is recorded.
func TestReadingBeforeInfusionIsWork(t *testing.T) {
	b := upTo(t, procedure.TimeOut).does(tess, "read: {of: A1, meter: M1, at: @13:30, gross: 1.34 GBq, background: 0.2 MBq}", theInfusion)
	p := b.prep("P1")
	if len(p.Checks) != 0 || p.Labels[0].Void == "" {
		t.Errorf("%d second checks hold, and the label is void by %q", len(p.Checks), p.Labels[0].Void)
	}
}

// What is taken out of a dose in the minute in which its infusion began came before it and
// changes the dose, as the books reckon it; what is discarded afterwards does not.
func TestDiscardBeforeInfusionIsWork(t *testing.T) {
	for what, work := range map[string]bool{"volume: 0.5 mL, at: @13:30": true, "at: @13:31": false} {
		b := upTo(t, procedure.TimeOut).does(tess, "discard: {from: A1, into: W1, "+what+"}", theInfusion)
		p := b.prep("P1")
		if void := len(p.Checks) == 0 && p.Labels[0].Void != ""; void != work {
			t.Errorf("%s: %d second checks hold, and the label is void by %q", what, len(p.Checks), p.Labels[0].Void)
		}
		if open := p.Step(procedure.Remainder).State != procedure.Done; open != work {
			t.Errorf("%s: the remainder is %s", what, p.Step(procedure.Remainder).State)
		}
	}
}

// A reading of the whole dose, or its discarding, in the minute in which its infusion began
// tells nothing of the residual, also where nobody wrote when it ended.
func TestWholeDoseIsNoResidual(t *testing.T) {
	for _, line := range []string{
		"read: {of: A1, meter: M1, at: @13:30, gross: 1.34 GBq, background: 0.2 MBq}",
		"discard: {from: A1, into: W1, at: @13:30}",
	} {
		b := newBench(t).does(dora, theOrder, theSign)
		for _, s := range walk {
			if s.key == procedure.Residual {
				break
			}
			if s.key != procedure.Baseline && s.key != procedure.Infusion {
				b.does(s.who, s.lines...)
			}
		}
		b.does(nora, "infuse: {for: P1, start: @13:30, reason: complete}").does(tess, line)
		if s := b.prep("P1").Step(procedure.Residual); s.State != procedure.Now {
			t.Errorf("%s: the residual is %s at %v: %s", line, s.State, s.At, s.Why)
		}
	}
}
