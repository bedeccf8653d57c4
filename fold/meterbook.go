package fold

import (
	"strconv"
	"time"

	"vialwright/fact"
	"vialwright/journal"
	"vialwright/nuclide"
	"vialwright/quantity"
)

// ofInstrument refuses what cannot be of an instrument or a check source. It asks
// nothing of the case: these are books of the site.
func ofInstrument(s *step) *fact.Refusal {
	s.at = fact.At(s.fact)
	switch x := s.fact.(type) {
	case *fact.Instrument:
		return enterInstrument(x, s)
	case *fact.CheckSource:
		return enterCheckSource(x, s)
	case *fact.MeterTest:
		return enterMeterTest(x, s)
	case *fact.Calibration:
		return enterCalibration(x, s)
	}
	return nil
}

// enterInstrument refuses, in this order: bounds the wrong way round, a share that
// is none, and a calibration that is due before it was made.
func enterInstrument(x *fact.Instrument, s *step) *fact.Refusal {
	switch {
	case !x.High.IsZero() && x.High.Value <= x.Low.Value, !x.RateHigh.IsZero() && x.RateHigh.Value <= x.RateLow.Value:
		return s.refuse("high", "range-backwards", "write the smaller one first, and check the units", "the upper bound is not above the lower one")
	case x.Efficiency.Value > 1:
		return s.refuse("efficiency", "out-of-range", "it is counts for each decay, such as 35 %", "%s is above 100 %%", x.Efficiency.Text)
	case x.EfficiencyU.Value >= 1:
		return s.refuse("efficiency-u", "out-of-range", "check the number", "%s is not below 100 %%", x.EfficiencyU.Text)
	case !x.Due.IsZero() && !x.Due.After(x.Calibrated):
		return s.refuse("due", "due-before", "check both dates", "the calibration is due before it was made")
	}
	return nil
}

// soldAhead is how far ahead of its delivery a certificate may state the activity of a source
// (common practice, no source); a year mistyped is further.
const soldAhead = 92 * 24 * time.Hour

// enterCheckSource refuses, in this order: an activity of nothing, an uncertainty
// that is none, a source from the future, a leak test due before it was made, a
// nuclide that nobody evaluated and that brings no half-life, and a half-life that is
// not that of its nuclide.
func enterCheckSource(x *fact.CheckSource, s *step) *fact.Refusal {
	n, err := nuclide.Parse(x.Nuclide)
	switch {
	case x.Activity.Value <= 0:
		return s.refuse("activity", "out-of-range", "take it from the certificate", "%s is no activity of a source", x.Activity.Text)
	case x.U.Value >= 1:
		return s.refuse("u", "out-of-range", "it is the standard uncertainty, half of the expanded one for k = 2", "%s is not below 100 %%", x.U.Text)
	case x.Reference.Sub(x.At) > soldAhead:
		return s.refuse("reference", "source-from-future", "check the year of both dates", "the source has its activity at a time more than a quarter of a year after %s, from which it is in the books", quantity.FormatTime(x.At, nil))
	case !x.LeakDue.IsZero() && !x.LeakDue.After(x.LeakTested):
		return s.refuse("leak-due", "due-before", "check both dates", "the leak test is due before it was made")
	case err != nil && x.HalfLife.IsZero():
		return s.refuse("nuclide", "unknown-nuclide", "write it as in Cs-137, or give its half-life with a unit", "%s is not among the evaluated nuclides", fact.Quote(x.Nuclide))
	case !x.HalfLife.IsZero() && (x.HalfLife.Value <= 0 || x.HalfLifeU.Value >= x.HalfLife.Value):
		return s.refuse("half-life", "out-of-range", "give it with its unit, such as 30.05 a", "%s is no half-life", x.HalfLife.Text)
	case err == nil && !x.HalfLife.IsZero():
		h := nuclide.HalfLife{Value: x.HalfLife.Value, U: x.HalfLifeU.Value, Source: "the entry"}
		if e, _ := n.Vet(h).(*nuclide.Error); e != nil {
			return s.refuse("half-life", e.Code, clause(e.Hint), "%s", clause(e.Text))
		}
	}
	return nil
}

// HalfLifeOf is the half-life of a check source: that of its entry, else the evaluated
// one.
func HalfLifeOf(s *fact.CheckSource) (nuclide.HalfLife, error) {
	if !s.HalfLife.IsZero() {
		return nuclide.HalfLife{Value: s.HalfLife.Value, U: s.HalfLifeU.Value, Source: "the entry of source " + s.ID}, nil
	}
	n, err := nuclide.Parse(s.Nuclide)
	if err != nil {
		return nuclide.HalfLife{}, err
	}
	return n.HalfLife(), nil
}

