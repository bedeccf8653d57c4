package quantity

import (
	"math"
	"math/big"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// TestGUM726 reproduces the rounding examples of JCGM 100:2008, 7.2.6, with
// metres for the ohm and the kilohertz, which are no units here. The figures
// are exact: no tolerance.
//
//	y = 10.057 62 Ω with u = 27 mΩ    y is rounded to 10.058 Ω
//	u = 28.05 kHz                     is rounded to 28 kHz
//
// A third example there, 10.47 mΩ, "might be rounded up to 11 mΩ": the clause
// permits that for a final result and does not ask for it. Here every
// uncertainty is rounded to the nearest, so it is 10 mΩ.
func TestGUM726(t *testing.T) {
	for _, r := range []struct {
		value, u Length
		want     string
	}{
		{10.05762 * Metre, 0.027 * Metre, "10.058 ± 0.027 m"},
		{0, 28.05 * Metre, "0 ± 28 m"},
		{0, 10.47 * Metre, "0 ± 10 m"},
	} {
		if got := Format(r.value, r.u, "m"); got != r.want {
			t.Errorf("Format(%v, %v) = %q, want %q", r.value, r.u, got, r.want)
		}
	}
}

// TestGUM722 is the mass of JCGM 100:2008, 7.2.2: m = 100.021 47 g with
// u = 0.35 mg, and with U = 0.79 mg in 7.2.4 (both from memory, not seen). The
// figures are exact: no tolerance.
func TestGUM722(t *testing.T) {
	if got := Format(Mass(100.02147), 0.35e-3, "g"); got != "100.02147 ± 0.00035 g" {
		t.Errorf("7.2.2: %q", got)
	}
	if got := Format(Mass(100.02147), 0.79e-3, "g"); got != "100.02147 ± 0.00079 g" {
		t.Errorf("7.2.4: %q", got)
	}
}

func TestFormat(t *testing.T) {
	for _, r := range []struct {
		value, u Activity
		unit     string
		want     string
	}{
		{1.348e9, 0.0402e9, "GBq", "1.348 ± 0.040 GBq"},
		{1.348e9, 0.0402e9, "MBq", "1348 ± 40 MBq"},
		{1.348e9, 0.0402e9, "mCi", "36.4 ± 1.1 mCi"},
		{1.348e9, 0.0402e9, "kBq", "1348000 ± 40000 kBq"},
		{1.3e9, 0.04e9, "GBq", "1.300 ± 0.040 GBq"}, // the zeros are within the uncertainty
		{1.3e9, 0, "GBq", "1.3 GBq"},
		{1.34567e9, 0, "GBq", "1.346 GBq"},
		{123456e6, 0, "MBq", "123500 MBq"},
		{5e8, 0, "GBq", "0.5 GBq"},
		{0, 0, "GBq", "0 GBq"},
		{0, 4e7, "GBq", "0.000 ± 0.040 GBq"},
		{9.96e8, 9.96e7, "GBq", "1.00 ± 0.10 GBq"}, // both carry
		{999.6e6, 30e6, "MBq", "1000 ± 30 MBq"},
		{-2e5, 1.3e6, "MBq", "-0.2 ± 1.3 MBq"},
		{-1e3, 1.3e6, "MBq", "0.0 ± 1.3 MBq"}, // never -0.0
		{6e9, 130e9, "GBq", "10 ± 130 GBq"},
		{5e9, 130e9, "GBq", "0 ± 130 GBq"}, // half goes to the even 0
		{15e9, 130e9, "GBq", "20 ± 130 GBq"},
		{6e8, 1300e9, "GBq", "0 ± 1300 GBq"},
		{600e9, 13000e9, "GBq", "1000 ± 13000 GBq"},
		{2.225e9, 1e8, "GBq", "2.22 ± 0.10 GBq"}, // half to even
		{2.235e9, 1e8, "GBq", "2.24 ± 0.10 GBq"},
		{1e23, 1.2e5, "Bq", "99999999999999991610000 ± 120000 Bq"}, // that float64, exactly
		{185e3, 0, "uCi", "5 microcurie"},
		{1e-3, 0, "GBq", "0.000000000001 GBq"},
		{Activity(math.NaN()), 0, "GBq", "NaN GBq"},
		{Activity(math.Inf(-1)), 1e9, "GBq", "-Inf ± 1.0 GBq"},
		{1e9, Activity(math.NaN()), "GBq", "1 ± NaN GBq"},
		{1e9, Activity(math.Inf(1)), "GBq", "1 ± NaN GBq"},
		{1e9, -1e8, "GBq", "1 ± NaN GBq"},
	} {
		if got := Format(r.value, r.u, r.unit); got != r.want {
			t.Errorf("Format(%v, %v, %s) = %q, want %q", r.value, r.u, r.unit, got, r.want)
		}
	}
	if got := Format(Temperature(-4.26), 0.3, "C"); got != "-4.26 ± 0.30 °C" {
		t.Errorf("temperature: %q", got)
	}
}

func TestRoundGivesParts(t *testing.T) {
	if got, want := Round(DoseRate(182), 3.64, "uSv/h"), (Figure{"182.0", "3.6", "µSv/h"}); got != want {
		t.Errorf("Round = %q, want %q", got, want)
	}
	if got, want := Round(DoseRate(182), 0, "mrem/h"), (Figure{"18.2", "", "mrem/h"}); got != want {
		t.Errorf("Round = %q, want %q", got, want)
	}
}

func TestFormatDigits(t *testing.T) {
	for _, r := range []struct {
		value Volume
		n     int
		want  string
	}{
		{2.494015, 1, "2 mL"},
		{2.494015, 3, "2.49 mL"},
		{2.494015, 6, "2.49402 mL"}, // the float64 nearest 2.494015 lies above the half
		{0.5, 3, "0.5 mL"},
		{9.9996, 4, "10 mL"},
		{1234.5, 2, "1200 mL"},
		{-0.0004999, 2, "-0.0005 mL"},
		{0, 3, "0 mL"},
		{2.2, 30, "2.20000000000000017763568394003 mL"}, // exact, as asked
	} {
		if got := FormatDigits(r.value, r.n, "mL"); got != r.want {
			t.Errorf("FormatDigits(%v, %d) = %q, want %q", r.value, r.n, got, r.want)
		}
	}
}

// A value beside a limit reads on the side of it on which it is: 37.004 is more than 37, and
// 36.9996 less.
func TestFormatDigitsBesideLimits(t *testing.T) {
	for _, r := range []struct {
		value  Activity
		limits []Activity
		want   string
	}{
		{37.004e9, nil, "37 GBq"},
		{37.004e9, []Activity{37e9}, "37.004 GBq"},
		{36.9996e9, []Activity{37e9}, "36.9996 GBq"},
		{37e9, []Activity{37e9}, "37 GBq"},
		{37.000000001e9, []Activity{37e9}, "37 GBq"}, // what decimals in binary may take
		{37.004e9, []Activity{40e9, 37.0039e9}, "37.004 GBq"},
		{0.03700049e9, []Activity{0.037e9}, "0.0370005 GBq"},
	} {
		if got := FormatDigits(r.value, 4, "GBq", r.limits...); got != r.want {
			t.Errorf("FormatDigits(%v) beside %v = %q, want %q", r.value, r.limits, got, r.want)
		}
	}
}

// TestBothAgree converts the first figure as printed and finds the second: two
// figures of one value never contradict one another.
func TestBothAgree(t *testing.T) {
	first, second := BothDigits(Activity(1.3225e9), 3, "GBq", "mCi")
	if first != "1.32 GBq" || second != "35.7 mCi" {
		t.Errorf("%s is %s", first, second)
	}
	rapid.Check(t, func(t *rapid.T) {
		a := Activity(rapid.Float64Range(1e6, 2e10).Draw(t, "activity"))
		first, second := BothDigits(a, 3, "GBq", "mCi")
		read, err := Parse[Activity](first)
		if err != nil || FormatDigits(read.Value, 3, "mCi") != second {
			t.Errorf("%s is %s, not %s (%v)", first, FormatDigits(read.Value, 3, "mCi"), second, err)
		}
		f, older := Pair(a, 0)
		symbol := older.Unit
		if symbol == "microcurie" {
			symbol = "uCi"
		}
		if read, err = Parse[Activity](f.String()); err != nil || FormatDigits(read.Value, 4, symbol) != older.String() {
			t.Errorf("%s is %s, not %s (%v)", f, FormatDigits(read.Value, 4, symbol), older, err)
		}
	})
}

// The interval of the figure that is worked out by hand for the sheet: 1348.34
// ± 1.96·39.65 MBq is 1270.63 to 1426.05 MBq.
func TestInterval(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{Interval(Activity(1348.34e6), 39.65e6), "1.271 to 1.426 GBq"},
		{Interval(Activity(1e6), 2e6), "0.0 to 4.9 MBq"},
		{Interval(Activity(1e6), 0), ""},
		{Interval(Fraction(0.0355), 0.0071), "2.16 to 4.94 %"},
		{Interval(DoseRate(182), 3.64), "174.9 to 189.1 µSv/h"},
	} {
		if c.got != c.want {
			t.Errorf("%q, want %q", c.got, c.want)
		}
	}
}

