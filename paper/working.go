package paper

import (
	"fmt"
	"math"
	"strings"
	"time"

	"vialwright/dispensing"
	"vialwright/ledger"
	"vialwright/nuclide"
	"vialwright/quantity"
)

// A working is a formula in symbols, in numbers, and its result, between
// brackets. Anyone who works the numbers out again finds the result: inputs have
// nine digits, results seven, and nothing that is printed is used in another
// way than it says. 1 % is 0.01.
func working(symbols, numbers, result string) string {
	return "[" + symbols + " = " + numbers + " = " + result + "]"
}

// input is a quantity as it goes into a working, result one as it comes out.
func input[Q quantity.Kind](v Q, unit string) string { return quantity.FormatDigits(v, 9, unit) }

func result[Q quantity.Kind](v Q, unit string) string { return quantity.FormatDigits(v, 7, unit) }

func mbq(a quantity.Activity) string { return input(a, "MBq") }

func share(f float64) string { return input(quantity.Fraction(f), "%") }

// number is a pure number of nine digits.
func number9(x float64) string { return strings.TrimSuffix(fmt.Sprintf("%.9g", x), ".") }

func (w writer) decay(from, to time.Time) string {
	t := nuclide.Elapsed(from, to)
	sign := "-"
	if t < 0 {
		sign = ""
	}
	return fmt.Sprintf("exp(%sln2·%s/%s)", sign, input(quantity.Span(math.Abs(float64(t))), "h"), w.halfLife())
}

func (w writer) halfLife() string { return input(w.r.HalfLife, "h") }

// reading is the one of an entry, as it was entered.
func (w writer) reading(entry int) (dispensing.Reading, bool) {
	for _, r := range w.c.Readings {
		if r.Entry == entry {
			return r, true
		}
	}
	return dispensing.Reading{}, false
}

func (w writer) sum(b dispensing.Budget, at time.Time, activity quantity.Activity) string {
	var of, terms []string
	for _, p := range b.Parts {
		if p.By == ledger.ByReading || p.By == ledger.ByLabel {
			of = append(of, dispensing.Source(p))
		}
		if p.Net == 0 {
			continue
		}
		net := mbq(p.Net)
		if r, ok := w.reading(p.Entry); ok && p.By == ledger.ByReading {
			net = "(" + mbq(r.Gross) + " - " + mbq(r.Background) + ")"
		}
		terms = append(terms, fmt.Sprintf("%s·%s/%s·%s", number9(p.Weight), net, number9(p.Factor), w.decay(p.At, at)))
	}
	if len(terms) == 0 {
		return ""
	}
	return working("sum of weight·(gross - background)/(calibration·geometry)·decay, "+strings.Join(of, ", "), strings.Join(terms, " + "), result(activity, "MBq"))
}

func (w writer) spread(b dispensing.Budget, at time.Time, u quantity.Activity) string {
	var of, terms []string
	for _, t := range b.Terms(w.r.HalfLife, at) {
		of, terms = append(of, t.Source), append(terms, "("+mbq(t.U)+")^2")
	}
	return working("u: root of the sum of squares; "+strings.Join(of, ", "), "sqrt("+strings.Join(terms, " + ")+")", result(u, "MBq"))
}

// within is the working of a conformance probability. A bound is the tolerance of
// the target, or the limit of the prescription where that is closer.
func (w writer) within(y, u quantity.Activity, p float64) string {
	o, rules := w.o.Order, w.c.RulesOf(w.o.Order)
	low, high := rules.Bounds(o)
	bound := func(t quantity.Activity, sign quantity.Fraction, word string) string {
		of, by := o.Target(), rules.Tolerance
		if of*quantity.Activity(1+sign*by) != t {
			limit, _ := rules.Outer(o)
			of, by = o.Prescribed, limit.Share
		}
		return fmt.Sprintf("Φ((%s·(1 %s %s) - %s)/%s)", mbq(of), word, share(float64(by)), mbq(y), mbq(u))
	}
	return working("Φ((T_U - y)/u) - Φ((T_L - y)/u) (JCGM 106:2012, 7.2)", bound(high, 1, "+")+" - "+bound(low, -1, "-"), result(quantity.Fraction(p), "%"))
}

func ratio(symbols string, a, b quantity.Activity) string {
	return working(symbols, mbq(a)+"/"+mbq(b), result(quantity.Fraction(a/b), "%"))
}

// rate is what a survey meter showed: sieverts and rem in both, anything else as it is.
func rate(r quantity.MeterRate, family string) string {
	if family == "uSv/h" {
		return quantity.Both(quantity.DoseRate(r), 0)
	}
	return input(r, family)
}

func rates(d dispensing.DoseReading) string {
	var out []string
	for _, r := range d.Rates {
		out = append(out, rate(r, d.Family))
	}
	return strings.Join(out, ", ")
}

// net is a mean of dose rates less their background, in numbers.
func net(d dispensing.DoseReading) string {
	var of []string
	for _, r := range d.Rates {
		of = append(of, input(r, d.Family))
	}
	mean := strings.Join(of, " + ")
	if len(of) > 1 {
		mean = fmt.Sprintf("(%s)/%d", mean, len(of))
	}
	return "(" + mean + " - " + input(d.Background, d.Family) + ")"
}

func (w writer) stayed(r dispensing.Residual, f float64) string {
	return working("f = (R2 - B2)/(R1 - B1)·exp(ln2·(t2 - t1)/T½)",
		fmt.Sprintf("%s/%s·%s", net(r.After), net(r.Before), w.decay(r.After.At, r.Before.At)), result(quantity.Fraction(f), "%"))
}

func (w writer) stayedU(r dispensing.Residual, f, u float64) string {
	n1, u1 := r.Before.Mean()
	_, u2 := r.After.Mean()
	return working("u(f): root of the sum of squares; before, after, geometry",
		fmt.Sprintf("sqrt((%s·%s/%s)^2 + (%s/%s·%s)^2 + (%s·%s)^2)", share(f), input(u1, r.Before.Family), input(n1, r.Before.Family),
			input(u2, r.Before.Family), input(n1, r.Before.Family), w.decay(r.After.At, r.Before.At), share(f), share(float64(w.c.Policy.ResidualU))),
		result(quantity.Fraction(u), "%"))
}
