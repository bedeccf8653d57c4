package uncertainty

import (
	"math"
	"testing"
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
				x = fn(a, []float64{b, p}, x, y)
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

// FuzzConformance: a probability, or an error, for any numbers.
func FuzzConformance(f *testing.F) {
	f.Add(2.8, 0.09, 2.7, 3.3)
	f.Add(0.0, 0.0, math.Inf(-1), math.Inf(1))
	f.Add(1e308, 5e-324, -1e308, 1e308)
	f.Fuzz(func(t *testing.T, y, u, low, high float64) {
		l := Limits{low, high}
		if c, err := Conformance(y, u, l); err == nil && !(c >= 0 && c <= 1) {
			t.Fatalf("p_c = %v", c)
		}
	})
}