// enterMeterTest refuses, in this order: a reading that is none or several at once,
// a reading after the test, a test that lacks its source, its container or its parts,
// and a sleeve without a factor. What the readings come to is for package meterbook.
func enterMeterTest(x *fact.MeterTest, s *step) *fact.Refusal {
	needs := x.Test == fact.ConstancyTest || x.Test == fact.AccuracyTest
	switch {
	case needs && x.Source == "":
		return s.refuse("with", "source-missing", "write with: and the check source", "a test of %s names no check source", x.Test)
	case x.Test == fact.GeometryTest && x.Container == "":
		return s.refuse("container", "container-missing", "write the kind of container that was tested", "a test of geometry names no container")
	case x.Repeatability.Value >= 1:
		return s.refuse("repeatability", "out-of-range", "check the number", "%s is not below 100 %%", x.Repeatability.Text)
	}
	for i, r := range x.Readings {
		at := "readings[" + strconv.Itoa(i+1) + "]"
		given := 0
		for _, there := range []bool{!r.Gross.IsZero(), !r.Rate.IsZero(), !r.Counts.IsZero()} {
			if there {
				given++
			}
		}
		switch {
		case given != 1:
			return s.refuse(at, "reading-missing", "write gross:, rate: or counts:, as the instrument shows it", "it holds %d readings, and not one", given)
		case r.At.After(s.at):
			return s.refuse(at+".at", "after-test", "let the test have the time of its last reading", "it was read after the test")
		case x.Test == fact.SleevesTest && r.Sleeve.Value < 1:
			return s.refuse(at+".sleeve", "sleeve-missing", "write sleeve: 1 without one, and its certified factor with one", "a reading of a test with sleeves names no factor of 1 or more")
		case x.Test == fact.GeometryTest && r.Part == "":
			return s.refuse(at+".part", "part-missing", "write before, after or in", "a reading of a test of geometry does not say of which container it is")
		case r.U.Value >= 1:
			return s.refuse(at+".u", "out-of-range", "check the number", "%s is not below 100 %%", r.U.Text)
		}
	}
	return nil
}

// Typed refuses what a record that is made now may not say, and what an older version
// recorded is read with all the same: a test of an instrument in two units or at two fills.
func Typed(r journal.Record) *fact.Refusal {
	s := &step{entry: r.N, written: r.N, fact: r.Fact}
	if c, ok := r.Fact.(*fact.Correct); ok {
		s.entry, s.fact = c.Entry, c.With
	}
	x, ok := s.fact.(*fact.MeterTest)
	if !ok {
		return nil
	}
	i, fills := x.Mixed()
	at := "readings[" + strconv.Itoa(i+1) + "]"
	switch {
	case i < 0:
		return nil
	case fills:
		return s.refuse(at+".volume", "two-fills", "enter a test of its own for each fill", "the runs of one test of geometry are at one fill, and this one is at %s and not at %s", x.Readings[i].Volume.Text, x.Fill().Text)
	}
	return s.refuse(at, "two-units", "enter a test of its own for each", "the readings of one test are all activities, dose rates or count rates")
}

// enterCalibration refuses, in this order: a factor that is none, an uncertainty
// that is none, bounds the wrong way round, and a date that is due before it holds.
func enterCalibration(x *fact.Calibration, s *step) *fact.Refusal {
	switch {
	case x.Factor.Value <= 1/mostFactor || x.Factor.Value >= mostFactor:
		return s.refuse("factor", "out-of-range", "it is reading over activity, near 1", "%s is no factor of a meter", x.Factor.Text)
	case x.U.Value >= 1:
		return s.refuse("u", "out-of-range", "check the number", "%s is not below 100 %%", x.U.Text)
	case !x.High.IsZero() && x.High.Value <= x.Low.Value:
		return s.refuse("high", "range-backwards", "write the smaller one first, and check the units", "the upper bound is not above the lower one")
	case x.Fill != nil && checkRange(x.Fill) != "":
		return s.refuse("fill", "out-of-range", "write the smaller volume first", "%s", checkRange(x.Fill))
	case !x.Due.IsZero() && !x.Due.After(x.From):
		return s.refuse("due", "due-before", "check both dates", "the calibration is due before it holds")
	}
	return nil
}
