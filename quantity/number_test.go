package quantity

import (
	"fmt"
	"math"
	"math/big"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// drawUnit picks any unit of the table.
func drawUnit(t *rapid.T) (kind, *unit) {
	k := kind(rapid.IntRange(0, int(kinds)-1).Draw(t, "kind"))
	u := rapid.IntRange(0, len(classes[k].units)-1).Draw(t, "unit")
	return k, &classes[k].units[u]
}

// drawNumber makes a number of the grammar, short ones most often.
func drawNumber(t *rapid.T) string {
	return rapid.OneOf(
		rapid.StringMatching(`(0|[1-9][0-9]{0,3})(\.[0-9]{1,4})?`),
		rapid.StringMatching(`(0|[1-9][0-9]{0,18})(\.[0-9]{1,18})?`),
		rapid.StringMatching(`(0|[1-9][0-9]{0,8})(\.[0-9]{1,20})?e(0|-?[1-9][0-9]?)`),
		rapid.StringMatching(`[1-9](\.[0-9]{1,30})?e-?(29[0-9]|30[0-9]|31[0-9]|32[0-9])`),
	).Draw(t, "number")
}

// TestParseAgainstExactTwin compares with rational arithmetic throughout: the
// value must be the float64 nearest to number times factor, to the last bit.
func TestParseAgainstExactTwin(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k, u := drawUnit(t)
		number := drawNumber(t)
		r, ok := new(big.Rat).SetString(number)
		if !ok {
			t.Fatalf("%q is no rational", number)
		}
		want, _ := new(big.Rat).Mul(r, u.rat()).Float64()
		got, canonical, err := read(k, number+" "+u.symbol)
		switch {
		case math.IsInf(want, 0):
			if err == nil || err.Code != CodeTooLarge {
				t.Fatalf("%s %s: %v, want %s", number, u.symbol, err, CodeTooLarge)
			}
		case want == 0 && r.Sign() != 0:
			if err == nil || err.Code != CodeTooSmall {
				t.Fatalf("%s %s: %v, want %s", number, u.symbol, err, CodeTooSmall)
			}
		case err != nil || got != want || canonical != number+" "+u.symbol:
			t.Fatalf("%s %s = %v, %q, %v; want %v", number, u.symbol, got, canonical, err, want)
		}
	})
}

// TestFastPathIsExact makes sure that the quick scaling is taken for everyday
// texts, and that it and the rational one agree there.
func TestFastPathIsExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		_, u := drawUnit(t)
		typed := rapid.StringMatching(`(0|[1-9][0-9]{0,3})(\.[0-9]{1,3})?`).Draw(t, "number")
		n, ok := scan(typed)
		if !ok {
			t.Fatalf("%q is not read", typed)
		}
		got, quick := n.fast(u)
		if e := n.exp + u.exp; !quick && (u.den == 1 || e < 0) {
			t.Fatalf("%s %s takes the slow path", typed, u.symbol)
		}
		if want := n.exact(u); quick && got != want {
			t.Fatalf("%s %s: fast %v, exact %v", typed, u.symbol, got, want)
		}
	})
}

// TestOfReadsBack states any value in any unit: the text is canonical, reads
// back as the same value, and has no more than 18 significant digits.
func TestOfReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k, u := drawUnit(t)
		v := rapid.OneOf(
			rapid.Float64Range(0, 1e12),
			rapid.Float64Range(0, math.MaxFloat64/1e13),
			rapid.Map(rapid.Uint64Range(0, 1<<62), math.Float64frombits),
		).Draw(t, "value")
		if k == temperature {
			v = -math.Mod(v, 273)
		}
		text, err := ofKind(k, v, u.symbol)
		if err != nil {
			t.Fatal(err)
		}
		back, canonical, refused := read(k, text)
		if refused != nil || back != v || canonical != text {
			t.Fatalf("%v in %s is stated as %q and read back as %v, %q, %v", v, u.symbol, text, back, canonical, refused)
		}
		number, _, _ := strings.Cut(text, " ")
		mant, _, _ := strings.Cut(strings.Trim(number, "-"), "e")
		if digits := strings.Trim(strings.Replace(mant, ".", "", 1), "0"); len(digits) > 18 {
			t.Fatalf("%v in %s is stated as %q, with %d digits", v, u.symbol, text, len(digits))
		}
	})
}

