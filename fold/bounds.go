package fold

import (
	"math"
	"time"

	"vialwright/fact"
	"vialwright/nuclide"
	"vialwright/quantity"
)

// Bounds inside which a case is reckoned. They lie far outside everything at a
// bench: what is merely unlikely is a finding, and what lies beyond them would
// make the books overflow.
const (
	mostActivity = 1e15 * quantity.Becquerel
	leastDose    = quantity.KiloBecquerel // prescribed or labelled
	mostVolume   = 10 * quantity.Litre
	leastVolume  = 1e-6 * quantity.Millilitre // to which the books round
	mostRate     = 1e9                        // in the unit of its family
	mostFactor   = 1000.0
	farthest     = 400 * quantity.Day // 150 half-lives, a factor of 1e45
)

// activity asks that an activity lies from least to the upper bound.
func (s *step) activity(field string, a quantity.Stated[quantity.Activity], least quantity.Activity) *fact.Refusal {
	if a.Value >= least && a.Value <= mostActivity {
		return nil
	}
	return s.refuse(field, "out-of-range", "check the number and its unit", "%s is no activity of a vial or a dose", a.Text)
}

// volume asks that a volume is one.
func (s *step) volume(field string, v quantity.Stated[quantity.Volume], hint string) *fact.Refusal {
	switch {
	case v.Value < leastVolume:
		return s.refuse(field, "volume-zero", hint, "a volume of %s is none", v.Text)
	case v.Value > mostVolume:
		return s.refuse(field, "out-of-range", "check the number and its unit", "%s fits no container here", v.Text)
	}
	return nil
}

// rates asks that the dose rates of a reading can be reckoned with.
func (s *step) rates(field string, d *fact.DoseReading) *fact.Refusal {
	if d == nil {
		return nil
	}
	for _, r := range append([]quantity.Stated[quantity.MeterRate]{d.Background}, d.Rate...) {
		switch {
		case r.Value > mostRate:
			return s.refuse(field, "out-of-range", "check the number and its unit", "%s is no dose rate of a dose", r.Text)
		case quantity.Family(r) != quantity.Family(d.Background):
			return s.refuse(field, "two-units", "read both with one meter, and write both in one unit", "the dose rate is %s and its background %s, and one does not turn into the other", r.Text, d.Background.Text)
		}
	}
	return nil
}

// near asks that every time of a step, but for expiry dates and what is of practice or of accounts, lies
// near the epoch: a slip of the year would carry activities out of all
// numbers.
func (s *step) near(epoch time.Time) *fact.Refusal {
	if fact.Is(s.fact, fact.Practice|fact.Account) {
		return nil
	}
	var field string
	var t time.Time
	fact.Times(s.fact, func(path string, at time.Time) bool {
		away := nuclide.Elapsed(epoch, at)
		if path != "expiry" && (away > farthest || away < -farthest) {
			field, t = path, at
		}
		return field == ""
	})
	if field == "" {
		return nil
	}
	days := math.Abs(float64(nuclide.Elapsed(epoch, t) / quantity.Day))
	return s.refuse(field, "time-far", "check the year of both", "this lies %.0f days from %s, which activities are carried to",
		days, quantity.FormatTime(epoch, nil))
}
