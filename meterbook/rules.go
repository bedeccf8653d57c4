package meterbook

import (
	"fmt"
	"time"

	"vialwright/fact"
	"vialwright/meter"
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
	Constancy, Linearity, Accuracy, Precision, Survey Limit
	// Due are the intervals of tests of activity meters, Calibration that of a survey
	// meter as a whole.
	Due         map[fact.TestOf]Interval
	Calibration Interval
	// Blocks tells that what is overdue stops the work; else it warns.
	Blocks       bool
	BlocksSource string
}

// assumed is what nobody decided, common what everybody does, memory what nobody looked up.
const (
	assumed = "assumed, no source"
	common  = "common practice, no source"
	memory  = "[from memory, not read]"
)

// Held is one thing that instruments are held to, how much it is, and where it is from.
type Held struct{ What, Limit, Source string }

// Says are all of them, those that no profile can change last.
func (r Rules) Says() (out []Held) {
	for _, x := range []struct {
		what string
		Limit
	}{
		{"Constancy", r.Constancy},
		{"Accuracy", r.Accuracy},
		{"Linearity, by decay or sleeves", r.Linearity},
		{"Precision, and readings of one test", r.Precision},
		{"Survey meters, monitors and counters", r.Survey},
	} {
		out = append(out, Held{x.what, "within " + quantity.Show(x.Tolerance, 0).String(), x.Source})
	}
	every := func(what string, i Interval) {
		if i.Every > 0 {
			out = append(out, Held{what, "every " + quantity.ShowSpan(i.Every), i.Source})
		}
	}
	every("Test of linearity", r.Due[fact.LinearityTest])
	every("Test of accuracy", r.Due[fact.AccuracyTest])
	every("Calibration of survey meters, monitors and counters", r.Calibration)
	return append(out,
		Held{"Background and constancy of an activity meter", "every calendar day", common},
		Held{"An overdue meter", map[bool]string{true: "blocks", false: "warns"}[r.Blocks], r.BlocksSource},
		Held{"Limits of a chart", fmt.Sprintf("three standard deviations, from the first %d tests", base), "W. A. Shewhart " + memory + "; the number of tests is " + common},
		Held{"A step or a drift is named", fmt.Sprintf("at odds of %d to 1", believed), assumed},
		Held{"Linearity by decay", "five readings or more over a factor of ten or more", common},
		Held{"A geometry factor is used", fmt.Sprintf("after %d runs, and known to %s", meter.Runs, quantity.Show(quantity.Fraction(geometryU), 0)), common},
	)
}

// RulesOf takes what a profile states, and assumes the other tolerances: 5 % for
// constancy, linearity and precision, 10 % for accuracy, 20 % for a survey meter. No
// interval is assumed, and nothing blocks unless the profile says so.
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
		Precision:   Limit{0.05, assumed},
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
	// Container is the kind that a calibration is for; empty for all else.
	Container string
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