func TestBoth(t *testing.T) {
	for _, r := range []struct{ got, want string }{
		{Both(Activity(1.348e9), 0.0402e9), "1.348 ± 0.040 GBq (36.4 ± 1.1 mCi)"},
		{Both(Activity(3e9), 0), "3 GBq (81.08 mCi)"},
		{Both(Activity(0.629e9), 0), "629 MBq (17 mCi)"},
		{Both(Activity(2e5), 0), "200 kBq (5.405 microcurie)"},
		{Both(Activity(37e9), 1e9), "37.0 ± 1.0 GBq (1.000 ± 0.027 Ci)"},
		{Both(Activity(370), 0), "370 Bq (0.01 microcurie)"},
		{Both(Activity(999.996e6), 0.4e6), "1.00000 ± 0.00040 GBq (27.027 ± 0.011 mCi)"},
		{Both(Activity(999.96e6), 0), "1 GBq (27.03 mCi)"},
		{Both(Activity(999.4e6), 0), "999.4 MBq (27.01 mCi)"},
		{Both(Activity(-2e5), 13e5), "-0.2 ± 1.3 MBq (-5 ± 35 microcurie)"},
		{Both(Activity(0), 0), "0 Bq (0 microcurie)"},
		{Both(Activity(37), 0), "37 Bq (0.001 microcurie)"}, // exactly
		{Both(Activity(36), 0), "36 Bq"},
		{Both(Activity(1), 0), "1 Bq"},
		{Both(Activity(0.03936), 0.00083), "below 1 Bq"},
		{Both(Activity(0.1), 3.7e5), "0 ± 370 kBq (0 ± 10 microcurie)"},
		{Both(Activity(0.00002484), 0), "0 Bq (0 microcurie)"},
		{Both(Activity(1e-55), 1e-60), "0 Bq (0 microcurie)"},
		{Both(Activity(-3e-8), 2.7e8), "0 ± 270 MBq (0.0 ± 7.3 mCi)"},
		{Both(Activity(1.3e9), 1e-55), "1.3 GBq (35.14 mCi)"},
		{Both(Activity(math.NaN()), 0), "NaN Bq (NaN microcurie)"},
		{Both(Activity(2e13), 0), "20 TBq (540.5 Ci)"},
		{Both(DoseRate(182), 3.64), "182.0 ± 3.6 µSv/h (18.20 ± 0.36 mrem/h)"},
		{Both(DoseRate(0.2), 0), "0.2 µSv/h (0.02 mrem/h)"},
		{Both(DoseRate(1500), 0), "1.5 mSv/h (150 mrem/h)"},
		{Both(Contamination(4), 0), "4 Bq/cm² (24000 dpm/100 cm²)"},
		{Both(Contamination(0.4), 0.05), "0.400 ± 0.050 Bq/cm² (2400 ± 300 dpm/100 cm²)"},
		{Both(AbsorbedDose(120), 12), "120 ± 12 Gy (12000 ± 1200 rad)"},
		{Both(AbsorbedDose(0.5), 0), "0.5 Gy (50 rad)"},
		{Both(DoseEquivalent(500), 0), "500 µSv (50 mrem)"},
		{Both(DoseEquivalent(50000), 0), "50 mSv (5 rem)"},
		{Both(Volume(2.2), 0.03), "2.200 ± 0.030 mL"},
		{Both(Volume(0.25), 0), "0.25 mL"},
		{Both(Mass(1500), 0), "1.5 kg"},
		{Both(Fraction(0.0355), 0.004), "3.55 ± 0.40 %"},
		{Both(Fraction(0.0003), 0), "0.03 %"},
		{Both(Temperature(21.5), 0), "21.5 °C"},
		{Both(Length(0.032), 0), "32 µm"},
		{Both(Span(230550.12), 112.3), "2.6684 ± 0.0013 d"},
	} {
		if r.got != r.want {
			t.Errorf("Both = %q, want %q", r.got, r.want)
		}
	}
	if got, want := Show(Activity(1.348e9), 0.0402e9), (Figure{"1.348", "0.040", "GBq"}); got != want {
		t.Errorf("Show = %q, want %q", got, want)
	}
}

