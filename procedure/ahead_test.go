package procedure_test

import (
	"strings"
	"testing"
	"time"

	"vialwright/procedure"
)

// The check and the label before the transfer, of the dose in its syringe.
const (
	checkAhead = "second-check: {for: P1, of: S1, meter: M1, at: @11:19, gross: 1.87 GBq, background: 0.2 MBq, activity: 1.335 GBq}"
	labelAhead = "label: {serial: WK99-VFTV-W544, for: P1, of: Y1, into: A1, size: administration-vial, copy: 1, at: @11:20, " +
		"printed: {activity: 1.33 GBq, reference: @13:30, volume: 3.5 mL, valid-from: @11:10, valid-until: @23:23, half-life: 64.0417 h, lot: L-0311, dose: 1, doses: 1}}"
	transferAhead = "transfer: {from: Y1, into: A1, at: @11:22}"
)

// ahead is a dose that was checked and labelled in its syringe.
func ahead(t *testing.T) *bench {
	t.Helper()
	b := upTo(t, procedure.MakeUp)
	if got := b.permit(rita, procedure.SecondCheck); got != "" {
		t.Fatalf("the check before the transfer: %s", got)
	}
	b.does(rita, checkAhead)
	if got := b.permit(tess, procedure.Label); got != "" {
		t.Fatalf("the label before the transfer: %s", got)
	}
	return b.does(tess, labelAhead)
}

// TestTransferOfACheckedSyringe: the transfer of the whole syringe that was
// checked and labelled is no new work on the dose; of a part, or into another
// vial, it is.
func TestTransferOfACheckedSyringe(t *testing.T) {
	for _, c := range []struct {
		name, line string
		check      bool // it stands
		label      bool
	}{
		{"the whole", transferAhead, true, true},
		{"a part", strings.Replace(transferAhead, "at:", "volume: 3.0 mL, at:", 1), false, false},
		{"into another vial", strings.Replace(transferAhead, "A1", "A2", 1), true, false},
		{"and a reading of the emptied syringe", "read: {of: Y1, meter: M1, at: @11:30, gross: 4 MBq, background: 0.2 MBq}", true, true},
		{"before it, in its minute, a reading of the full syringe", "read: {of: Y1, meter: M1, at: @11:22, gross: 1.30 GBq, background: 0.2 MBq}", false, false},
		{"and a reading that lowers the dose beyond the bound", "read: {of: Y1, meter: M1, at: @11:30, gross: 60 MBq, background: 0.2 MBq}", false, false},
	} {
		b := ahead(t)
		switch {
		case strings.HasPrefix(c.name, "before"):
			b.does(tess, c.line, transferAhead)
		case strings.HasPrefix(c.line, "read"):
			b.does(tess, transferAhead, c.line)
		default:
			b.does(tess, c.line)
		}
		p := b.prep("P1")
		if s := p.Step(procedure.SecondCheck); (s.State == procedure.Done) != c.check {
			t.Errorf("%s: the check is %s: %s", c.name, s.State, s.Why)
		}
		if s := p.Step(procedure.Label); (s.State == procedure.Done) != c.label {
			t.Errorf("%s: the label is %s: %s", c.name, s.State, s.Why)
		}
	}
}

// TestReleaseAfterATransferAhead: the dose is released by the label that was
// printed before the transfer, and a later label does not bring back a release
// from before a reading that moved the dose.
func TestReleaseAfterATransferAhead(t *testing.T) {
	b := ahead(t).does(tess, transferAhead, strings.Replace(theBefore, "@11:30", "@11:31", 1)).does(rita, theRelease)
	if s := b.prep("P1").Step(procedure.Release); s.State != procedure.Done {
		t.Fatalf("released: %+v", s)
	}
	b.does(tess, "read: {of: Y1, meter: M1, at: @11:55, gross: 60 MBq, background: 0.2 MBq}")
	if s := b.prep("P1").Step(procedure.Release); s.State == procedure.Done {
		t.Errorf("still released: %+v", s)
	}
	b.does(tess, "label: {serial: 96VF-6KJ2-HTHP, for: P1, of: A1, size: administration-vial, copy: 1, at: @12:00, "+
		"printed: {activity: 1.27 GBq, reference: @13:30, volume: 3.5 mL, valid-from: @11:10, valid-until: @18:23, half-life: 64.0417 h, lot: L-0311, dose: 1, doses: 1}}")
	if s := b.prep("P1").Step(procedure.Release); s.State == procedure.Done {
		t.Errorf("released again by a label: %+v", s)
	}
}

// TestPrintedWindowInTheSuite: readings that shorten the window of a dose hold
// its hand-over; once it is handed over, its true label is not refused inside
// the window that is printed on it, and outside that it is.
func TestPrintedWindowInTheSuite(t *testing.T) {
	printed := strings.Replace(labelAhead, "@23:23", "@23:58", 1)
	at := func(b *bench, clock string) *bench {
		return b.does(tess, "note: {text: looked at the clock, at: @"+clock+"}")
	}
	dose := upTo(t, procedure.MakeUp).does(rita, checkAhead).does(tess, printed, transferAhead, strings.Replace(theBefore, "@11:30", "@11:31", 1)).does(rita, theRelease)
	if p := at(dose, "23:40").prep("P1"); len(p.Holds) == 0 || p.Holds[len(p.Holds)-1].Code != procedure.OutsideWindow {
		t.Errorf("before the hand-over the window does not hold the dose: %+v", p.Holds)
	}
	dose.now = dose.now.Add(-10 * time.Hour)
	dose.does(tess, theHandOver)
	if p := at(dose, "23:40").prep("P1"); len(p.Holds) != 0 || dose.permit(nora, procedure.TimeOut) != "" {
		t.Errorf("inside the printed window: %s, %+v", dose.permit(nora, procedure.TimeOut), p.Holds)
	}
	if p := at(dose, "23:59").prep("P1"); len(p.Holds) == 0 {
		t.Error("after the printed window nothing holds the dose")
	}
}
