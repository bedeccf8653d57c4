package meter

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"vialwright/nuclide"
	"vialwright/quantity"
)

const mbq = quantity.MegaBecquerel

// The example of the package comment; the expected activity is printed to seven
// digits.
func TestConstancyCs137(t *testing.T) {
	year := nuclide.HalfLife{Value: quantity.Span(30.05) * quantity.Year, Source: "given by the example"}
	s := Source{Activity: 5.55 * mbq, At: start, HalfLife: year}
	at := ok(nuclide.Shift(start, 2*quantity.Year))(t)
	o := ok(Constancy(s, Reading{At: at, Net: 5.60 * mbq}, 0.05))(t)
	near(t, "expected", o.Expected.MBq(), 5.299778, 5e-7)
	near(t, "deviation", float64(o.Deviation), 0.05665, 5e-6)
	if o.Within {
		t.Errorf("%+v is within", o)
	}
	o = ok(Constancy(s, Reading{At: at, Net: 5.31 * mbq, U: 0.01}, 0.05))(t)
	// By hand: d = 0.0019287, u = 1.0019287 * 0.01
	near(t, "u", float64(o.U), 0.010019287, 1e-8)
	if !o.Within {
		t.Errorf("%+v is not within", o)
	}
}

// A departure of just the tolerance is within, as the package comment says: 5.25 MBq of
// 5 MBq are 5 % more, by hand, and 5.2501 MBq are more than that.
func TestAtTheTolerance(t *testing.T) {
	stable := nuclide.HalfLife{Value: 1e9 * quantity.Year, Source: "given by the example"}
	for _, c := range []struct {
		source, reading float64
		within          bool
	}{{5, 5.25, true}, {5, 5.2501, false}, {5, 4.75, true}, {5, 4.7499, false}, {3.7, 3.885, true}, {0.37, 0.3515, true}} {
		o := ok(Constancy(Source{Activity: quantity.Activity(c.source) * mbq, At: start, HalfLife: stable}, Reading{At: start, Net: quantity.Activity(c.reading) * mbq}, 0.05))(t)
		if o.Within != c.within {
			t.Errorf("%g MBq of %g MBq: %+v", c.reading, c.source, o)
		}
	}
	read := func(x float64) Reading { return Reading{At: start, Net: quantity.Activity(x) * mbq} }
	// 9.5, 10 and 10.5 lie 5 % from their mean
	if r := ok(Repeat([]Reading{read(9.5), read(10), read(10.5)}, stable, 0.05))(t); !r.Within {
		t.Errorf("%+v", r)
	}
}

// Four readings of a decaying source, half-life 64.05 h; expected values and
// deviations are printed to three digits after the point.
func TestLinearityFourReadings(t *testing.T) {
	var readings []Reading
	for i, a := range []quantity.Activity{3000, 2313.8, 1785, 1340} {
		readings = append(readings, Reading{At: after(24 * float64(i)), Net: a * mbq})
	}
	out := ok(Linearity(readings, 0, halfLife(64.05), 0.02))(t)
	for i, want := range []struct {
		expected, deviation float64
		within              bool
	}{{3000, 0, true}, {2313.786, 0.001, true}, {1784.535, 0.026, true}, {1376.344, -2.641, false}} {
		near(t, "expected", out[i].Expected.MBq(), want.expected, 5.1e-4)
		near(t, "deviation in %", 100*float64(out[i].Deviation), want.deviation, 5.1e-4)
		if out[i].Within != want.within {
			t.Errorf("%+v", out[i])
		}
	}
}

// Ten readings by hand: mean 100.5, squares of deviations sum to 82.5, s =
// sqrt(82.5/9) = 3.0277; the worst is 4.5 away.
func TestPrecisionByHand(t *testing.T) {
	stable := nuclide.HalfLife{Value: 1e9 * quantity.Year, Source: "given by the example"}
	var readings []Reading
	for i := range 10 {
		readings = append(readings, Reading{At: start, Net: quantity.Activity(96+i) * mbq})
	}
	r := ok(Precision(readings, stable, 0.045))(t)
	near(t, "mean", r.Mean.MBq(), 100.5, 1e-9)
	near(t, "sd", float64(r.SD), 3.0276504/100.5, 1e-9)
	near(t, "worst", math.Abs(float64(r.Worst)), 4.5/100.5, 1e-12)
	if !r.Within || ok(Precision(readings, stable, 0.044))(t).Within {
		t.Errorf("%+v", r)
	}
}

