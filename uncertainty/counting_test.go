package uncertainty

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mathext"
	"pgregory.net/rapid"

	"vialwright/quantity"
)

// L. A. Currie, Anal. Chem. 40 (1968) 586: working formulas for paired counts,
// L_C = 2.33 sqrt(B), L_D = 2.71 + 4.65 sqrt(B), L_Q = 50 (1 + sqrt(1 + B/12.5)),
// with k = 1.6448536 kept whole.
func TestCurrieTable(t *testing.T) {
	for _, c := range []struct{ b, critical, detectable float64 }{
		{10, 7.356, 17.418}, {25, 11.631, 25.968}, {50, 16.449, 35.603}, {100, 23.262, 49.229}, {400, 46.523, 95.753},
	} {
		d := must(Currie(c.b, quantity.Minute, quantity.Minute))(t)
		near(t, "L_C", d.Critical, c.critical, 5e-4)
		near(t, "L_D", d.Detectable, c.detectable, 1e-3) // k^2 + 2 L_C out of three decimals
		near(t, "L_C as printed", d.Critical, 2.33*math.Sqrt(c.b), 0.005*math.Sqrt(c.b))
		near(t, "L_D as printed", d.Detectable, 2.71+4.65*math.Sqrt(c.b), 0.006+0.005*math.Sqrt(c.b))
		alike(t, "L_Q", d.Quantifiable, 50*(1+math.Sqrt(1+c.b/12.5)), 1e-14)
	}
	near(t, "L_Q of 100", must(Currie(100, 60, 60))(t).Quantifiable, 200, 1e-12)

	// A blank counted very long is known: 1.64 sqrt(B) and 2.71 + 3.29 sqrt(B).
	d := must(Currie(100e6, 60e6, 60))(t)
	near(t, "L_C, blank known", d.Critical, 16.449, 5e-4)
	near(t, "L_D, blank known", d.Detectable, 2.7055+32.897, 1e-3)
	// Blank for 10 min, sample for 1 min: k sqrt(B (1 + 0.1)) with B = 100.
	near(t, "L_C, ten to one", must(Currie(1000, 600, 60))(t).Critical, 1.6448536*math.Sqrt(110), 1e-5)
}

// What the limits promise, by exact Poisson probabilities at B = 100 paired: a
// count above L_C comes by chance about 5 % of the time, one at L_D is missed
// about 5 % of the time. Whole counts make both steps of about 1 %.
func TestCurrieKeepsItsPromise(t *testing.T) {
	d := must(Currie(100, 60, 60))(t)
	exceeds := func(signal float64) float64 {
		p := 0.0
		for n := range 400 { // blank of n counts, expected 100
			blank := math.Exp(float64(n)*math.Log(100) - 100 - lgamma(float64(n)+1))
			// P(N >= n) of a Poisson count, Abramowitz and Stegun 26.4.21
			tail := mathext.GammaIncReg(float64(n)+math.Floor(d.Critical)+1, 100+signal)
			p += blank * tail
		}
		return p
	}
	near(t, "false alarms", exceeds(0), 0.05, 0.01)
	near(t, "misses at L_D", 1-exceeds(d.Detectable), 0.05, 0.01)
}

func lgamma(x float64) float64 {
	y, _ := math.Lgamma(x)
	return y
}

func TestCurrieRefuses(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range [][3]float64{{-1, 1, 1}, {nan, 1, 1}, {inf, 1, 1}, {1, 0, 1}, {1, 1, -1}, {1, nan, 1}, {1, 1, inf}, {1, 1e-300, 1e300}} {
		_, err := Currie(c[0], quantity.Span(c[1]), quantity.Span(c[2]))
		refused(t, "Currie", err, "bad-count")
	}
}

// alphaInLiquid is example 1a of ISO 11929:2010 (annex D): w = 1/(V eps f) with
// V = 0.5 L to 1 %, eps = 0.3 to 5 % and the self-absorption factor f rectangular
// on 0.4 to 0.8.
var alphaInLiquid = NetCount{
	Gross: 2591, GrossTime: 360, Background: 41782, BackgroundTime: 7200,
	Factor:     1 / (0.5 * 0.3 * 0.6),
	FactorRelU: math.Sqrt(0.01*0.01 + 0.05*0.05 + 0.2*0.2/3/(0.6*0.6)),
}

var usual = Probabilities{0.05, 0.05, 0.05}

// The primary result and its uncertainty, 15.4907 and 3.4755 Bq/L, are as filed
// with the published example; threshold, detection limit, best estimate and
// interval were computed apart (fixed-point iteration, truncated normal of scipy).
func TestISO11929Example1a(t *testing.T) {
	c := must(alphaInLiquid.Characteristic(usual))(t)
	near(t, "y", c.Value, 15.4907407, 5e-8)
	near(t, "u(y)", c.U, 3.47550157, 5e-9)
	near(t, "y*", c.Threshold, 2.377697005, 5e-10)
	near(t, "y#", c.Detection, 5.420154299, 5e-10)
	near(t, "best estimate", c.Best, 15.490808053, 5e-9)
	near(t, "its u", c.BestU, math.Sqrt(12.07806843), 5e-8)
	near(t, "low", c.Coverage.Low, 8.67912363, 5e-8)
	near(t, "high", c.Coverage.High, 22.30260482, 5e-8)
	if !c.Detected {
		t.Error("not detected")
	}
}

