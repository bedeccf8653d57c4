package meterbook

import (
	"fmt"
	"slices"
	"time"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/meter"
	"vialwright/quantity"
)

// Series are the tests of one kind, source, setting and insert, as a chart has
// them.
type Series struct {
	Test                    fact.TestOf
	Source, Setting, Insert string
	Points                  []SeriesPoint
	// Chart is drawn from the tests within tolerance; nil where they are too few, or all
	// the same.
	Chart *meter.Chart[quantity.Fraction]
	// Base is how many of those tests, the first, its limits are drawn from.
	Base int
	// Limit is that of the last test; none where its Tolerance is 0.
	Limit Limit
}

// SeriesPoint is one value, with its Entry: the net reading divided by what was expected,
// or by the mean of the series where nothing was.
type SeriesPoint struct {
	At      time.Time
	Entry   int
	Value   quantity.Fraction
	Verdict Verdict
}

const (
	// base is how many values limits are drawn from, least how many they need.
	base, least = 20, 5
	// longest bounds the values a change is looked for in, the newest.
	longest = 400
	// believed are the odds at which a change is named.
	believed = 20
)

// charted are the tests that make a series.
var charted = []fact.TestOf{fact.ConstancyTest, fact.AccuracyTest, fact.BackgroundTest, fact.ZeroTest}

func (b *Book) chart(i *Instrument) {
	places := map[string]int{}
	index := map[int]*Test{}
	for n := range i.Tests {
		t := &i.Tests[n]
		if t.series == "" || t.Verdict == Unjudged || !slices.Contains(charted, t.Test) {
			continue
		}
		key := t.series + " " + t.Unit
		if _, there := places[key]; !there {
			places[key] = len(i.Series)
			i.Series = append(i.Series, Series{Test: t.Test, Source: t.Source, Setting: t.Setting, Insert: t.Insert})
		}
		s := &i.Series[places[key]]
		v := quantity.Fraction(t.Net)
		if t.Expected != 0 {
			v, s.Limit = 1+t.Deviation, t.Limit
		}
		s.Points = append(s.Points, SeriesPoint{t.At, t.Entry, v, t.Verdict})
		index[t.Entry] = t
	}
	for n := range i.Series {
		s := &i.Series[n]
		s.relative()
		sound := s.values(func(p SeriesPoint) bool { return p.Verdict != Bad })
		s.Base = min(base, len(sound))
		if c, err := meter.Individuals(sound, s.Base); err == nil && len(sound) >= least {
			s.Chart = &c
			s.warn(index)
		}
		s.scatter(index)
		b.change(i, s)
	}
}

// relative puts a series without an expected value over its mean.
func (s *Series) relative() {
	if s.Limit.Tolerance != 0 {
		return
	}
	m := mean(s.values(func(SeriesPoint) bool { return true }))
	for n := range s.Points {
		if m > 0 {
			s.Points[n].Value /= m
		}
	}
}

func (s *Series) values(of func(SeriesPoint) bool) (out []quantity.Fraction) {
	for _, p := range s.Points {
		if of(p) {
			out = append(out, p.Value)
		}
	}
	return out
}

// warn warns of the tests that lie outside of the chart's limits, inside tolerance.
func (s *Series) warn(index map[int]*Test) {
	for n, p := range s.Points {
		if t := index[p.Entry]; t.Verdict == Good && s.Chart.Values.Outside(p.Value) {
			t.Verdict, s.Points[n].Verdict = Warned, Warned
			t.Says += " It lies outside of the limits that the chart of these readings has."
		}
	}
}

// scatter warns of the tests of several readings that lie further apart than those of the
// first tests of as many readings allow.
func (s *Series) scatter(index map[int]*Test) {
	first := map[int][]quantity.Fraction{} // by how many readings
	for _, p := range s.Points {
		if t := index[p.Entry]; t.Verdict != Bad && len(first[len(t.Readings)]) < base {
			first[len(t.Readings)] = append(first[len(t.Readings)], t.Range)
		}
	}
	limits := map[int]quantity.Fraction{}
	for n, ranges := range first {
		if band, err := meter.Ranges(n, ranges); err == nil && len(ranges) >= least {
			limits[n] = band.Upper
		}
	}
	for k, p := range s.Points {
		t := index[p.Entry]
		if upper, ok := limits[len(t.Readings)]; ok && t.Verdict != Bad && t.Range > upper {
			t.Verdict, s.Points[k].Verdict = Warned, Warned
			t.Says += fmt.Sprintf(" Its readings lie %s apart, more than the %s that those of the first tests allow.", quantity.FormatDigits(t.Range, 2, "%"), quantity.FormatDigits(upper, 2, "%"))
		}
	}
}