// ofKind is the text of Of for a kind known at run time.
func ofKind(k kind, v float64, unit string) (string, error) {
	switch k {
	case activity:
		return text(Of(Activity(v), unit))
	case volume:
		return text(Of(Volume(v), unit))
	case mass:
		return text(Of(Mass(v), unit))
	case span:
		return text(Of(Span(v), unit))
	case doseRate:
		return text(Of(DoseRate(v), unit))
	case absorbedDose:
		return text(Of(AbsorbedDose(v), unit))
	case doseEquivalent:
		return text(Of(DoseEquivalent(v), unit))
	case contamination:
		return text(Of(Contamination(v), unit))
	case area:
		return text(Of(Area(v), unit))
	case countsRate:
		return text(Of(CountRate(v), unit))
	case fraction:
		return text(Of(Fraction(v), unit))
	case meterRate:
		return text(Of(MeterRate(v), unit))
	case temperature:
		return text(Of(Temperature(v), unit))
	}
	return text(Of(Length(v), unit))
}

func text[Q Kind](s Stated[Q], err error) (string, error) { return s.Text, err }

// TestOfFindsTheTypedDigits states what was typed with up to 15 digits: the
// same number comes back, without its trailing zeros.
func TestOfFindsTheTypedDigits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		unit := rapid.SampledFrom(Units[Activity]()).Draw(t, "unit")
		number := rapid.StringMatching(`(0|[1-9][0-9]{0,4})\.[0-9]{0,9}[1-9]`).Draw(t, "number")
		typed, err := Parse[Activity](number + " " + unit)
		if err != nil {
			t.Fatal(err)
		}
		got, err := Of(typed.Value, unit)
		if err != nil || got.Value != typed.Value {
			t.Fatalf("%+v is stated as %+v, %v", typed, got, err)
		}
		a, _ := new(big.Rat).SetString(number)
		n, _ := got.Split()
		if b, _ := new(big.Rat).SetString(n); a.Cmp(b) != 0 {
			t.Fatalf("%s %s is stated as %s", number, unit, got)
		}
	})
}

// TestExactHalves rounds numbers that lie half-way between two float64: to the
// even one, on each path.
func TestExactHalves(t *testing.T) {
	const half = "9007199254740993" // 2^53 + 1
	for _, r := range []struct {
		text string
		want float64
	}{
		{half + " Bq", 9007199254740992},
		{half + ".0 Bq", 9007199254740992},
		{half + ".00000000000000000001 Bq", 9007199254740994},
		{"9007199254740995 Bq", 9007199254740996},
		{"9.007199254740993 TBq", 9007.199254740993e9},
	} {
		got, err := Parse[Activity](r.text)
		if err != nil || float64(got.Value) != r.want {
			t.Errorf("%s = %.1f, %v; want %.1f", r.text, float64(got.Value), err, r.want)
		}
	}
}

// TestEndsOfTheDomain stands at the two ends of the domain.
func TestEndsOfTheDomain(t *testing.T) {
	for _, r := range []struct {
		text string
		want float64
	}{
		{"1.7976931348623157e308 Bq", math.MaxFloat64},
		{"1.7976931348623157e299 GBq", math.MaxFloat64},
		{"4.9e-324 Bq", 5e-324},
		{"2.5e-324 Bq", 5e-324}, // above half the smallest
	} {
		got, err := Parse[Activity](r.text)
		if err != nil || float64(got.Value) != r.want {
			t.Errorf("%s = %v, %v; want %v", r.text, float64(got.Value), err, r.want)
		}
	}
	for text, code := range map[string]string{
		"1.8e308 Bq": CodeTooLarge, "2.4e-324 Bq": CodeTooSmall,
		fmt.Sprintf("0.%s1e-290 Bq", strings.Repeat("0", 40)): CodeTooSmall,
	} {
		if _, _, err := read(activity, text); err == nil || err.Code != code {
			t.Errorf("%s: %v, want %s", text, err, code)
		}
	}
}
