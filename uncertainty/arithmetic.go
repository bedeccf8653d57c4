package uncertainty

import "math"

// Add gives a + b.
func (a Number) Add(b Number) Number { return joined(a, b, a.value+b.value, 1, 1) }

// Sub gives a - b. What a and b have in common cancels: x.Sub(x) is exactly 0.
func (a Number) Sub(b Number) Number { return joined(a, b, a.value-b.value, 1, -1) }

// Mul gives a b.
func (a Number) Mul(b Number) Number { return joined(a, b, a.value*b.value, b.value, a.value) }

// Div gives a / b. Errors: not-finite where b is 0.
func (a Number) Div(b Number) Number {
	q := a.value / b.value
	return joined(a, b, q, 1/b.value, -q/b.value)
}

// Scale gives factor times a, the factor being exact.
func (a Number) Scale(factor float64) Number { return scaled(a, factor*a.value, factor) }

// Pow gives a to an exact power. Errors: not-finite where the power or its
// derivative does not exist (a negative base with a broken exponent, 0 with an
// exponent below 1).
func (a Number) Pow(exponent float64) Number {
	return scaled(a, math.Pow(a.value, exponent), exponent*math.Pow(a.value, exponent-1))
}
