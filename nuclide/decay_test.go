package nuclide_test

import (
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"

	"vialwright/nuclide"
	"vialwright/quantity"
)

// Half-lives in print, in hours.
const (
	ensdf2020 = 64.05  // ENSDF, Nuclear Data Sheets 165 (2020)
	icrp107   = 64.10  // ICRP Publication 107
	eanm2022  = 64.2   // EANM guideline, Eur J Nucl Med Mol Imaging 49:1682
	ddepShort = 64.041 // DDEP, cut to three decimals
	ddep      = 230550.0 / 3600
)

func hours(h float64) quantity.Span { return quantity.Span(h) * quantity.Hour }

// The tables below were computed by another program from the half-lives named
// and printed to six decimals. A tolerance of half a unit of the last decimal
// (5e-7) is all the rounding there is.
const sixDecimals = 5.01e-7

func TestDecayFactorsOfHalfLivesInPrint(t *testing.T) {
	at := []float64{1, 6, 24, 48, 168}
	for _, c := range []struct {
		name     string
		halfLife float64
		want     []float64
	}{
		{"D1 ENSDF 2020", ensdf2020, []float64{0.989236, 0.937131, 0.771262, 0.594845, 0.162335}},
		{"D2 ICRP Publication 107", icrp107, []float64{0.989245, 0.937179, 0.771418, 0.595086, 0.162566}},
		{"D3 DDEP cut to 64.041 h", ddepShort, []float64{0.989235, 0.937123, 0.771234, 0.594801, 0.162294}},
	} {
		for i, h := range at {
			near(t, c.name, nuclide.Factor(hours(c.halfLife), hours(h)), c.want[i], sixDecimals)
		}
	}
}

func TestDecayAndBackFactorsOfTheDefault(t *testing.T) {
	T := nuclide.Y90.HalfLife().Value
	// lambda = 0.0108233782 per hour, printed to ten decimals
	near(t, "lambda", math.Ln2/T.Hours(), 0.0108233782, 5.01e-11)
	for _, c := range []struct{ h, factor, back float64 }{
		{1, 0.989235, 1.010882},
		{6, 0.937123, 1.067095},
		{12, 0.878200, 1.138692},
		{24, 0.771236, 1.296620},
		{48, 0.594805, 1.681224},
		{72, 0.458735, 2.179909},
	} {
		near(t, "factor", nuclide.Factor(T, hours(c.h)), c.factor, sixDecimals)
		near(t, "back-factor", nuclide.Factor(T, -hours(c.h)), c.back, sixDecimals)
	}
}

// Printouts that use different half-lives differ in the third digit at 72 h.
func TestSpreadOfHalfLivesInPrintAt72h(t *testing.T) {
	for _, c := range []struct{ halfLife, want float64 }{
		{64.0, 0.458502}, {ddep, 0.458735}, {icrp107, 0.459060}, {eanm2022, 0.459617}, {64.60, 0.461835},
	} {
		near(t, "factor at 72 h", nuclide.Factor(hours(c.halfLife), hours(72)), c.want, sixDecimals)
	}
	spread := nuclide.Factor(hours(eanm2022), hours(72))/nuclide.Factor(hours(64), hours(72)) - 1
	near(t, "spread 64.0 to 64.2 h", spread, 0.0024, 5e-5) // printed 0.24 %
}

func TestD4CarryForwardAndBack(t *testing.T) {
	h := nuclide.HalfLife{Value: hours(ensdf2020), U: hours(0.05), Source: "ENSDF 2020"}
	reference := time.Date(2027, 3, 4, 18, 0, 0, 0, time.UTC)
	for _, c := range []struct {
		later time.Duration
		want  float64
	}{{24 * time.Hour, 2.313786}, {-6 * time.Hour, 3.201259}} {
		got, err := h.Carry(3*quantity.GigaBecquerel, reference, reference.Add(c.later))
		if err != nil {
			t.Fatal(err)
		}
		near(t, "GBq", float64(got/quantity.GigaBecquerel), c.want, sixDecimals)
	}
}

