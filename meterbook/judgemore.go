package meterbook

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/meter"
	"vialwright/quantity"
)

// Line is the fit of a test of linearity by decay.
func (b *Book) Line(t *Test) (meter.Line, []meter.Reading, error) {
	h, err := b.halfLife(t)
	if err != nil {
		return meter.Line{}, nil, err
	}
	r := readings(t.MeterTest, nil)
	l, err := meter.LinearityLine(r, h, b.Rules.Linearity.Tolerance)
	return l, r, err
}

// shaped says what explains a series of readings in a unit, with its size and standard
// uncertainty in the unit of the sentence: 1/MBq of dead time, MBq of an offset, or cps and
// uSv/h likewise; hours of a half-life.
func shaped(e meter.Explanation, unit string) string {
	one := 1.0
	if unit == "Bq" {
		unit, one = "MBq", 1e6
	}
	switch {
	case e.Shape == meter.DeadTime && e.Value > 0:
		return fmt.Sprintf("too little at the top, as by a dead time of %.3g ± %.2g for each %s", e.Value*one, e.U*one, unit)
	case e.Shape == meter.DeadTime:
		return fmt.Sprintf("too much at the top, by %.3g ± %.2g for each %s, which is no dead time", -e.Value*one, e.U*one, unit)
	case e.Shape == meter.Offset && e.Value > 0:
		return fmt.Sprintf("%.3g ± %.2g %s too much in every reading, as by a background that was not taken off", e.Value/one, e.U/one, unit)
	case e.Shape == meter.Offset:
		return fmt.Sprintf("%.3g ± %.2g %s too little in every reading, as by a background taken off twice", -e.Value/one, e.U/one, unit)
	}
	return fmt.Sprintf("another half-life, %.4g ± %.2g h", e.Value/3600, e.U/3600)
}

// others are what explains a series nearly as well, in a sentence; empty for nothing.
func others(l meter.Line, r []meter.Reading, unit string) string {
	var out []string
	for _, e := range l.Or {
		switch e.Shape {
		case meter.Straight:
			out = append(out, "scatter alone")
		case meter.BadPoint:
			out = append(out, "a wrong reading of "+shown(float64(r[e.Point].Net), unit))
		default:
			out = append(out, shaped(e, unit))
		}
	}
	if out == nil {
		return ""
	}
	return " It could also be " + strings.Join(out, ", or ") + "."
}

func (b *Book) linearity(i *Instrument, t *Test) error {
	l, r, err := b.Line(t)
	if err != nil {
		return err
	}
	t.Limit, t.Verdict = b.Rules.Linearity, Good
	for n, o := range l.Outcomes {
		if n == l.Is.Point {
			continue // a bad point tests nothing
		}
		t.tests(r[n].Net)
		if math.Abs(float64(o.Deviation)) > math.Abs(float64(t.Deviation)) {
			t.Deviation, t.U = o.Deviation, o.U
		}
	}
	t.Says = fmt.Sprintf("Readings of %s: at most %s from the one in the middle, tolerance %s. With the half-life free it is %.2f ± %.2f h.",
		t.Tested(), quantity.Signed(t.Deviation, 2, t.Limit.Tolerance), quantity.Show(t.Limit.Tolerance, 0), l.Free.Value/3600, l.Free.U/3600)
	switch {
	case l.Is.Shape == meter.BadPoint:
		at := r[l.Is.Point]
		t.Verdict = Warned
		b.found(Finding{
			"linearity-bad-point", dispensing.Warn, i.ID, at.At, t.Entry,
			fmt.Sprintf("Linearity of %s: the reading of %s at %s departs by %s from the line of the others and was left out.%s", i.ID, shown(float64(at.Net), t.Unit), at.At.In(b.Zone).Format("2 Jan 2006 15:04"), quantity.Signed(l.Outcomes[l.Is.Point].Deviation, 2), others(l, r, t.Unit)),
			"Look whether it was read or typed wrongly; repeat it while the source lasts.",
		})
	case l.Is.Shape != meter.Straight:
		t.Verdict = Warned
		b.finds(i, t, dispensing.Warn, "linearity-"+dispensing.Code(l.Is.Shape), "Have the instrument looked at; compare with the test before.",
			"Linearity of %s on %s: the readings show %s.%s", i.ID, b.On(t.At), shaped(l.Is, t.Unit), others(l, r, t.Unit))
	}
	if !l.Within {
		t.Verdict = Bad
		b.outside(i, t)
	}
	return nil
}

// tests widens the range that a test of linearity was made over.
func (t *Test) tests(a quantity.Activity) {
	if t.High == 0 {
		t.Low = a
	}
	t.Low, t.High = min(t.Low, a), max(t.High, a)
}

// Tested is the range that a test of linearity was made over, in the unit of its readings.
func (t *Test) Tested() string {
	return shown(float64(t.Low), t.Unit) + " to " + shown(float64(t.High), t.Unit)
}

