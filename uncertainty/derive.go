package uncertainty

import "math"

// Func gives the number y = f(x_1 ... x_n) from its value and its partial
// derivatives df/dx_i at the estimates (JCGM 100:2008 5.1.2): the way in for any
// function that the arithmetic here lacks. It panics unless there is one partial
// derivative for each input. Errors: the first input's that has one; not-finite.
func Func(value float64, partials []float64, x ...Number) Number {
	if len(partials) != len(x) {
		panic("uncertainty: Func wants one partial derivative for each input")
	}
	var parts []part
	for i := range x {
		if x[i].err != nil {
			return x[i]
		}
		parts = combine(parts, 1, x[i].parts, partials[i])
	}
	return done(value, parts)
}

// Apply gives y = f(x_1 ... x_n) with sensitivities taken numerically: the
// central difference over h = u(x_i)/64, or a millionth of x_i where that is
// more. JCGM 100:2008 5.1.3 Note 2 allows h = u(x_i); the shorter step keeps to
// the derivative where f bends. Good to about 1e-6 of each component for a
// function smooth over a few u(x_i). f must not keep its argument.
// Errors: the first input's that has one; not-finite.
func Apply(f func(x []float64) float64, x ...Number) Number {
	at := values(x)
	partials := make([]float64, len(x))
	for i := range x {
		u := x[i].U()
		if x[i].err != nil || u == 0 {
			continue
		}
		h := math.Max(u/64, math.Abs(at[i])*1e-6)
		partials[i] = (shifted(f, at, i, h) - shifted(f, at, i, -h)) / (2 * h)
	}
	return Func(f(at), partials, x...)
}

// SecondOrder gives the next term of the variance of y = f(x_1 ... x_n), in the
// unit of y squared, to be added to u(y) squared where f bends over the
// uncertainty of its inputs (JCGM 100:2008 5.1.2 Note):
//
//	sum_i sum_j [ 1/2 (f_ij)^2 + f_i f_ijj ] u_i^2 u_j^2
//
// The derivatives are differences over u/8. Domain: independent inputs with
// symmetric, near-normal distributions; elsewhere simulate (see [Simulate]). f
// must not keep its argument. Errors: the first input's that has one; not-finite.
func SecondOrder(f func(x []float64) float64, x ...Number) (float64, error) {
	for i := range x {
		if x[i].err != nil {
			return math.NaN(), x[i].err
		}
	}
	d := differences{f: f, at: values(x), h: steps(x)}
	term := 0.0
	for i := range x {
		first := d.first(i)
		for j := range x {
			mixed := d.second(i, j)
			term += mixed*mixed/2 + first*d.third(i, j)
		}
	}
	if !finite(term) {
		return math.NaN(), refuse("not-finite", "The second-order term is not a finite number.",
			"The function does not exist near the estimates; simulate instead.")
	}
	return term, nil
}

// stepsPerU is the number of difference steps in one standard uncertainty.
const stepsPerU = 8

func steps(x []Number) []float64 {
	h := make([]float64, len(x))
	for i := range x {
		h[i] = x[i].U() / stepsPerU
	}
	return h
}

func values(x []Number) []float64 {
	v := make([]float64, len(x))
	for i := range x {
		v[i] = x[i].value
	}
	return v
}

// shifted gives f with input i moved by d.
func shifted(f func([]float64) float64, at []float64, i int, d float64) float64 {
	keep := at[i]
	at[i] += d
	y := f(at)
	at[i] = keep
	return y
}

// differences gives derivatives times powers of the standard uncertainties.
type differences struct {
	f  func([]float64) float64
	at []float64
	h  []float64
}

// y gives f with input i moved by di steps and input j by dj steps.
func (d *differences) y(i int, di float64, j int, dj float64) float64 {
	keep := d.at[i]
	d.at[i] += di * d.h[i]
	y := shifted(d.f, d.at, j, dj*d.h[j])
	d.at[i] = keep
	return y
}

// first gives f_i u_i.
func (d *differences) first(i int) float64 {
	return (d.y(i, 1, i, 0) - d.y(i, -1, i, 0)) / 2 * stepsPerU
}

// second gives f_ij u_i u_j.
func (d *differences) second(i, j int) float64 {
	const scale = stepsPerU * stepsPerU
	if i == j {
		return (d.y(i, 1, i, 0) - 2*d.y(i, 0, i, 0) + d.y(i, -1, i, 0)) * scale
	}
	return (d.y(i, 1, j, 1) - d.y(i, 1, j, -1) - d.y(i, -1, j, 1) + d.y(i, -1, j, -1)) / 4 * scale
}

// third gives f_ijj u_i u_j^2.
func (d *differences) third(i, j int) float64 {
	const scale = stepsPerU * stepsPerU * stepsPerU
	if i == j {
		return (d.y(i, 2, i, 0) - 2*d.y(i, 1, i, 0) + 2*d.y(i, -1, i, 0) - d.y(i, -2, i, 0)) / 2 * scale
	}
	bend := func(di float64) float64 {
		return d.y(i, di, j, 1) - 2*d.y(i, di, j, 0) + d.y(i, di, j, -1)
	}
	return (bend(1) - bend(-1)) / 2 * scale
}