// ln 2 t u(T)/T^2 for u = 0.05 h, printed to four digits.
func TestD5UncertaintyFromTheHalfLife(t *testing.T) {
	h := nuclide.HalfLife{Value: hours(ensdf2020), U: hours(0.05), Source: "ENSDF 2020"}
	near(t, "24 h", float64(h.RelativeU(hours(24))), 2.028e-4, 5.01e-8)
	near(t, "72 h", float64(h.RelativeU(hours(72))), 6.083e-4, 5.01e-8)
	near(t, "72 h back", float64(h.RelativeU(-hours(72))), 6.083e-4, 5.01e-8)
	// the same by a finite difference of the factor itself: second order is
	// (u/T)^2, below 1e-6 of the result
	up, down := nuclide.Factor(h.Value+h.U, hours(72)), nuclide.Factor(h.Value-h.U, hours(72))
	near(t, "by difference", (up-down)/2/nuclide.Factor(h.Value, hours(72)), float64(h.RelativeU(hours(72))), 1e-8)
}

func TestD7TenHalfLives(t *testing.T) {
	h := nuclide.HalfLife{Value: hours(ensdf2020), Source: "ENSDF 2020"}
	span, err := h.Until(1024*quantity.MegaBecquerel, 1*quantity.MegaBecquerel)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "days", float64(span/quantity.Day), 26.6875, 1e-12)
}

// 3 GBq down to the exempt consignment of 1e5 Bq (IAEA SSR-6 Table 2, value
// from memory, not seen; only the time is under test).
func TestD8TimeToAnActivity(t *testing.T) {
	h := nuclide.HalfLife{Value: hours(ensdf2020), Source: "ENSDF 2020"}
	span, err := h.Until(3*quantity.GigaBecquerel, 1e5*quantity.Becquerel)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "hours", span.Hours(), 952.595, 5.01e-4)
	near(t, "days", float64(span/quantity.Day), 39.6915, 5.01e-5)
}

// Hoang et al., J Vasc Interv Radiol 2019 (662 administrations): a median of
// 2.20 h from measurement to administration costs a median 2.35 %.
func TestHoang2019DecayLoss(t *testing.T) {
	for _, T := range []float64{ddep, ensdf2020, icrp107} {
		near(t, "loss in %", 100*(1-nuclide.Factor(hours(T), hours(2.20))), 2.35, 5e-3)
	}
	near(t, "loss in %, to its digits", 100*(1-nuclide.Factor(hours(ddep), hours(2.20))), 2.35302, 1e-5) // by hand
}

// A date one day out makes the activity 22.9 % low or 29.7 % high.
func TestOneDaySlip(t *testing.T) {
	T := nuclide.Y90.HalfLife().Value
	near(t, "% low", 100*(1-nuclide.Factor(T, quantity.Day)), 22.9, 0.05)
	near(t, "% high", 100*(nuclide.Factor(T, -quantity.Day)-1), 29.7, 0.05)
	near(t, "% in one hour", 100*(nuclide.Factor(T, -quantity.Hour)-1), 1.09, 5e-3)
}

// A vial of 3.0 GBq, a syringe and a residual read in a jar, by another
// program with the default half-life.
func TestVialVectorsOfTheDefault(t *testing.T) {
	T := nuclide.Y90.HalfLife().Value
	near(t, "GBq at +10 h", 3.0*nuclide.Factor(T, hours(10)), 2.692253, sixDecimals)
	near(t, "GBq wanted at +10 h for 1.30 at +13 h", 1.30*nuclide.Factor(T, -hours(3)), 1.342904, sixDecimals)
	naive := (6.4 - 0.2) / (182.0 - 0.2)
	near(t, "% residual as read", 100*naive, 3.4103, 5e-5)
	near(t, "% residual at one time", 100*naive*nuclide.Factor(T, -hours(3.7)), 3.5497, 5e-5)
}

