package dispensing_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"vialwright/dispensing"
	"vialwright/quantity"
)

// slipped is the example preparation with a reading of the syringe typed as
// given, and whatever is done besides.
func slipped(syringe quantity.Activity, more ...func(*story)) *story {
	s := toDraw()
	for _, m := range more {
		m(s)
	}
	s.read("Y1", "11:17", syringe)
	return s
}

// TestTheCulpritIsNamed: the entry that slipped is first and alone at its
// severity, what was meant is said, and what the others give.
func TestTheCulpritIsNamed(t *testing.T) {
	again := func(s *story) { s.read("S1", "11:02", 3.23*gbq) }
	for _, c := range []struct {
		name  string
		tell  func() *story
		entry int
		says  []string
	}{
		{
			"a syringe typed 13.1 for 1.31 GBq",
			func() *story { return slipped(13.1 * gbq) },
			6,
			[]string{"13.1 GBq is probably 1.31 GBq (point moved): the others give 1.3", "GBq. Correct the entry with a reason"},
		},
		{
			"3.24 typed 2.34 with a replicate",
			func() *story {
				s := newStory()
				s.order("P1", 1.30*gbq, "13:30", 0.02)
				s.receive("S1", 3.0*gbq)
				s.read("S1", "11:00", 2.34*gbq)
				again(s)
				s.draw("S1", "Y1", "P1", "11:10", 2.2)
				s.read("S1", "11:14", 1.85*gbq)
				return s
			},
			3,
			[]string{"2.34 GBq is probably 3.24 GBq (two digits swapped): the others give 3.2"},
		},
		{
			"mCi typed as GBq",
			func() *story { return slipped(36.5 * gbq) },
			6,
			[]string{"36.5 GBq is probably 36.5 mCi (another unit)"},
		},
	} {
		r := dispensing.Reckon(c.tell().Case, time.Time{})
		stops := 0
		for _, f := range r.Findings {
			if f.Severity != dispensing.Stop {
				continue
			}
			stops++
			for _, says := range c.says {
				if f.Code != dispensing.ReadingDisagrees || f.Entry != c.entry || !strings.Contains(f.Text, says) {
					t.Errorf("%s: %s of entry %d, want entry %d and %q: %s", c.name, f.Code, f.Entry, c.entry, says, f.Text)
				}
			}
		}
		if stops != 1 {
			t.Errorf("%s: %d stops, want one", c.name, stops)
		}
		withheld(t, c.name, r, "orders[P1].dispensed_MBq", dispensing.ReadingDisagrees)
	}
}

// withheld asks that nothing of P1 and S1 is shown, and that a key is listed.
func withheld(t *testing.T, name string, r dispensing.Result, key string, code dispensing.Code) {
	t.Helper()
	o, v := r.Orders[0], r.Vials[0]
	if o.Plan != nil || o.Dispensed != nil || o.Rough != nil || o.Adjust != nil || o.Delivered != nil || o.Withheld != code || o.Read == "" {
		t.Errorf("%s: order %+v", name, o)
	}
	if v.Measured != 0 || v.Remaining != 0 || v.LabelRatio != 0 || v.Withheld != code {
		t.Errorf("%s: vial %+v", name, v)
	}
	for _, k := range r.Containers {
		if k.Activity != 0 || k.Withheld != code {
			t.Errorf("%s: container %+v", name, k)
		}
	}
	for _, w := range r.Withheld {
		if w.Key == key && w.Code == code {
			return
		}
	}
	t.Errorf("%s: %s is not among %v", name, key, r.Withheld)
}

// TestTheSlipMendedShowsAgain: with the entry corrected nothing is withheld.
func TestTheSlipMendedShowsAgain(t *testing.T) {
	r := dispensing.Reckon(slipped(1.36*gbq).Case, time.Time{})
	if len(r.Withheld) > 0 || r.Orders[0].Dispensed == nil || r.Stopped() {
		t.Errorf("withheld %v, findings %v", r.Withheld, r.Findings)
	}
}

// TestAnotherSetKeepsItsFigures: a slip in one vial says nothing of another.
func TestAnotherSetKeepsItsFigures(t *testing.T) {
	s := slipped(13.1*gbq, func(s *story) {
		s.order("P2", 1.1*gbq, "14:30", 0.02)
		s.receive("S2", 3.0*gbq)
		s.read("S2", "11:15", 3.22*gbq)
	})
	s.draw("S2", "Y2", "P2", "11:30", 1.9)
	s.read("S2", "11:34", 2.0*gbq)
	r := dispensing.Reckon(s.Case, time.Time{})
	if o := r.Orders[1]; o.Dispensed == nil || o.Withheld != "" {
		t.Errorf("order P2: %+v", o)
	}
	if o := r.Orders[0]; o.Dispensed != nil {
		t.Errorf("order P1: %+v", o)
	}
}