// TestMicrocurieHasNoGlyph: the list of error-prone abbreviations holds µ with
// a unit of medicine (read as m); none may reach a label.
func TestMicrocurieHasNoGlyph(t *testing.T) {
	for v := Activity(1); v < 1e8; v *= 3 {
		if got := Both(v, v/50); strings.Contains(got, "µ") || strings.Contains(got, "uCi") {
			t.Errorf("%v Bq is printed %q", float64(v), got)
		}
	}
}

// TestUnknownUnitPanics: units are named by the program.
func TestUnknownUnitPanics(t *testing.T) {
	for name, f := range map[string]func(){
		"Format":       func() { Format(Activity(1), 0, "mL") },
		"Round":        func() { Round(Activity(1), 0, "") },
		"FormatDigits": func() { FormatDigits(Activity(1), 3, "gbq") },
		"no digits":    func() { FormatDigits(Activity(1), 0, "GBq") },
	} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s does not panic", name)
				}
			}()
			f()
		}()
	}
}

// exactIn is value in u as a rational number.
func exactIn(value float64, u *unit) *big.Rat {
	r := new(big.Rat).SetFloat64(value)
	return r.Quo(r, u.rat())
}

// within tells that the printed number differs from exact by half a unit of
// its last printed place at most. slack is the relative rounding of the one
// division by 37 or by 1/6.
func within(printed string, exact *big.Rat, place int) bool {
	p, ok := new(big.Rat).SetString(printed)
	if !ok {
		return false
	}
	half := new(big.Rat).SetFrac64(1, 2)
	if place >= 0 {
		half.Mul(half, new(big.Rat).SetInt(tenTo(place)))
	} else {
		half.Quo(half, new(big.Rat).SetInt(tenTo(-place)))
	}
	slack := new(big.Rat).Mul(new(big.Rat).Abs(exact), new(big.Rat).SetFloat64(0x1p-53))
	return new(big.Rat).Abs(p.Sub(p, exact)).Cmp(half.Add(half, slack)) <= 0
}

