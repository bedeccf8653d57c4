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