// TestReadingsThatAgreeStand: where readings agree among themselves and the
// volume alone speaks against them, the assay is shown with a warning.
func TestReadingsThatAgreeStand(t *testing.T) {
	s := assayed(1.30*gbq, "13:30", 0.02)
	s.read("S1", "11:02", 3.23*gbq)
	s.draw("S1", "Y1", "P1", "11:10", 2.2)
	s.read("S1", "11:14", 2.72*gbq) // a settled vial: a third of what 2.2 mL holds
	s.read("S1", "11:16", 2.71*gbq)
	r := dispensing.Reckon(s.Case, time.Time{})
	if r.Orders[0].Dispensed == nil {
		t.Errorf("withheld %v: %v", r.Withheld, r.Findings)
	}
	for _, f := range r.Findings {
		if f.Code == dispensing.DrawYieldUnusual && f.Severity == dispensing.Warn {
			return
		}
	}
	t.Errorf("no warning that the draw was unusual: %v", r.Findings)
}

// TestOneReadingAloneIsReadAgain: the same with one reading either side shows
// nothing, and asks for a reading without the first figure.
func TestOneReadingAloneIsReadAgain(t *testing.T) {
	r := dispensing.Reckon(missed(2.72).Case, time.Time{})
	withheld(t, "one reading", r, "orders[P1].plan", dispensing.DrawYieldUnusual)
	if o := r.Orders[0]; o.Read != "S1" || o.Next != dispensing.AssayRemainder {
		t.Errorf("next %s of %q", o.Next, o.Read)
	}
	for _, f := range r.Findings {
		if strings.Contains(f.Text, "2.72") {
			t.Errorf("the first figure is told: %s", f.Text)
		}
	}
}

// TestWhatNothingTells: two replicates that differ say nothing of which.
func TestWhatNothingTells(t *testing.T) {
	s := newStory()
	s.order("P1", 1.30*gbq, "13:30", 0.02)
	s.receive("S1", 3.0*gbq)
	s.Vials[0].Labelled = 3.0 * gbq
	s.read("S1", "11:00", 3.60*gbq)
	s.read("S1", "11:02", 2.90*gbq)
	r := dispensing.Reckon(s.Case, time.Time{})
	if !strings.Contains(r.Findings[0].Text, "read again, without looking at the first figures") || r.Findings[0].Entry != 0 || r.Vials[0].Withheld == "" {
		t.Errorf("%+v", r.Findings[0])
	}
}

// TestElevenHours: a reference time that is 11 h off is said to be 11 h off.
func TestElevenHours(t *testing.T) {
	s := newStory()
	s.receive("S1", 3*gbq)
	s.read("S1", "11:00", 3.2343*1.1265*gbq) // 2^(11/64.04)
	s.read("S1", "11:02", 3.2343*1.1265*gbq)
	r := dispensing.Reckon(s.Case, time.Time{})
	if f := r.Findings[0]; f.Code != dispensing.LabelMismatch || !strings.Contains(f.Text, "11 h too early") {
		t.Errorf("%+v", f)
	}
}

// TestAVolumeThatSlipped: the readings agree among themselves and stand; what
// rests on the volume is withheld, and the volume is named.
func TestAVolumeThatSlipped(t *testing.T) {
	s := assayed(1.30*gbq, "13:30", 0.02)
	s.draw("S1", "Y1", "P1", "11:10", 0.22)
	s.read("S1", "11:14", 1.85*gbq)
	s.read("Y1", "11:17", 1.38*gbq)
	r := dispensing.Reckon(s.Case, time.Time{})
	if o := r.Orders[0]; o.Dispensed == nil || o.Plan != nil || o.Adjust != nil || r.Vials[0].VolumeHeld == "" {
		t.Errorf("%+v, findings %v", o, r.Findings)
	}
	if f := r.Findings[0]; f.Code != dispensing.DrawYieldUnusual || f.Severity != dispensing.Warn || !strings.Contains(f.Text, "0.22 mL is probably 2.2 mL (point moved)") {
		t.Errorf("%+v", f)
	}
	for _, key := range []string{"orders[P1].plan", "vials[S1].remaining_mL", "containers[Y1].volume_mL"} {
		if !slices.ContainsFunc(r.Withheld, func(w dispensing.Withheld) bool { return w.Key == key }) {
			t.Errorf("%s is not among %v", key, r.Withheld)
		}
	}
}