// A linearity run (T = 64.05 h), a constancy check with Cs-137 two years old
// and a residual carried back, by another program to six or seven digits.
func TestMeterCheckVectors(t *testing.T) {
	for _, c := range []struct{ h, mbq float64 }{{24, 2313.786}, {48, 1784.535}, {72, 1376.344}} {
		near(t, "MBq expected", 3000*nuclide.Factor(hours(ensdf2020), hours(c.h)), c.mbq, 5.01e-4)
	}
	cs := nuclide.Cs137.HalfLife().Value
	near(t, "MBq of Cs-137", 5.55*nuclide.Factor(cs, 2*quantity.Year), 5.299778, sixDecimals)
	near(t, "MBq of residual", 45.0*nuclide.Factor(hours(ensdf2020), -hours(3)), 46.4849, 5.01e-5)
}

func TestFactorExactCases(t *testing.T) {
	for k := -40; k <= 40; k++ {
		if got := nuclide.Factor(230550, quantity.Span(k)*230550); got != math.Ldexp(1, -k) {
			t.Errorf("%d half-lives: %v", k, got)
		}
	}
	inf := quantity.Span(math.Inf(1))
	for _, c := range []struct {
		T, t quantity.Span
		want float64
	}{
		{230550, 0, 1},
		{inf, 1e300, 1},
		{1, 1e300, 0},
		{1, inf, 0},
		{1, -1e300, math.Inf(1)},
		{1, -inf, math.Inf(1)},
		{5e-324, 1, 0},
	} {
		if got := nuclide.Factor(c.T, c.t); got != c.want {
			t.Errorf("Factor(%v, %v) = %v, want %v", c.T, c.t, got, c.want)
		}
	}
}

func TestPanicsOnAHalfLifeThatIsNone(t *testing.T) {
	nan := quantity.Span(math.NaN())
	for name, f := range map[string]func(){
		"zero":            func() { nuclide.Factor(0, 1) },
		"negative":        func() { nuclide.Factor(-1, 1) },
		"not a number":    func() { nuclide.Factor(nan, 1) },
		"pair going back": func() { nuclide.Pair{Parent: 1, Daughter: 1}.Grow(1, 1, -1) },
	} {
		t.Run(name, func(t *testing.T) {
			defer func() {
				if recover() == nil {
					t.Error("no panic")
				}
			}()
			f()
		})
	}
}

var (
	halfLives = rapid.Float64Range(1e-3, 1e12)
	manyTimes = rapid.Float64Range(-30, 30) // in half-lives
)

// 2^-(a+b) = 2^-a 2^-b; the spans are rounded before the sum, so the exponents
// differ by some 1e-15 of their size.
func TestFactorOfASumIsTheProduct(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		T := quantity.Span(halfLives.Draw(t, "T"))
		a, b := T*quantity.Span(manyTimes.Draw(t, "a")), T*quantity.Span(manyTimes.Draw(t, "b"))
		got, want := nuclide.Factor(T, a+b), nuclide.Factor(T, a)*nuclide.Factor(T, b)
		if math.Abs(got/want-1) > 2e-14 {
			t.Fatalf("%v against %v", got, want)
		}
	})
}

func TestFactorThereAndBackIsOne(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		T := quantity.Span(halfLives.Draw(t, "T"))
		a := T * quantity.Span(manyTimes.Draw(t, "a"))
		// two results within 1.5 units in the last place each
		if got := nuclide.Factor(T, a) * nuclide.Factor(T, -a); math.Abs(got-1) > 8e-16 {
			t.Fatalf("%v", got)
		}
	})
}

func TestFactorFallsWithTimeAndRisesWithHalfLife(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		T := quantity.Span(halfLives.Draw(t, "T"))
		a := T * quantity.Span(manyTimes.Draw(t, "a"))
		later := a + T*quantity.Span(rapid.Float64Range(1e-9, 5).Draw(t, "more"))
		if !(nuclide.Factor(T, later) < nuclide.Factor(T, a)) {
			t.Fatal("an activity grew with time")
		}
		if a > T/100 && !(nuclide.Factor(T*1.001, a) > nuclide.Factor(T, a)) {
			t.Fatal("a longer half-life left less")
		}
	})
}