// sleeves judges a test of linearity by sleeves: each reading times the factor of its
// sleeve is the activity of one source. What is displayed within a sleeve is what a source
// so much weaker would show, so that the range from the least to the greatest display was
// tested, on the setting of the test (the current of the chamber is what is linear or not;
// common practice, no source).
func (b *Book) sleeves(i *Instrument, t *Test) error {
	h, err := b.halfLife(t)
	if err != nil {
		return err
	}
	bare := *t.MeterTest
	bare.Readings = slices.Clone(t.Readings)
	for n, r := range t.Readings {
		net, _ := value(r)
		t.tests(quantity.Activity(net))
		bare.Readings[n] = fact.TestReading{At: r.At, U: r.U}
		bare.Readings[n].Gross.Value = quantity.Activity(net * r.Sleeve.Value)
	}
	r := readings(&bare, nil)
	p, err := meter.Precision(r, h, b.Rules.Linearity.Tolerance)
	if err != nil {
		return err
	}
	b.repeated(i, t, p, b.Rules.Linearity, "Readings times their sleeve factors")
	return nil
}

func (b *Book) precision(i *Instrument, t *Test) error {
	h, err := b.halfLife(t)
	if err != nil {
		return err
	}
	p, err := meter.Precision(readings(t.MeterTest, nil), h, b.Rules.Precision.Tolerance)
	if err != nil {
		return err
	}
	b.repeated(i, t, p, b.Rules.Precision, "Repeated readings")
	if o, err := meter.Grubbs(p.Deviations, 0.05); err == nil && o.Found {
		b.finds(i, t, dispensing.Warn, "precision-outlier", "Look whether it was read or typed wrongly.",
			"Precision of %s on %s: reading %d lies %.2f standard deviations from the mean (Grubbs at 5 %%: %.2f).", i.ID, b.On(t.At), o.Index+1, o.G, o.Critical)
		if t.Verdict == Good {
			t.Verdict = Warned
		}
	}
	return nil
}

// repeated fills in what readings of one activity came to, and says where they failed.
func (b *Book) repeated(i *Instrument, t *Test, p meter.Repeated, l Limit, what string) {
	t.Deviation, t.Limit, t.Verdict = p.Worst, l, Good
	t.Says = fmt.Sprintf("%s: standard deviation %.2f %%, at most %s from their mean, tolerance %s.", what, 100*float64(p.SD), quantity.Signed(p.Worst, 2, l.Tolerance), quantity.Show(l.Tolerance, 0))
	if !p.Within {
		t.Verdict = Bad
		b.outside(i, t)
	}
}

// Geometry is the factor of all runs of one container, setting, insert and fill up to a
// test.
func (b *Book) Geometry(i *Instrument, n int) (meter.Factor, error) {
	var runs []meter.Transfer
	t := &i.Tests[n]
	key := func(m *fact.MeterTest) string {
		return m.Container + "/" + spelled(m.Setting) + "/" + spelled(m.Insert) + "/" + fmt.Sprint(m.Fill().Value)
	}
	h, err := b.halfLife(t)
	if err != nil {
		return meter.Factor{}, err
	}
	for k := range i.Tests[:n+1] {
		m := i.Tests[k].MeterTest
		if mixed, _ := m.Mixed(); mixed >= 0 || m.Test != fact.GeometryTest || key(m) != key(t.MeterTest) {
			continue
		}
		part := func(p fact.Part) []meter.Reading {
			return readings(m, func(r fact.TestReading) bool { return r.Part == p })
		}
		before, after, in := part(fact.PartBefore), part(fact.PartAfter), part(fact.PartIn)
		if len(before) != len(in) || len(after) > len(in) {
			return meter.Factor{}, refuse("run-incomplete", "A run lacks a reading: each has one before and one in the container tested.", "Correct the entry.")
		}
		for r := range in {
			x := meter.Transfer{Before: before[r], In: in[r]}
			if r < len(after) {
				x.After = after[r]
			}
			runs = append(runs, x)
		}
	}
	return meter.Geometry(runs, h)
}

// geometryU is how well a geometry factor has to be known before it is used (common
// practice, no source).
const geometryU = 0.02

// geometry judges a test of geometry: it tells a factor, and how many runs are missing. A
// factor far from 1 fails nothing, so that the test names no limit.
func (b *Book) geometry(i *Instrument, n int) error {
	t := &i.Tests[n]
	f, err := b.Geometry(i, n)
	if err != nil {
		return err
	}
	t.Deviation, t.U, t.Verdict = f.Value-1, f.U, Good
	t.Says = fmt.Sprintf("Factor of %s: %s of %d runs.", t.Container, quantity.Format(f.Value, f.U, "%"), len(f.Each))
	if lacks := f.Lacks(geometryU); lacks > 0 {
		t.Verdict = Warned
		t.Says += fmt.Sprintf(" It needs %d more before it is used.", lacks)
	}
	return nil
}
