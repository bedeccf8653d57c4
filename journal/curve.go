package journal

import (
	"math"
	"strconv"
	"time"

	"vialwright/dispensing"
	"vialwright/ledger"
	"vialwright/nuclide"
	"vialwright/quantity"
	"vialwright/settling"
)

// SettlingTest is what a meter showed of one vial again and again, while it
// settled in the well. It moves nothing and enters no book: from it the bench
// says for how long a reading of such a vial can be taken as it stands.
type SettlingTest struct {
	// Of is the vial, which stayed in the well of Meter all the while.
	Of, Meter string
	// At is when it was shaken, or its shaking ended.
	At         time.Time
	Background quantity.Stated[quantity.Activity]
	Readings   []CurveReading
}

// Kind is "settling-test".
func (*SettlingTest) Kind() string { return "settling-test" }

// moment is that of the last reading.
func (x *SettlingTest) moment() time.Time {
	at := x.At
	for _, r := range x.Readings {
		at = x.At.Add(time.Duration(float64(r.Since.Value) * float64(time.Second)))
	}
	return at
}

func (x *SettlingTest) fields(f []field) []field {
	return append(f,
		field{"of", must, id{&x.Of, AboutContainer}, "Container"},
		field{"meter", must, id{&x.Meter, AboutMeter}, "Activity meter"},
		field{"at", must, instant{&x.At}, "Resuspended at"},
		field{"background", must, amount(&x.Background), "Background"},
		field{"readings", must, rowsOf[CurveReading, *CurveReading]{&x.Readings, "a list of {since: 5 s, gross: 3.24 GBq}"}, "Readings"},
	)
}

// CurveReading is one of the readings: the time since the vial was shaken, and
// what stood there, with the background in it.
type CurveReading struct {
	Since quantity.Stated[quantity.Span]
	Gross quantity.Stated[quantity.Activity]
}

func (r *CurveReading) fields(f []field) []field {
	return append(f, field{"since", must, amount(&r.Since), "Time since resuspension"}, field{"gross", must, amount(&r.Gross), "Reading, as displayed"})
}

// A curve of three parameters needs more readings than that, at no fewer times.
const (
	leastOfCurve = 4
	leastTimes   = 3
)

// enter refuses, in this order: a meter that is not there, a container that is
// not there or is no shipping vial, a background that cannot be, a reading that
// cannot be or comes before the one above it, and too few of them.
func (x *SettlingTest) enter(f *folder, s *step) *Refusal {
	if err := f.knowsMeter(s, "meter", x.Meter); err != nil {
		return err
	}
	c, err := f.is(s, "of", x.Of)
	if err != nil {
		return err
	}
	if c.Kind != ledger.ShippingVial {
		return s.refuse("of", "curve-of-no-vial", "read a shipping vial while it settles", "%s is of the kind %s, not a shipping vial", x.Of, c.Kind)
	}
	if err := s.activity("background", x.Background, 0); err != nil {
		return err
	}
	times := 0
	for i := range x.Readings {
		if err := x.check(s, i); err != nil {
			return err
		}
		if i == 0 || x.Readings[i].Since.Value > x.Readings[i-1].Since.Value {
			times++
		}
	}
	if n := len(x.Readings); n < leastOfCurve || times < leastTimes {
		return s.refuse("readings", "curve-short", "take at least four, at three or more times", "readings: %d, at different times: %d", n, times)
	}
	f.out.Curves = append(f.out.Curves, x.reckoned(f, s))
	return nil
}

// check asks that reading i can be one, and is not earlier than the one before.
func (x *SettlingTest) check(s *step, i int) *Refusal {
	r, at := x.Readings[i], "readings["+strconv.Itoa(i+1)+"]."
	switch {
	case r.Since.Value > quantity.Day:
		return s.refuse(at+"since", "out-of-range", "count from the last shaking, and check the unit", "%s is longer than a day", r.Since.Text)
	case i > 0 && r.Since.Value < x.Readings[i-1].Since.Value:
		return s.refuse(at+"since", "curve-backwards", "write them in the order they were read in", "%s comes after %s", r.Since.Text, x.Readings[i-1].Since.Text)
	case r.Gross.Value <= x.Background.Value:
		return s.refuse(at+"gross", "background-above-gross", "check the background and its unit; gross is the reading before it is taken away",
			"the background %s is not below the reading %s", x.Background.Text, r.Gross.Text)
	}
	return s.activity(at+"gross", r.Gross, 0)
}

// reckoned carries each reading, without the background, to the time of the
// shaking, and gives it the uncertainty of repetition:
//
//	y = (gross − background)·2^(since/T½)
//	u² = (repeatability·y)² + δ²/12, δ the step of the last digit of gross (JCGM 100:2008, F.2.2.1)
//
// What all readings share, the calibration and the background, moves the whole
// curve and not its form.
func (x *SettlingTest) reckoned(f *folder, s *step) dispensing.SettlingTest {
	out := dispensing.SettlingTest{Entry: s.entry, Of: x.Of, Meter: x.Meter, Vial: f.out.KindOf(x.Of), At: x.At, Volume: f.out.Book.Volume(x.Of)}
	repeat := float64(f.meterAt(x.Meter, s.at).Repeatability.Value)
	for _, r := range x.Readings {
		y := (r.Gross.Value - x.Background.Value) / quantity.Activity(nuclide.Factor(f.out.HalfLife.Value, r.Since.Value))
		floor := max(stepOf(r.Gross), quantity.Becquerel) / quantity.Activity(math.Sqrt(12))
		out.Readings = append(out.Readings, settling.Reading{
			At: r.Since.Value, Value: y, U: quantity.Activity(math.Hypot(repeat*float64(y), float64(floor))),
		})
	}
	return out
}
