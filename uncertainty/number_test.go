package uncertainty

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// drawNumber makes a number of one to four sources, of moderate size.
func drawNumber(t *rapid.T, label string) Number {
	x := Exact(rapid.Float64Range(-100, 100).Draw(t, label))
	for range rapid.IntRange(1, 4).Draw(t, label+" sources") {
		u := rapid.Float64Range(0, 10).Draw(t, label+" u")
		x = x.Add(New(0, u, label, rapid.Float64Range(1, 50).Draw(t, label+" dof")))
	}
	return x
}

func TestNumberLessItselfIsExactlyZero(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := drawNumber(t, "x")
		zero := x.Sub(x)
		if zero.Value() != 0 || zero.U() != 0 || len(zero.Budget()) != 0 {
			t.Fatalf("x - x = %v with u = %v, %v", zero.Value(), zero.U(), zero.Budget())
		}
		if !math.IsInf(zero.Dof(), 1) {
			t.Fatalf("an exact number has %v degrees of freedom", zero.Dof())
		}
	})
}

func TestNumberIsLinear(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, y := drawNumber(t, "x"), drawNumber(t, "y")
		a := rapid.Float64Range(-5, 5).Draw(t, "a")
		b := rapid.Float64Range(-5, 5).Draw(t, "b")
		sum := x.Scale(a).Add(y.Scale(b))
		want := math.Hypot(a*x.U(), b*y.U()) // x and y have no source in common
		if math.Abs(sum.U()-want) > 1e-12*(1+want) {
			t.Fatalf("u(ax+by) = %v, want %v", sum.U(), want)
		}
		again := y.Scale(b).Add(x.Scale(a))
		if rest := sum.Sub(again); math.Abs(rest.Value()) > 1e-12*(1+math.Abs(sum.Value())) || rest.U() > 1e-12*(1+want) {
			t.Fatalf("ax+by and by+ax differ by %v with u = %v", rest.Value(), rest.U())
		}
		if c := cov(sum, x); math.Abs(c-a*x.U()*x.U()) > 1e-10*(1+math.Abs(c)) {
			t.Fatalf("cov(ax+by, x) = %v, want %v", c, a*x.U()*x.U())
		}
	})
}

func TestNumberIdentities(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := New(rapid.Float64Range(0.5, 20).Draw(t, "x"), rapid.Float64Range(0, 1).Draw(t, "u"), "x", 5)
		y := New(rapid.Float64Range(0.5, 20).Draw(t, "y"), rapid.Float64Range(0, 1).Draw(t, "v"), "y", 5)
		same := map[string][2]Number{
			"x/y*y = x":          {x.Div(y).Mul(y), x},
			"exp(log x) = x":     {x.Log().Exp(), x},
			"x^2 = x*x":          {x.Pow(2), x.Mul(x)},
			"1/x = x^-1":         {Exact(1).Div(x), x.Pow(-1)},
			"log(xy) = log+log":  {x.Mul(y).Log(), x.Log().Add(y.Log())},
			"(x+y)(x-y) = x2-y2": {x.Add(y).Mul(x.Sub(y)), x.Pow(2).Sub(y.Pow(2))},
			"Func = Mul":         {fn(x.Value()*y.Value(), []float64{y.Value(), x.Value()}, x, y), x.Mul(y)},
		}
		for name, p := range same {
			// What is left of a difference must vanish component by component.
			rest := p[0].Sub(p[1])
			scale := 1e-12 * (1 + math.Abs(p[1].Value()) + p[1].U())
			if math.Abs(rest.Value()) > scale || rest.U() > scale {
				t.Fatalf("%s leaves %v with u = %v", name, rest.Value(), rest.U())
			}
		}
	})
}

// Two sources under one name are two sources.
func TestSourcesAreKnownByIdentityNotByName(t *testing.T) {
	a, b := New(5, 0.3, "repeatability", 4), New(5, 0.4, "repeatability", 9)
	near(t, "u(a-b)", a.Sub(b).U(), 0.5, 1e-15)
	near(t, "Corr", corr(a, b), 0, 0)
	near(t, "Corr with itself", corr(a, a), 1, 1e-15)
	near(t, "Corr with its opposite", corr(a, a.Scale(-3)), -1, 1e-15)
	near(t, "Corr with a constant", corr(a, Exact(7)), 0, 0)
	if n := len(a.Add(b).Budget()); n != 2 {
		t.Errorf("%d lines in the budget, want 2", n)
	}
}

// A number alone keeps its own degrees of freedom, whole through the rounding
// of Welch and Satterthwaite, so that 9 is not taken for 8.
func TestDegreesOfFreedomOfOneSource(t *testing.T) {
	for nu := 1.0; nu <= 200; nu++ {
		x := New(3, 0.1*math.Sqrt(nu), "x", nu).Scale(1.7)
		alike(t, "nu_eff", x.Dof(), nu, 1e-12)
		k, _ := x.Coverage(0.95)
		near(t, "k", k, studentFactor(0.95, nu), 0)
	}
	near(t, "nu_eff of 2 and 2", New(0, 1, "a", 2).Add(New(0, 1, "b", 2)).Dof(), 4, 1e-12)
	near(t, "nu_eff with Type B", New(0, 1, "a", 4).Add(New(0, 1, "b", typeB)).Dof(), 16, 1e-12)
}

