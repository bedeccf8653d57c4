package meterbook

import (
	"cmp"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"
	"time"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/fold"
	"vialwright/meter"
	"vialwright/nuclide"
	"vialwright/quantity"
)

// value is a net reading with its unit, whichever it is of.
func value(r fact.TestReading) (net float64, unit string) {
	switch {
	case !r.Rate.IsZero():
		return float64(r.Rate.Value - r.RateBack.Value), "uSv/h"
	case !r.Counts.IsZero():
		return float64(r.Counts.Value - r.CountBack.Value), "cps"
	}
	return float64(r.Gross.Value - r.Background.Value), "Bq"
}

func shown(x float64, unit string) string {
	switch unit {
	case "uSv/h":
		return quantity.Show(quantity.DoseRate(x), 0).String()
	case "cps":
		return quantity.Show(quantity.CountRate(x), 0).String()
	}
	return quantity.Show(quantity.Activity(x), 0).String()
}

func readings(t *fact.MeterTest, of func(fact.TestReading) bool) []meter.Reading {
	var out []meter.Reading
	for _, r := range t.Readings {
		if of != nil && !of(r) {
			continue
		}
		net, _ := value(r)
		u, at := t.Repeatability.Value, r.At
		if !r.U.IsZero() {
			u = r.U.Value
		}
		if at.IsZero() {
			at = t.At
		}
		out = append(out, meter.Reading{At: at, Net: quantity.Activity(net), U: u})
	}
	slices.SortStableFunc(out, func(a, b meter.Reading) int { return a.At.Compare(b.At) })
	return out
}

func refuse(code, text, hint string) error { return &meter.Error{Code: code, Text: text, Hint: hint} }

func (b *Book) judge(i *Instrument, n int) {
	t := &i.Tests[n]
	t.series = strings.Join([]string{string(t.Test), t.Source, spelled(t.Setting), spelled(t.Insert)}, " ")
	for _, r := range t.Readings {
		net, unit := value(r)
		t.Net, t.Unit = t.Net+net/float64(len(t.Readings)), unit
	}
	var err error
	mixed, _ := t.Mixed()
	switch {
	case mixed >= 0:
		err = refuse("mixed", "Its readings are in two units or at two fills.", "Enter a test of its own for each.")
	case t.Test == fact.ConstancyTest, t.Test == fact.AccuracyTest:
		err = b.constancy(i, n)
	case t.Test == fact.LinearityTest:
		err = b.linearity(i, t)
	case t.Test == fact.SleevesTest:
		err = b.sleeves(i, t)
	case t.Test == fact.PrecisionTest:
		err = b.precision(i, t)
	case t.Test == fact.GeometryTest:
		err = b.geometry(i, n)
	default:
		t.Verdict, t.Says = Good, t.shown()+"."
	}
	if err == nil {
		return
	}
	t.Verdict, t.Says = Unjudged, err.Error()
	b.finds(i, t, dispensing.Warn, "test-unjudged", "Correct the entry, or repeat the test.",
		"The test of %s of %s on %s cannot be judged: %s", t.Test, i.ID, b.On(t.At), err.Error())
}

func (t *Test) of(o meter.Outcome, l Limit, what string) {
	t.Deviation, t.U, t.Limit = o.Deviation, o.U, l
	t.Expected, t.Net = float64(o.Expected), float64(o.Reading)
	t.Verdict = Good
	if !o.Within {
		t.Verdict = Bad
	}
	t.Says = fmt.Sprintf("%s for %s expected (%s): %s, tolerance %s.", t.shown(), shown(t.Expected, t.Unit), what, quantity.Signed(t.Deviation, 2, l.Tolerance), quantity.Show(l.Tolerance, 0))
}

func (t *Test) shown() string {
	if n := len(t.Readings); n > 1 {
		return fmt.Sprintf("%s (mean of %d)", shown(t.Net, t.Unit), n)
	}
	return shown(t.Net, t.Unit)
}

// constancy judges a test of constancy or of accuracy by the mean of its readings, which
// may not scatter by more than those of a test of precision.
func (b *Book) constancy(i *Instrument, n int) error {
	t := &i.Tests[n]
	s := b.Source(t.Source, t.At)
	if s == nil {
		return refuse("no-source", fmt.Sprintf("Source %s is not in the books on that day.", t.Source), "Enter it with its certificate.")
	}
	h, err := fold.HalfLifeOf(s)
	if err != nil {
		return err
	}
	if s.State == fact.Withdrawn {
		b.finds(i, t, dispensing.Warn, "source-withdrawn", "Test with a source in use.", "Source %s was withdrawn, and %s was tested with it on %s.", s.ID, i.ID, b.On(t.At))
	}
	limit := b.limit(i, t)
	all := readings(t.MeterTest, nil)
	together, err := meter.Repeat(all, h, b.Rules.Precision.Tolerance)
	if err != nil {
		return err
	}
	t.Range, t.read = together.Range, meter.Reading{At: all[0].At, Net: together.Mean, U: together.U}
	from := meter.Source{Activity: s.Activity.Value, At: s.Reference, HalfLife: h}
	what := "source " + s.ID
	if t.Test == fact.AccuracyTest {
		from.U = s.U.Value
		what = "certificate of " + s.ID
	}
	certified := true
	if t.Unit != "Bq" || t.Setting != "" && !names(t.Setting, s.Nuclide) {
		if t.Test == fact.AccuracyTest {
			return refuse("other-setting", "Accuracy is read as an activity, on the setting of "+s.Nuclide+".", "Repeat it so.")
		}
		first := cmp.Or(b.first(i, n), t)
		certified = false
		from = meter.Source{Activity: first.read.Net, At: first.read.At, HalfLife: h}
		what = "first reading of " + s.ID + " so, " + b.On(first.At)
	}
	o, err := meter.Constancy(from, t.read, limit.Tolerance)
	if err != nil {
		return err
	}
	t.of(o, limit, what)
	if t.Verdict == Bad && !(certified && b.swapped(i, t)) {
		b.outside(i, t)
	}
	if !together.Within {
		t.Verdict = Bad
		b.finds(i, t, dispensing.Stop, dispensing.Code(t.Test)+"-scatter", "Repeat the test; look whether one was read or typed wrongly.",
			"The %d readings of the %s of %s on %s lie up to %s from their mean, more than the tolerance of %s (%s).", len(all), t.Test, i.ID, b.On(t.At), quantity.Signed(together.Worst, 2, b.Rules.Precision.Tolerance), quantity.Show(b.Rules.Precision.Tolerance, 0), b.Rules.Precision.Source)
	}
	return nil
}