// The detection limit taken at once against the standard's own iteration,
// y# <- y* + k u~(y#), and Currie's paired limits where w is exact.
func TestISO11929DetectionLimitByIteration(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := NetCount{
			Gross: rapid.Float64Range(0, 1e5).Draw(t, "gross"), GrossTime: quantity.Span(rapid.Float64Range(1, 1e4).Draw(t, "tg")),
			Background: rapid.Float64Range(1, 1e5).Draw(t, "background"), BackgroundTime: quantity.Span(rapid.Float64Range(1, 1e4).Draw(t, "t0")),
			Factor: rapid.Float64Range(1e-3, 1e3).Draw(t, "w"), FactorRelU: rapid.Float64Range(0, 0.4).Draw(t, "rel"),
		}
		p := Probabilities{
			rapid.Float64Range(0.01, 0.3).Draw(t, "alpha"), rapid.Float64Range(0.01, 0.3).Draw(t, "beta"), 0.05,
		}
		got, err := c.Characteristic(p)
		if err != nil {
			if e := err.(*Error); e.Code != "bad-count" || c.Gross/float64(c.GrossTime) > c.Background/float64(c.BackgroundTime) {
				t.Fatal(err)
			}
			return
		}
		tg, t0 := float64(c.GrossTime), float64(c.BackgroundTime)
		r0 := c.Background / t0
		kb := -zOf(p.Beta)
		v := got.Threshold
		for range 10_000 {
			u := math.Sqrt(c.Factor*c.Factor*((v/c.Factor+r0)/tg+r0/t0) + v*v*c.FactorRelU*c.FactorRelU)
			next := got.Threshold + kb*u
			if math.Abs(next-v) < 1e-15*v {
				break
			}
			v = next
		}
		if math.Abs(v-got.Detection) > 1e-9*v {
			t.Fatalf("y# = %v, by iteration %v", got.Detection, v)
		}
	})
	paired := NetCount{Gross: 100, GrossTime: 60, Background: 100, BackgroundTime: 60, Factor: 60}
	c := must(paired.Characteristic(usual))(t)
	d := must(Currie(100, 60, 60))(t)
	near(t, "y* and L_C", c.Threshold, d.Critical, 1e-9)
	near(t, "y# and L_D", c.Detection, d.Detectable, 1e-9)
	if c.Detected || c.Value != 0 {
		t.Errorf("%+v", c)
	}
	// With y = 0 what is left is half a normal: best = u sqrt(2/pi).
	near(t, "best of a half normal", c.Best, c.U*math.Sqrt(2/math.Pi), 1e-12)
	near(t, "u of a half normal", c.BestU, c.U*math.Sqrt(1-2/math.Pi), 1e-12)
}

// zOf is the normal quantile by bisection on erfc, a slow twin of the library's.
func zOf(p float64) float64 {
	low, high := -40.0, 40.0
	for range 200 {
		if m := (low + high) / 2; upperTail(-m) < p {
			low = m
		} else {
			high = m
		}
	}
	return high
}

// Even below the background the estimate and its interval are not negative.
func TestISO11929BelowBackground(t *testing.T) {
	c := alphaInLiquid
	c.Gross = 1980 // 0.3 counts per second short of the background
	got := must(c.Characteristic(usual))(t)
	if got.Value >= 0 || got.Detected || got.Best <= 0 || got.BestU <= 0 || got.Coverage.Low < 0 || got.Coverage.High <= got.Coverage.Low {
		t.Errorf("%+v", got)
	}
}

func TestISO11929Refuses(t *testing.T) {
	with := func(f func(*NetCount)) NetCount { c := alphaInLiquid; f(&c); return c }
	for _, c := range []struct {
		name, code string
		count      NetCount
	}{
		{"negative gross", "bad-count", with(func(c *NetCount) { c.Gross = -1 })},
		{"NaN gross", "bad-count", with(func(c *NetCount) { c.Gross = math.NaN() })},
		{"no gross time", "bad-count", with(func(c *NetCount) { c.GrossTime = 0 })},
		{"NaN background time", "bad-count", with(func(c *NetCount) { c.BackgroundTime = quantity.Span(math.NaN()) })},
		{"no background count", "bad-count", with(func(c *NetCount) { c.Background = 0 })},
		{"far below the background", "bad-count", with(func(c *NetCount) { c.Gross, c.FactorRelU = 0, 0 })},
		{"no factor", "bad-value", with(func(c *NetCount) { c.Factor = 0 })},
		{"NaN u", "bad-value", with(func(c *NetCount) { c.FactorRelU = math.NaN() })},
		{"factor too uncertain", "no-detection-limit", with(func(c *NetCount) { c.FactorRelU = 0.61 })},
		{"huge factor", "not-finite", with(func(c *NetCount) { c.Factor = 1e308 })},
	} {
		_, err := c.count.Characteristic(usual)
		refused(t, c.name, err, c.code)
	}
	for _, p := range []Probabilities{{0, 0.05, 0.05}, {0.05, 0.5, 0.05}, {0.05, 0.05, math.NaN()}} {
		_, err := alphaInLiquid.Characteristic(p)
		refused(t, "probability", err, "bad-probability")
	}
}
