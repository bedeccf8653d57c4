package uncertainty

import (
	"math"
	"testing"

	"vialwright/quantity"
)

// FuzzNumber walks a number through every operation: nothing panics, and each
// result is either whole (finite value, finite u >= 0, shares that add to 1) or
// carries an error and reads NaN.
func FuzzNumber(f *testing.F) {
	nan, inf := math.NaN(), math.Inf(1)
	f.Add(3.12, 0.02, 10.0, 1.52, 0.01, inf, "+-*/", 0.95)
	f.Add(0.0, 1.0, 0.0, nan, -1.0, nan, "/leLp", 1.0)
	f.Add(1e308, 1e308, 1.0, 1e-308, 5e-324, 0.1, "*p*/s", 0.5)
	f.Add(-1.0, inf, -5.0, 0.0, 0.0, 2.0, "epl", nan)
	f.Fuzz(func(t *testing.T, a, ua, na, b, ub, nb float64, ops string, p float64) {
		x, y := New(a, ua, "a", na), New(b, ub, "b", nb)
		whole(t, x, p)
		whole(t, y, p)
		for i := range min(len(ops), 40) {
			switch ops[i] % 9 {
			case 0:
				x = x.Add(y)
			case 1:
				x = x.Sub(y)
			case 2:
				x = x.Mul(y)
			case 3:
				x = x.Div(y)
			case 4:
				x = x.Scale(b)
			case 5:
				x = x.Pow(a)
			case 6:
				x = x.Exp()
			case 7:
				x = x.Log()
			default:
				x = Func(a, []float64{b, p}, x, y)
			}
			whole(t, x, p)
		}
		zero := x.Sub(x)
		if zero.Err() == nil && (zero.Value() != 0 || zero.U() != 0) {
			t.Fatalf("x - x = %v(%v)", zero.Value(), zero.U())
		}
	})
}

func whole(t *testing.T, x Number, p float64) {
	t.Helper()
	u, nu := x.U(), x.Dof()
	k, expanded := x.Coverage(p)
	if x.Err() != nil {
		if !math.IsNaN(x.Value()) || !math.IsNaN(u) || !math.IsNaN(nu) || !math.IsNaN(k) {
			t.Fatalf("an error (%v) and yet %v(%v), %v, %v", x.Err(), x.Value(), u, nu, k)
		}
		return
	}
	if !finite(x.Value()) || math.IsNaN(u) || u < 0 || math.IsNaN(nu) || nu < 0 {
		t.Fatalf("no error and yet %v(%v), nu %v", x.Value(), u, nu)
	}
	if p > 0 && p < 1 && (math.IsNaN(k) || k < 0) || (!(p > 0 && p < 1) && !math.IsNaN(expanded)) {
		t.Fatalf("k = %v and U = %v for p = %v, nu = %v", k, expanded, p, nu)
	}
	sum := 0.0
	for _, line := range x.Budget() {
		sum += line.Share
	}
	if u > 0 && !math.IsInf(u, 1) && math.Abs(sum-1) > 1e-9 {
		t.Fatalf("shares add to %v, u = %v", sum, u)
	}
}

// FuzzConformance: a probability, or an error, for any numbers; and whatever is
// accepted conforms with the probability asked.
func FuzzConformance(f *testing.F) {
	f.Add(2.8, 0.09, 2.7, 3.3, 0.95, 0.12, 0.04)
	f.Add(0.0, 0.0, math.Inf(-1), math.Inf(1), 0.0, math.NaN(), 0.0)
	f.Add(1e308, 5e-324, -1e308, 1e308, 0.5, 1e-300, 1e300)
	f.Fuzz(func(t *testing.T, y, u, low, high, p, sd, um float64) {
		l := Limits{low, high}
		if c, err := Conformance(y, u, l); err == nil && !(c >= 0 && c <= 1) {
			t.Fatalf("p_c = %v", c)
		}
		if a, err := Acceptance(l, u, p); err == nil && a.Lower > a.Upper {
			if math.Abs(a.Lower-a.Upper) > 1e-9*(math.Abs(low)+math.Abs(high)) {
				t.Fatalf("acceptance %v", a)
			}
		}
		if a, err := Guarded(l, u); err == nil && !(a.Lower <= a.Upper) {
			t.Fatalf("guarded %v", a)
		}
		if r, err := Risk(Process{y, sd, um}, l, l); err == nil {
			if !(r.Consumer >= 0 && r.Producer >= 0 && r.Consumer+r.Producer <= 1+1e-9) {
				t.Fatalf("risks %+v", r)
			}
		}
	})
}

// FuzzCounting: limits in their order, or an error, for any counts and times.
func FuzzCounting(f *testing.F) {
	f.Add(100.0, 60.0, 150.0, 60.0, 2.5, 0.05, 0.05, 10)
	f.Add(0.0, 0.0, math.NaN(), math.Inf(1), -1.0, 0.7, 0.0, -3)
	f.Add(1.0, 1e-300, 1e300, 1e300, 1e-300, 0.3, 0.4, math.MaxInt)
	f.Fuzz(func(t *testing.T, n0, t0, ng, tg, w, rel, p float64, n int) {
		if d, err := Currie(n0, quantity.Span(t0), quantity.Span(tg)); err == nil {
			if !(d.Critical >= 0 && d.Detectable > d.Critical && d.Quantifiable >= 100) {
				t.Fatalf("%+v", d)
			}
		}
		c := NetCount{ng, quantity.Span(tg), n0, quantity.Span(t0), w, rel}
		if l, err := c.Characteristic(Probabilities{p, p, p}); err == nil {
			if !(l.Threshold >= 0 && l.Detection >= l.Threshold && l.Best >= 0 && l.BestU >= 0 &&
				l.Coverage.Low >= 0 && l.Coverage.High >= l.Coverage.Low && !math.IsNaN(l.Value)) {
				t.Fatalf("%+v of %+v", l, c)
			}
		}
		if i, err := PoissonInterval(n%1_000_000, p); err == nil && !(i.Low >= 0 && i.High > i.Low) {
			t.Fatalf("%d: %+v", n%1_000_000, i)
		}
		if q, err := PoissonTail(n, n0); err == nil && !(q >= 0 && q <= 1) {
			t.Fatalf("tail %v", q)
		}
	})
}

// FuzzSimulate: any parameters give a sample or an error, never a panic or a
// result that is not a number.
func FuzzSimulate(f *testing.F) {
	f.Add(0, 1.0, 2.0, 3.0, uint64(1))
	f.Add(5, 0.0, 0.0, 2.5, uint64(2))
	f.Add(8, math.NaN(), math.Inf(1), -1.0, uint64(3))
	f.Add(7, 1e-300, 1e300, 1e-3, uint64(4))
	f.Fuzz(func(t *testing.T, kind int, a, b, c float64, seed uint64) {
		inputs := []Input{
			Normal{a, b},
			Rectangular{a, b},
			InexactRectangular{a, b, c},
			Triangular{a, b},
			ArcSine{a, b},
			StudentT{a, b, c},
			Exponential{a},
			Gamma{a, b},
			MultiNormal{[]float64{a, b}, [][]float64{{a, c}, {c, b}}},
		}
		s, err := Simulate(identity, []Input{inputs[uint(kind)%uint(len(inputs))]}, Run{Trials: 600, Seed: seed, Workers: 2})
		if err != nil {
			return
		}
		i, err := s.Symmetric(0.9)
		if err != nil || math.IsNaN(s.Mean()) || !(s.U() >= 0) || !(i.Low <= i.High) {
			t.Fatalf("%v(%v), %v, %v", s.Mean(), s.U(), i, err)
		}
	})
}