func (b *Book) limit(i *Instrument, t *Test) Limit {
	x := i.As(t.At)
	switch {
	case t.Test == fact.AccuracyTest:
		return b.Rules.Accuracy
	case x != nil && x.What != fact.ActivityMeter:
		return b.Rules.Survey
	}
	return b.Rules.Constancy
}

// first is the first good test of the same series before test n, since the
// instrument was calibrated last; nil for none.
func (b *Book) first(i *Instrument, n int) *Test {
	t, begin := &i.Tests[n], time.Time{}
	if x := i.As(t.At); x != nil {
		begin = x.Calibrated
	}
	for k := range i.Tests[:n] {
		if f := &i.Tests[k]; f.series == t.series && f.Verdict != Unjudged && f.Unit == t.Unit && !f.At.Before(begin) {
			return f
		}
	}
	return nil
}

// swapped finds a reading that was held against the certificate of its source, and is
// what another source of the book should read.
func (b *Book) swapped(i *Instrument, t *Test) bool {
	for _, id := range slices.Sorted(maps.Keys(b.Sources)) {
		s := b.Source(id, t.At)
		if id == t.Source || s == nil || s.Nuclide == "" {
			continue
		}
		h, err := fold.HalfLifeOf(s)
		if err != nil {
			continue
		}
		o, err := meter.Constancy(meter.Source{Activity: s.Activity.Value, At: s.Reference, HalfLife: h}, t.read, t.Limit.Tolerance)
		if err == nil && o.Within {
			b.finds(i, t, dispensing.Stop, "source-swapped", "Look which source was in the well, and correct the entry.",
				"%s on %s read %s where source %s should read %s: that is what source %s reads.", i.ID, b.On(t.At), shown(t.Net, t.Unit), t.Source, shown(t.Expected, t.Unit), id)
			t.series = "" // it says nothing of the instrument
			return true
		}
	}
	return false
}

func (b *Book) outside(i *Instrument, t *Test) {
	b.finds(i, t, dispensing.Stop, dispensing.Code(t.Test)+"-outside", "Repeat the test; do not use the instrument before it passes.",
		"The %s of %s on %s departs by %s, more than the tolerance of %s (%s).", plain(string(t.Test)), i.ID, b.On(t.At), quantity.Signed(t.Deviation, 2, t.Limit.Tolerance), quantity.Show(t.Limit.Tolerance, 0), t.Limit.Source)
}

// halfLife is that of what decays in a test.
func (b *Book) halfLife(t *Test) (nuclide.HalfLife, error) {
	if s := b.Source(t.Source, t.At); s != nil {
		return fold.HalfLifeOf(s)
	}
	if t.Nuclide == "" {
		return nuclide.HalfLife{}, refuse("no-nuclide", "It names neither a source nor a nuclide.", "Enter what was read.")
	}
	n, err := nuclide.Parse(t.Nuclide)
	if err != nil {
		return nuclide.HalfLife{}, err
	}
	return n.HalfLife(), nil
}

// names tells that a setting is that of a nuclide, however the meter or a person spells
// it: Cs-137, Cs137, cs 137 or 137Cs. A setting that is not known for what it is would
// have the source compared with its own first reading and not with its certificate.
func names(setting, nuclide string) bool {
	element, mass, _ := strings.Cut(strings.ToLower(nuclide), "-")
	all := plainly(setting)
	return strings.Contains(all, element+mass) || strings.Contains(all, mass+element)
}

// plainly is a setting without what meters and persons spell differently.
func plainly(setting string) string { return separators.Replace(strings.ToLower(setting)) }

// separators are what some write between element and mass number.
var separators = strings.NewReplacer("-", "", " ", "")

// massFirst is a nuclide with its mass number first, such as 90Y or 99mTc.
var massFirst = regexp.MustCompile(`^(\d+m?)([a-z]{1,2})$`)

// spelled is a setting or an insert in one spelling, so that Y-90, Y90 and 90Y are the
// same, and Y-90 T another.
func spelled(setting string) string { return massFirst.ReplaceAllString(plainly(setting), "$2$1") }
