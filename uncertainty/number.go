package uncertainty

import (
	"math"
	"slices"
)

// source is one cause of uncertainty. It is known by its address: two sources
// with one name are still two independent causes.
type source struct {
	name string
	dof  float64 // degrees of freedom of its standard uncertainty; +Inf for a Type B evaluation
}

// part is one signed component of a Number: c = (df/dx_i) u(x_i).
type part struct {
	from *source
	c    float64
}

// Number is a best estimate with the signed, sensitivity-weighted component of
// every source of uncertainty behind it, so that what two numbers have in
// common cancels, or adds, as it should. A Number is immutable and safe for
// concurrent use. The zero Number is exactly 0.
//
// Arithmetic on Numbers needs no error checks on the way: a Number built from
// bad input, or a result that does not exist (a division by zero, the logarithm
// of a negative number), carries its first reason. [Number.Err] returns it,
// [Number.Value] and [Number.U] are NaN from there on.
//
// The components stand in the order in which their sources first appear in the
// expression: no map, no global counter, the same sum every time.
type Number struct {
	value float64
	parts []part
	err   *Error
}

// New gives a number from one new source of uncertainty, independent of every
// other: value and its standard uncertainty u >= 0 in the same unit, a name for
// people to read in the budget, and the degrees of freedom of u (more than 0;
// math.Inf(1) for a Type B evaluation, JCGM 100:2008 G.4.2). Each call makes a
// source of its own, even under a name used before; to share a source, use the
// Number again. With u = 0 the number is exact.
//
// Errors (see [Number.Err]): bad-value, bad-uncertainty, bad-dof.
func New(value, u float64, name string, dof float64) Number {
	if err := checkEstimate(value, u, name, dof); err != nil {
		return broken(err)
	}
	if u == 0 {
		return Number{value: value}
	}
	return Number{value: value, parts: []part{{&source{name, dof}, u}}}
}

// Exact gives a number without uncertainty. Errors: bad-value.
func Exact(value float64) Number { return New(value, 0, "", math.Inf(1)) }

// TypeA gives the arithmetic mean of n >= 2 independent repeated readings, with
// the experimental standard deviation of the mean and n-1 degrees of freedom:
//
//	u = sqrt( sum (q_k - mean)^2 / (n (n-1)) )     JCGM 100:2008 4.2.3, eq. (5)
//
// Errors: too-few, bad-value.
func TypeA(readings []float64, name string) Number {
	n := float64(len(readings))
	if n < 2 {
		return broken(refuse("too-few", "One reading says nothing of its repeatability.", "Take at least two readings."))
	}
	mean, squares := 0.0, 0.0
	for _, q := range readings {
		mean += q
	}
	mean /= n
	for _, q := range readings {
		squares += (q - mean) * (q - mean)
	}
	return New(mean, math.Sqrt(squares/(n*(n-1))), name, n-1)
}

// Value is the best estimate, NaN where [Number.Err] is not nil.
func (a Number) Value() float64 { return a.value }

// Err is the first thing that went wrong in making this number, or nil.
func (a Number) Err() error {
	if a.err == nil {
		return nil
	}
	return a.err
}

func broken(err *Error) Number { return Number{value: math.NaN(), err: err} }

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

func checkEstimate(value, u float64, name string, dof float64) *Error {
	switch {
	case !finite(value):
		return refuse("bad-value", "The value of "+quoted(name)+" is not a finite number.",
			"Enter the value again.")
	case !finite(u) || u < 0:
		return refuse("bad-uncertainty", "The standard uncertainty of "+quoted(name)+" is negative or not finite.",
			"Give a standard uncertainty of zero or more, in the unit of the value.")
	case math.IsNaN(dof) || dof <= 0:
		return refuse("bad-dof", "The degrees of freedom of "+quoted(name)+" are not positive.",
			"Give n - 1 for the mean of n readings, or infinity for an uncertainty taken from a certificate.")
	}
	return nil
}

func quoted(name string) string {
	if name == "" {
		return "an unnamed input"
	}
	return "\"" + name + "\""
}

// done closes every operation: a result or component that is not finite turns
// the number into its own error.
func done(value float64, parts []part) Number {
	ok := finite(value)
	for i := range parts {
		ok = ok && finite(parts[i].c)
	}
	if !ok {
		return broken(refuse("not-finite", "A result is not a finite number.",
			"Look for a division by zero, a logarithm or root outside its domain, or a value far out of range."))
	}
	return Number{value: value, parts: parts}
}

// scaled gives f(a) from f and df/da at a.
func scaled(a Number, value, derivative float64) Number {
	if a.err != nil {
		return a
	}
	return done(value, combine(a.parts, derivative, nil, 0))
}

// joined gives f(a, b) from f, df/da and df/db.
func joined(a, b Number, value, da, db float64) Number {
	switch {
	case a.err != nil:
		return a
	case b.err != nil:
		return b
	}
	return done(value, combine(a.parts, da, b.parts, db))
}

// combine gives ca*a + cb*b, source by source: a's sources keep their places,
// those only b has follow in b's order, and what cancels to nothing is left out.
func combine(a []part, ca float64, b []part, cb float64) []part {
	out := make([]part, len(a), len(a)+len(b))
	for i, p := range a {
		out[i] = part{p.from, ca * p.c}
	}
	next := 0 // sources mostly come in the same order: look here first
	for _, p := range b {
		if i := place(out[:len(a)], p.from, next); i >= 0 {
			out[i].c += cb * p.c
			next = i + 1
			continue
		}
		out = append(out, part{p.from, cb * p.c})
	}
	return slices.DeleteFunc(out, func(p part) bool { return p.c == 0 })
}

func place(parts []part, s *source, next int) int {
	if next < len(parts) && parts[next].from == s {
		return next
	}
	return slices.IndexFunc(parts, func(p part) bool { return p.from == s })
}