// placeOf is the decimal place of the last digit printed.
func placeOf(printed string) int {
	if at := strings.IndexByte(printed, '.'); at >= 0 {
		return at + 1 - len(printed)
	}
	return 0
}

// TestPrintedIsWithinHalfALastPlace prints, reads the text again and compares
// with the exact quotient; it also holds the form of what is printed.
func TestPrintedIsWithinHalfALastPlace(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		_, un := drawUnit(t)
		v := rapid.OneOf(rapid.Float64Range(-1e4, 1e4), rapid.Float64Range(-1e-4, 1e-4), rapid.Float64Range(-1e12, 1e12)).Draw(t, "value")
		u := rapid.OneOf(rapid.Float64Range(1e-6, 10), rapid.Float64Range(1e-3, 1e6)).Draw(t, "u")
		f := figure(v, u, un)
		place := placeOf(f.U)
		if digits := strings.TrimLeft(strings.Replace(f.U, ".", "", 1), "0"); place < 0 && len(digits) != 2 {
			t.Fatalf("u = %s has not two significant digits", f.U)
		} else if place == 0 {
			place = len(digits) - 2
		}
		if !within(f.U, exactIn(u, un), place) || !within(f.Value, exactIn(v, un), place) {
			t.Fatalf("%v ± %v in %s is printed %s", v, u, un.symbol, f)
		}
		if placeOf(f.Value) != min(place, 0) || f.Value[0] == '.' || strings.HasPrefix(f.Value, "-.") || strings.Trim(f.Value, "-0.") == "" && f.Value[0] == '-' {
			t.Fatalf("%v ± %v in %s is printed %s", v, u, un.symbol, f)
		}
	})
}