// Three readings of 5.30, 5.32 and 5.28 MBq: mean 5.30, s = 0.02, range 0.04, and t for
// 68.27 % and two degrees of freedom is 1.32 (JCGM 100:2008 table G.2), so that u =
// 1.32 * 0.02/sqrt(3)/5.30 = 0.002876. With a repeatability of 1 % it is that over
// sqrt(3), which is larger. A source that halves in an hour is taken to the first reading.
func TestRepeatByHand(t *testing.T) {
	stable := nuclide.HalfLife{Value: 1e9 * quantity.Year, Source: "given by the example"}
	three := func(u quantity.Fraction) (out []Reading) {
		for _, x := range []float64{5.30, 5.32, 5.28} {
			out = append(out, Reading{At: start, Net: quantity.Activity(x) * mbq, U: u})
		}
		return out
	}
	r := ok(Repeat(three(0.001), stable, 0.05))(t)
	near(t, "mean", r.Mean.MBq(), 5.30, 1e-9)
	near(t, "u", float64(r.U), 1.32*0.02/math.Sqrt(3)/5.30, 5e-6)
	near(t, "range", float64(r.Range), 0.04/5.30, 1e-9)
	near(t, "u of repeatability", float64(ok(Repeat(three(0.01), stable, 0.05))(t).U), 0.01/math.Sqrt(3), 1e-5)
	one := ok(Repeat(three(0.01)[:1], stable, 0.05))(t)
	near(t, "one", float64(one.U), 0.01, 1e-12)
	r = ok(Repeat([]Reading{{At: start, Net: 8 * mbq}, {At: after(1), Net: 4 * mbq}}, halfLife(1), 0.05))(t)
	near(t, "decayed", r.Mean.MBq(), 8, 1e-9)
	_, err := Repeat(nil, stable, 0.05)
	refused(t, "none", err, "too-few")
}

// By hand: 1000 MBq before, 200 after, 784 in the new container, no decay to
// speak of: s = 0.98. u = 0.98 sqrt(0.005^2 + ((1000*0.005)^2 + (200*0.005)^2)/800^2)
// = 0.0079358.
func TestGeometryByHand(t *testing.T) {
	stable := nuclide.HalfLife{Value: 1e9 * quantity.Year, Source: "given by the example"}
	read := func(a float64) Reading { return Reading{At: start, Net: quantity.Activity(a) * mbq, U: 0.005} }
	run := Transfer{read(1000), read(200), read(784)}
	f := ok(Geometry([]Transfer{run}, stable))(t)
	near(t, "factor", float64(f.Value), 0.98, 1e-12)
	near(t, "u", float64(f.U), 0.98*math.Hypot(0.005, math.Hypot(5, 1)/800), 1e-12)
	// Runs of 0.98 and 1.00: s/sqrt(2) = 0.01, and t for 68.27 % and one degree
	// of freedom is 1.837 (JCGM 100:2008 table G.2: 1.84).
	f = ok(Geometry([]Transfer{run, {read(1000), read(200), read(800)}}, stable))(t)
	near(t, "mean", float64(f.Value), 0.99, 1e-12)
	near(t, "u of two", float64(f.U), 0.0184, 5e-5)
	if len(f.Each) != 2 {
		t.Errorf("%+v", f)
	}
	// One activity, topped up.
	f = ok(Geometry([]Transfer{{Before: read(1000), In: read(1010)}}, stable))(t)
	near(t, "topped up", float64(f.Value), 1.01, 1e-12)
}

// A meter that is right at all times passes at any tolerance, whatever the source
// and the times; and one unit on all readings changes nothing.
func TestPerfectMeterPasses(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := halfLife(64.0417)
		a := rapid.Float64Range(1e3, 1e10).Draw(t, "activity")
		scale := rapid.Float64Range(0.1, 10).Draw(t, "scale")
		truth := func(hours float64) quantity.Activity {
			x, err := h.Carry(quantity.Activity(a), start, after(hours))
			if err != nil {
				t.Fatal(err)
			}
			return x
		}
		var readings []Reading
		for range 5 {
			hours := rapid.Float64Range(0, 200).Draw(t, "hours")
			readings = append(readings, Reading{At: after(hours), Net: truth(hours) * quantity.Activity(scale)})
		}
		out, err := Linearity(readings, 2, h, 1e-9)
		if err != nil {
			t.Fatal(err)
		}
		for _, o := range out {
			if !o.Within {
				t.Fatalf("%+v", o)
			}
		}
		p, err := Precision(readings, h, 1e-9)
		if err != nil || !p.Within {
			t.Fatalf("%+v %v", p, err)
		}
	})
}

