package experience

import (
	"fmt"
	"slices"

	"vialwright/meter"
	"vialwright/quantity"
)

// Measure is what a chart is of.
type Measure string

// The measures, each a share.
const (
	DispensedOverPrescribed Measure = "dispensed"
	ResidualOfDose          Measure = "residual"
	DrawnOverPlanned        Measure = "drawn"
)

// Measures are all of them, in the order in which they are shown.
var Measures = []Measure{DispensedOverPrescribed, ResidualOfDose, DrawnOverPlanned}

// Text says what the measure is.
func (m Measure) Text() string {
	return map[Measure]string{
		DispensedOverPrescribed: "Dispensed, % of prescribed", ResidualOfDose: "Residual, share of the dose", DrawnOverPlanned: "Drawn, % of planned",
	}[m]
}

// of gives the value of a preparation; ok is false where it has none.
func (m Measure) of(p Preparation) (v quantity.Fraction, ok bool) {
	switch {
	case m == DispensedOverPrescribed && p.Dispensed > 0:
		return quantity.Fraction(p.Dispensed / p.Prescribed), true
	case m == ResidualOfDose && p.Residual != nil:
		return p.Residual.Fraction, true
	case m == DrawnOverPlanned && p.Drawn > 0 && p.Planned > 0:
		return quantity.Fraction(p.Drawn / p.Planned), true
	}
	return 0, false
}

// The chart's own rules: limits are drawn from the first base values, or from
// all where there are fewer; a series of fewer than ownLimits is held to the
// limits of all cases. The EWMA is that of package meter's comment.
const (
	base      = 25
	ownLimits = 10
	lambda    = 0.2
	width     = 2.9
)

// Point is one value of a chart.
type Point struct {
	Order string
	// Value, its moving range (0 for the first) and the EWMA with its limits.
	Value, Moving quantity.Fraction
	EWMA          meter.Smoothed[quantity.Fraction]
	// Rules are those that the value breaks, with those before it.
	Rules []meter.Rule
	// Jump tells that the moving range is beyond its limit.
	Jump bool
}

// Chart is a chart of individuals and moving ranges with its EWMA.
type Chart struct {
	Of Measure
	// By is what the cases have in common, Name which; empty for all cases.
	By   meter.By
	Name string
	// Values and Ranges are the limits, Sigma the standard deviation, Limits
	// says in words what they were drawn from.
	Values, Ranges meter.Band[quantity.Fraction]
	Sigma          quantity.Fraction
	Limits         string
	Points         []Point
}

// Charts gives the charts of a measure: of all cases where by is empty, else of
// those that have a person, a lot or a catheter in common, by name. Why says
// why there is none.
func (t *Tally) Charts(m Measure, by meter.By) (out []Chart, why string) {
	preps := t.Preparations()
	var cases []meter.Case[quantity.Fraction]
	for i, p := range preps {
		if v, ok := m.of(p); ok {
			cases = append(cases, meter.Case[quantity.Fraction]{Entry: i, At: p.At, Person: p.Person, Lot: p.Lot, Catheter: p.Catheter, Value: v})
		}
	}
	all := meter.Series[quantity.Fraction]{Cases: cases}
	limits, err := limitsOf(all.Values())
	if err != nil {
		return nil, fmt.Sprintf("%d finished preparations have a value: %v", len(cases), err)
	}
	if by == "" {
		c, err := chart(m, all, limits, "", preps)
		if err != nil {
			return nil, err.Error()
		}
		return []Chart{c}, ""
	}
	for _, s := range meter.Split(cases, by) {
		own, words := limits, "the first of all preparations, since there are fewer than "+fmt.Sprint(ownLimits)
		if len(s.Cases) >= ownLimits {
			if x, err := limitsOf(s.Values()); err == nil {
				own, words = x, ""
			}
		}
		if c, err := chart(m, s, own, words, preps); err == nil {
			out = append(out, c)
		}
	}
	if len(out) == 0 {
		return nil, "no finished preparation names its " + string(by)
	}
	return out, ""
}

func limitsOf(values []quantity.Fraction) (meter.Chart[quantity.Fraction], error) {
	return meter.Individuals(values, min(base, len(values)))
}

func chart(m Measure, s meter.Series[quantity.Fraction], limits meter.Chart[quantity.Fraction], words string, preps []Preparation) (Chart, error) {
	values := s.Values()
	marks, err := meter.Judge(values, limits.Values.Centre, limits.Sigma)
	if err != nil {
		return Chart{}, err
	}
	smooth, err := meter.EWMA(values, limits.Values.Centre, limits.Sigma, lambda, width)
	if err != nil {
		return Chart{}, err
	}
	if words == "" {
		words = fmt.Sprintf("the first %d of these preparations", min(base, len(values)))
	}
	c := Chart{Of: m, By: s.By, Name: s.Name, Values: limits.Values, Ranges: limits.Ranges, Sigma: limits.Sigma, Limits: words}
	for i, v := range values {
		p := preps[s.Cases[i].Entry]
		at := Point{Order: p.Order, Value: v, EWMA: smooth[i]}
		if i > 0 {
			at.Moving = max(v-values[i-1], values[i-1]-v)
			at.Jump = limits.Ranges.Outside(at.Moving)
		}
		c.Points = append(c.Points, at)
	}
	for _, k := range marks {
		c.Points[k.Index].Rules = append(c.Points[k.Index].Rules, k.Rule)
	}
	return c, nil
}

// ruleWords are the rules as they are said of a value.
var ruleWords = map[meter.Rule]string{
	meter.BeyondTwo:     "more than two standard deviations from the centre: look at it",
	meter.BeyondThree:   "beyond three standard deviations",
	meter.PairBeyondTwo: "the second in a row beyond two standard deviations on one side",
	meter.OppositePair:  "two in a row beyond two standard deviations on opposite sides",
	meter.FourBeyondOne: "the fourth in a row beyond one standard deviation on one side",
	meter.TenOnOneSide:  "the tenth in a row on one side of the centre",
}

// Broken is what a point of a chart breaks, in words.
type Broken struct {
	Point
	// Texts say each rule, the moving range and the EWMA where they are beyond
	// their limits.
	Texts []string
	// Warning tells that it only asks for a look.
	Warning bool
}

// Broken names the points from a place on that break a rule, in their order.
func (c Chart) Broken(from int) []Broken {
	var out []Broken
	for _, p := range c.Points[min(max(0, from), len(c.Points)):] {
		b := Broken{Point: p, Warning: true}
		for _, r := range p.Rules {
			if r == meter.BeyondTwo && slices.Contains(p.Rules, meter.BeyondThree) {
				continue // the one says the other
			}
			b.Texts = append(b.Texts, ruleWords[r])
			b.Warning = b.Warning && r.Warning()
		}
		if p.Jump {
			b.Texts, b.Warning = append(b.Texts, "it differs from the one before by more than the limit"), false
		}
		if p.EWMA.Out {
			b.Texts, b.Warning = append(b.Texts, "the moving average is beyond its limit: a slow drift"), false
		}
		if len(b.Texts) > 0 {
			out = append(out, b)
		}
	}
	return out
}