// TestPrintedDigitsReadBack prints without uncertainty and lets Parse read it.
func TestPrintedDigitsReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		unit := rapid.SampledFrom(Units[Activity]()).Draw(t, "unit")
		n := rapid.IntRange(1, 12).Draw(t, "digits")
		v := Activity(rapid.Float64Range(1e-3, 1e15).Draw(t, "value"))
		text := FormatDigits(v, n, unit)
		back, err := Parse[Activity](text)
		if err != nil {
			t.Fatal(err)
		}
		// Half a unit of the n-th digit is 0.5·10^(1-n) of the value at most;
		// the division and the reading round once each.
		if off := math.Abs(float64(back.Value/v) - 1); off > 0.5*math.Pow10(1-n)+4e-16 {
			t.Fatalf("%v is printed %q, off by %.3g", float64(v), text, off)
		}
		number, _ := back.Split()
		if strings.Contains(number, ".") && strings.HasSuffix(number, "0") {
			t.Fatalf("%v is printed %q, with a trailing zero", float64(v), text)
		}
	})
}

// TestShownUnitFitsTheSize: what Show prints is 1 to 1000 of its unit where the
// units lie a thousand apart.
func TestShownUnitFitsTheSize(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := Activity(rapid.Map(rapid.Float64Range(0, 14.9), func(x float64) float64 { return math.Pow(10, x) }).Draw(t, "value"))
		f := Show(v, 0)
		x, _ := new(big.Rat).SetString(f.Value)
		if got, _ := x.Float64(); got < 1 || got >= 1000 {
			t.Fatalf("%v Bq is shown as %s", float64(v), f)
		}
	})
}

// What is beyond a limit, at it or inside it reads so: 10.004 % is no 10.0 %, and 94.9998 % no 95.00 %.
func TestDecimals(t *testing.T) {
	for _, c := range []struct {
		x      float64
		least  int
		limits []Fraction
		want   string
	}{
		{0.10004, 1, nil, "10.0"},
		{0.10004, 1, []Fraction{0.1}, "10.004"},
		{-0.10004, 1, []Fraction{0.2, 0.1}, "-10.004"},
		{0.1, 1, []Fraction{0.1}, "10.0"},
		{0.09996, 1, []Fraction{0.1}, "9.996"},
		{0.094, 1, []Fraction{0.1}, "9.4"},
		{-0.1999, 1, []Fraction{0.1, 0.2}, "-19.99"},
		{0.949998, 2, []Fraction{0.95}, "94.9998"},
		{0.1225, 1, []Fraction{0.1225}, "12.2"},
		{0.12251, 1, []Fraction{0.1225}, "12.251"},
		{0.1 + 1e-12, 1, []Fraction{0.1}, "10.0"},
	} {
		if got := strconv.FormatFloat(100*c.x, 'f', Decimals(c.x, c.least, c.limits...), 64); got != c.want {
			t.Errorf("%g with %v: %s, want %s", c.x, c.limits, got, c.want)
		}
	}
}