func TestMeterRefused(t *testing.T) {
	h := halfLife(64.05)
	good := Reading{At: start, Net: mbq}
	source := Source{Activity: mbq, At: start, HalfLife: h}
	nan := math.NaN()
	for _, c := range []struct {
		what      string
		reading   Reading
		tolerance quantity.Fraction
		code      string
	}{
		{"NaN", Reading{At: start, Net: quantity.Activity(nan)}, 0.05, "bad-reading"},
		{"below background", Reading{At: start, Net: -1}, 0.05, "bad-reading"},
		{"negative u", Reading{At: start, Net: 1, U: -1}, 0.05, "bad-u"},
		{"infinite u", Reading{At: start, Net: 1, U: quantity.Fraction(math.Inf(1))}, 0.05, "bad-u"},
		{"no tolerance", good, 0, "bad-tolerance"},
		{"NaN tolerance", good, quantity.Fraction(nan), "bad-tolerance"},
	} {
		_, err := Constancy(source, c.reading, c.tolerance)
		refused(t, c.what, err, c.code)
	}
	_, err := Constancy(Source{Activity: mbq, At: start}, good, 0.05)
	if err == nil {
		t.Error("a source without half-life was taken")
	}
	_, err = Linearity([]Reading{good}, 0, h, 0.05)
	refused(t, "one reading", err, "too-few")
	_, err = Precision([]Reading{good, good}, h, 0.05)
	refused(t, "two readings", err, "too-few")
	_, err = Geometry(nil, h)
	refused(t, "no run", err, "too-few")
	_, err = Geometry([]Transfer{{good, good, good}}, h)
	refused(t, "nothing moved", err, "nothing-moved")
	_, err = Geometry([]Transfer{{good, Reading{At: start, Net: -1}, good}}, h)
	refused(t, "after", err, "bad-reading")
}

// Whatever numbers come, the test is refused or its outcome is finite.
func FuzzMeter(f *testing.F) {
	f.Add(5.55e6, 5.6e6, 1e5, 0.01, 0.05, 2.0)
	f.Add(math.NaN(), 5.6e6, 1e5, 0.01, 0.05, 2.0)
	f.Add(1e300, 1e-300, 1e5, 1e300, 1e-300, -1e5)
	f.Fuzz(func(t *testing.T, a, b, c, u, tolerance, hours float64) {
		h, tol := halfLife(64.05), quantity.Fraction(tolerance)
		at := after(math.Max(-1e5, math.Min(1e5, hours)))
		read := func(x float64) Reading {
			return Reading{At: at, Net: quantity.Activity(x), U: quantity.Fraction(u)}
		}
		if o, err := Constancy(Source{Activity: quantity.Activity(a), At: start, HalfLife: h}, read(b), tol); err == nil {
			if !finite(float64(o.Deviation)) || !(o.U >= 0) {
				t.Fatalf("%+v", o)
			}
		}
		if g, err := Geometry([]Transfer{{read(a), read(b), read(c)}, {read(b), read(c), read(a)}}, h); err == nil {
			if !finite(float64(g.Value)) || !(g.U >= 0) {
				t.Fatalf("%+v", g)
			}
		}
		if p, err := Precision([]Reading{read(a), read(b), read(c)}, h, tol); err == nil && !finite(float64(p.Worst)) {
			t.Fatalf("%+v", p)
		}
	})
}

func BenchmarkLinearity(b *testing.B) {
	var readings []Reading
	for i := range 40 {
		readings = append(readings, Reading{At: after(8 * float64(i)), Net: quantity.Activity(3000*math.Exp2(-8*float64(i)/64.05)) * mbq, U: 0.005})
	}
	for b.Loop() {
		ok(Linearity(readings, 0, halfLife(64.05), 0.05))(b)
	}
}

// The sentences of errors are for people.
func TestErrorsSpeak(t *testing.T) {
	_, err := Judge([]float64{1, math.NaN()}, 0, 1)
	if want := "Value 2 of the chart is not a finite number. Leave it out or correct it."; fmt.Sprint(err) != want {
		t.Errorf("%v", err)
	}
}
