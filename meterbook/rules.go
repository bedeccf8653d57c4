package meterbook

import (
	"fmt"
	"time"

	"vialwright/fact"
	"vialwright/quantity"
	"vialwright/rules"
)

// Limit is a tolerance and where it comes from.
type Limit struct {
	Tolerance quantity.Fraction
	Source    string
}

// Interval is how often something is done, 0 for no interval, and where that comes
// from.
type Interval struct {
	Every  quantity.Span
	Source string
}

// Rules are what instruments are held to.
type Rules struct {
	Constancy, Linearity, Accuracy, Precision, Geometry, Survey Limit
	// Due are the intervals of tests of activity meters, Calibration that of a survey
	// meter as a whole.
	Due         map[fact.TestOf]Interval
	Calibration Interval
	// Blocks tells that what is overdue stops the work; else it warns.
	Blocks       bool
	BlocksSource string
}

// assumed is what nobody decided.
const assumed = "assumed, no source"

// RulesOf takes what a profile states, and assumes the other tolerances: 5 % for
// constancy, linearity, precision and geometry, 10 % for accuracy, 20 % for a survey
// meter. No interval is assumed, and nothing blocks unless the profile says so.
func RulesOf(set rules.Set) Rules {
	limit := func(k rules.Key, otherwise quantity.Fraction) Limit {
		if v, ok, _ := set.Get(k); ok {
			return Limit{v.Share(), v.Source()}
		}
		return Limit{otherwise, assumed}
	}
	every := func(k rules.Key) Interval {
		if v, ok, _ := set.Get(k); ok {
			return Interval{v.Span(), v.Source()}
		}
		return Interval{}
	}
	r := Rules{
		Constancy: limit(rules.ConstancyTolerance, 0.05), Linearity: limit(rules.LinearityTolerance, 0.05),
		Accuracy: limit(rules.AccuracyTolerance, 0.10), Survey: limit(rules.SurveyTolerance, 0.20),
		Precision: Limit{0.05, assumed}, Geometry: Limit{0.05, assumed},
		Due:         map[fact.TestOf]Interval{fact.LinearityTest: every(rules.LinearityEvery), fact.AccuracyTest: every(rules.AccuracyEvery)},
		Calibration: every(rules.SurveyEvery), BlocksSource: assumed,
	}
	if v, ok, _ := set.Get(rules.MeterOverdue); ok {
		r.Blocks, r.BlocksSource = v.Figure == "blocks", v.Source()
	}
	return r
}

// Due is something that has to be done of an instrument or a source.
type Due struct {
	Instrument, What string
	// Last is when it was done last, zero for never; At when it is due.
	Last, At time.Time
	Overdue  bool
	// Failed: it was done, at At, and not passed; then it is overdue too.
	Failed bool
	// Source says by what it is due.
	Source string
}

// Text is what is due, and since when.
func (d Due) Text(z *time.Location) string {
	day := func(t time.Time) string { return t.In(z).Format("2 Jan 2006") }
	switch {
	case d.Failed:
		return fmt.Sprintf("%s: %s failed on %s.", d.Instrument, d.What, day(d.At))
	case d.Overdue && d.Last.IsZero():
		return fmt.Sprintf("%s: %s was never done.", d.Instrument, d.What)
	case d.Overdue:
		return fmt.Sprintf("%s: %s has been due since %s; it was last done on %s.", d.Instrument, d.What, day(d.At), day(d.Last))
	}
	return fmt.Sprintf("%s: %s is due on %s.", d.Instrument, d.What, day(d.At))
}