// t factors of JCGM 100:2008 Table G.2 (p = 95.45 % and 99 %), as printed.
func TestGUMTableG2(t *testing.T) {
	for _, row := range []struct{ nu, k9545, k99 float64 }{
		{1, 13.97, 63.66},
		{2, 4.53, 9.92},
		{3, 3.31, 5.84},
		{4, 2.87, 4.60},
		{5, 2.65, 4.03},
		{10, 2.28, 3.17},
		{16, 2.17, 2.92},
		{20, 2.13, 2.85},
		{50, 2.05, 2.68},
		{100, 2.025, 2.626},
		{math.Inf(1), 2.000, 2.576},
	} {
		tolerance := 0.005
		if row.nu >= 100 {
			tolerance = 0.0005
		}
		near(t, "t_95.45", studentFactor(0.9545, row.nu), row.k9545, tolerance)
		near(t, "t_99", studentFactor(0.99, row.nu), row.k99, tolerance)
	}
}

func TestTypeAIsTheMeanOfReadings(t *testing.T) {
	// JCGM 100:2008 4.4.3: twenty readings of a temperature, mean 100.145 -> 100.14,
	// s = 1.489 -> 1.49, s(mean) = 0.333 -> 0.33 degrees C (data of Table 1).
	x := TypeA([]float64{
		96.90, 98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07,
		100.33, 100.42, 100.68, 100.95, 101.11, 101.20, 101.57, 101.84, 102.36, 102.72,
	}, "temperature")
	near(t, "mean", x.Value(), 100.145, 5e-4)
	near(t, "s", x.U()*math.Sqrt(20), 1.489, 5e-4)
	near(t, "u", x.U(), 0.333, 5e-4)
	near(t, "dof", x.Dof(), 19, 1e-9)
	refused(t, "one reading", TypeA([]float64{1}, "x").Err(), "too-few")
	refused(t, "no reading", TypeA(nil, "x").Err(), "too-few")
	refused(t, "a NaN among readings", TypeA([]float64{1, math.NaN()}, "x").Err(), "bad-value")
}

// The first error is carried to the end, and the number can no longer be read.
func TestNumberCarriesItsFirstError(t *testing.T) {
	good := New(2, 0.1, "good", typeB)
	for _, c := range []struct {
		name string
		x    Number
		code string
	}{
		{"NaN value", New(math.NaN(), 1, "x", typeB), "bad-value"},
		{"infinite value", New(math.Inf(1), 1, "x", typeB), "bad-value"},
		{"negative u", New(1, -1, "x", typeB), "bad-uncertainty"},
		{"NaN u", New(1, math.NaN(), "x", typeB), "bad-uncertainty"},
		{"infinite u", New(1, math.Inf(1), "x", typeB), "bad-uncertainty"},
		{"no degrees of freedom", New(1, 1, "x", 0), "bad-dof"},
		{"NaN degrees of freedom", New(1, 1, "", math.NaN()), "bad-dof"},
		{"1/0", good.Div(Exact(0)), "not-finite"},
		{"log of a negative", good.Scale(-1).Log(), "not-finite"},
		{"log 0", good.Sub(good).Log(), "not-finite"},
		{"root of a negative", good.Scale(-1).Pow(0.5), "not-finite"},
		{"root of an uncertain 0", New(0, 1, "x", typeB).Pow(0.5), "not-finite"},
		{"overflow", good.Scale(1000).Exp(), "not-finite"},
		{"Func", fn(math.NaN(), []float64{1}, good), "not-finite"},
	} {
		refused(t, c.name, c.x.Err(), c.code)
		y := good.Mul(c.x).Add(good).Scale(3).Pow(2)
		refused(t, c.name+", carried", y.Err(), c.code)
		refused(t, c.name+", from the left", c.x.Sub(good).Err(), c.code)
		refused(t, c.name+", by Func", fn(1, []float64{1, 1}, good, c.x).Err(), c.code)
		k, expanded := y.Coverage(0.95)
		low, _ := y.Interval(0.95)
		for what, v := range map[string]float64{
			"Value": y.Value(), "U": y.U(), "Dof": y.Dof(), "Cov": cov(y, good), "Corr": corr(good, y),
			"k": k, "expanded": expanded, "Low": low,
		} {
			if !math.IsNaN(v) {
				t.Errorf("%s: %s = %v of a number with an error, want NaN", c.name, what, v)
			}
		}
		if len(y.Budget()) != 0 {
			t.Errorf("%s: a budget of a number with an error", c.name)
		}
	}
	if good.Err() != nil {
		t.Error(good.Err())
	}
	if k, _ := good.Coverage(1); !math.IsNaN(k) {
		t.Errorf("k = %v for p = 1", k)
	}
}
