package fold

import (
	"math"
	"strconv"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/ledger"
	"vialwright/nuclide"
	"vialwright/quantity"
	"vialwright/settling"
)

// A curve of three parameters needs more readings than that, at no fewer times.
const (
	leastOfCurve = 4
	leastTimes   = 3
)

// enterSettlingTest refuses, in this order: a meter that is not there, a container that is
// not there or is no shipping vial, a background that cannot be, a reading that
// cannot be or comes before the one above it, and too few of them.
func enterSettlingTest(x *fact.SettlingTest, f *folder, s *step) *fact.Refusal {
	if err := f.knowsMeter(s, "meter", x.Meter); err != nil {
		return err
	}
	c, err := f.is(s, "of", x.Of)
	if err != nil {
		return err
	}
	if c.Kind != ledger.ShippingVial {
		return s.refuse("of", "curve-of-no-vial", "take the readings of a settling test from a shipping vial", "%s is of the kind %s, not a shipping vial", x.Of, c.Kind)
	}
	if err := s.activity("background", x.Background, 0); err != nil {
		return err
	}
	times := 0
	for i := range x.Readings {
		if err := checkSettlingTest(x, s, i); err != nil {
			return err
		}
		if i == 0 || x.Readings[i].Since.Value > x.Readings[i-1].Since.Value {
			times++
		}
	}
	if n := len(x.Readings); n < leastOfCurve || times < leastTimes {
		return s.refuse("readings", "curve-short", "take at least four, at three or more times", "readings: %d, at different times: %d", n, times)
	}
	f.out.Curves = append(f.out.Curves, reckonedSettlingTest(x, f, s))
	return nil
}

// checkSettlingTest asks that reading i can be one, and is not earlier than the one before.
func checkSettlingTest(x *fact.SettlingTest, s *step, i int) *fact.Refusal {
	r, at := x.Readings[i], "readings["+strconv.Itoa(i+1)+"]."
	switch {
	case r.Since.Value > quantity.Day:
		return s.refuse(at+"since", "out-of-range", "count from the last resuspension, and check the unit", "%s is longer than a day", r.Since.Text)
	case i > 0 && r.Since.Value < x.Readings[i-1].Since.Value:
		return s.refuse(at+"since", "curve-backwards", "write them in the order they were read in", "%s comes after %s", r.Since.Text, x.Readings[i-1].Since.Text)
	case r.Gross.Value <= x.Background.Value:
		return s.refuse(at+"gross", "background-above-gross", "check the background and its unit; gross is the reading before it is taken away",
			"the background %s is not below the reading %s", x.Background.Text, r.Gross.Text)
	}
	return s.activity(at+"gross", r.Gross, 0)
}

// reckonedSettlingTest carries each reading, without the background, to the time of the
// resuspension, and gives it the uncertainty of repetition:
//
//	y = (gross − background)·2^(since/T½)
//	u² = (repeatability·y)² + δ²/12, δ the step of the last digit of gross (JCGM 100:2008, F.2.2.1)
//
// What all readings share, the calibration and the background, moves the whole
// curve and not its form.
func reckonedSettlingTest(x *fact.SettlingTest, f *folder, s *step) dispensing.SettlingTest {
	out := dispensing.SettlingTest{Entry: s.entry, Of: x.Of, Meter: x.Meter, Vial: f.out.KindOf(x.Of), At: x.At, Volume: f.out.Book.Volume(x.Of)}
	repeat := float64(f.meterAt(x.Meter, s.at).Repeatability.Value)
	for _, r := range x.Readings {
		y := (r.Gross.Value - x.Background.Value) / quantity.Activity(nuclide.Factor(f.out.HalfLife.Value, r.Since.Value))
		floor := max(r.Gross.Step(), quantity.Becquerel) / quantity.Activity(math.Sqrt(12))
		out.Readings = append(out.Readings, settling.Reading{
			At: r.Since.Value, Value: y, U: quantity.Activity(math.Hypot(repeat*float64(y), float64(floor))),
		})
	}
	return out
}