// change looks for a step or a drift.
func (b *Book) change(i *Instrument, s *Series) {
	points := s.Points[max(0, len(s.Points)-longest):]
	list := make([]meter.Point[quantity.Fraction], len(points))
	for n, p := range points {
		list[n] = meter.Point[quantity.Fraction]{At: p.At, Value: p.Value}
	}
	c, err := meter.ChangeIn(list)
	if err != nil || c.Is == meter.Steady || c.Odds < believed {
		return
	}
	what := fmt.Sprintf("%s of %s", s.Test, i.ID)
	if s.Source != "" {
		what += " with source " + s.Source
	}
	b.found(Finding{
		dispensing.Code(s.Test) + "-" + dispensing.Code(c.Is), dispensing.Warn, i.ID, points[c.First].At, points[c.First].Entry, said(c, what, func(n int) string { return b.On(points[n].At) }),
		"Look what was changed then: the source, the insert, the setting, the place, a repair.",
	})
}

func said(c meter.Change[quantity.Fraction], what string, on func(int) string) string {
	does, low, high := "makes a step of %s on %s", on(c.Low), on(c.High)
	between := " (between " + low + " and " + high + ")"
	if c.Is == meter.Drift {
		does, between = "has drifted by %s since %s", " (it began between "+low+" and "+high+")"
	}
	if low == high {
		between = ""
	}
	return fmt.Sprintf("The "+what+" "+does+"%s, with odds of %s.", quantity.Signed(c.By/c.Before, 2), on(c.First), between, odds(c.Odds))
}

// odds are said to two digits, and no higher than a million to one.
func odds(x float64) string {
	if x >= 1e6 {
		return "more than a million to 1"
	}
	return fmt.Sprintf("%.2g to 1", x)
}

// Assay is the first reading of a vial: what an instrument read of it over what its
// label said at that time, on one basis.
type Assay struct {
	Meter string
	Basis quantity.Basis
	At    time.Time
	Ratio quantity.Fraction
}

// Witness is what the labels of all vials say of a meter.
type Witness struct {
	Meter string
	Basis quantity.Basis
	// Assays are in the order of time, without those of Left, that were far from all
	// others: labels too are wrong at times.
	Assays, Left []Assay
	// Says is one sentence; empty where nothing can be told.
	Says string
	// Drifts tells that there is a change to look at.
	Drifts bool
}

// WitnessOf holds the readings of one meter on one basis against the labels of the vials:
// slow, since labels scatter by percents, and independent of every check source. Up to
// three assays are left out that are outliers by Grubbs at 1 %.
func WitnessOf(all []Assay, meterID string, basis quantity.Basis, zone *time.Location) Witness {
	w := Witness{Meter: meterID, Basis: basis}
	for _, a := range all {
		if a.Meter == meterID && a.Basis == basis {
			w.Assays = append(w.Assays, a)
		}
	}
	slices.SortStableFunc(w.Assays, func(a, b Assay) int { return a.At.Compare(b.At) })
	ratios := func() []quantity.Fraction {
		out := make([]quantity.Fraction, len(w.Assays))
		for n, a := range w.Assays {
			out[n] = a.Ratio
		}
		return out
	}
	for range 3 {
		o, err := meter.Grubbs(ratios(), 0.01)
		if err != nil || !o.Found {
			break
		}
		w.Left = append(w.Left, w.Assays[o.Index])
		w.Assays = slices.Delete(w.Assays, o.Index, o.Index+1)
	}
	points := make([]meter.Point[quantity.Fraction], len(w.Assays))
	for n, a := range w.Assays {
		points[n] = meter.Point[quantity.Fraction]{At: a.At, Value: a.Ratio}
	}
	c, err := meter.ChangeIn(points)
	if err != nil {
		return w
	}
	if w.Drifts = c.Is != meter.Steady && c.Odds >= believed; w.Drifts {
		w.Says = said(c, "reading of new vials with "+meterID+", of their labels ("+string(basis)+" basis),", func(n int) string { return w.Assays[n].At.In(zone).Format("2 Jan 2006") })
	} else {
		w.Says = fmt.Sprintf("Over %d vials %s reads %s of the label on average, and no change is seen (%s basis).", len(w.Assays), meterID, quantity.FormatDigits(quantity.Fraction(mean(ratios())), 4, "%"), basis)
	}
	return w
}

func mean(x []quantity.Fraction) (m quantity.Fraction) {
	for _, v := range x {
		m += v / quantity.Fraction(len(x))
	}
	return m
}
