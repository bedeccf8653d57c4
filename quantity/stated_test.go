package quantity

import (
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"
)

// accept checks that each text is read as the value and the canonical text.
func accept[Q Kind](t *testing.T, rows []struct {
	text  string
	value float64
	canon string
},
) {
	t.Helper()
	for _, r := range rows {
		got, err := Parse[Q](r.text)
		if err != nil {
			t.Errorf("Parse(%q): %v", r.text, err)
			continue
		}
		if float64(got.Value) != r.value || got.Text != r.canon {
			t.Errorf("Parse(%q) = %v, %q; want %v, %q", r.text, float64(got.Value), got.Text, r.value, r.canon)
		}
		if again, err := ParseCanonical[Q](got.Text); err != nil || again != got {
			t.Errorf("ParseCanonical(%q) = %v, %v", got.Text, again, err)
		}
		if _, err := ParseCanonical[Q](r.text); (err == nil) != (r.text == r.canon) {
			t.Errorf("ParseCanonical(%q): %v", r.text, err)
		}
	}
}

type rows = []struct {
	text  string
	value float64
	canon string
}

func TestParse(t *testing.T) {
	accept[Activity](t, rows{
		{"3.0 GBq", 3e9, "3.0 GBq"},
		{"1.30 GBq", 1.3e9, "1.30 GBq"},
		{"81 mCi", 2.997e9, "81 mCi"},
		{"0.1 mCi", 3.7e6, "0.1 mCi"},
		{"1 Ci", 3.7e10, "1 Ci"},
		{"0 Bq", 0, "0 Bq"},
		{"0.00 MBq", 0, "0.00 MBq"},
		{"0e999 MBq", 0, "0e999 MBq"},
		{"400 \u00b5Ci", 1.48e7, "400 uCi"},
		{"400 \u03bcCi", 1.48e7, "400 uCi"},
		{"400 microcurie", 1.48e7, "400 uCi"},
		{"3.0GBq", 3e9, "3.0 GBq"},
		{"  3.0 \t GBq\n", 3e9, "3.0 GBq"},
		{"3.0\u00a0GBq", 3e9, "3.0 GBq"},
		{"3.0\u2009GBq", 3e9, "3.0 GBq"},
		{"3.0\u202fGBq", 3e9, "3.0 GBq"},
		{"3e9 Bq", 3e9, "3e9 Bq"},
		{"3E9 Bq", 3e9, "3e9 Bq"},
		{"3e+09 Bq", 3e9, "3e9 Bq"},
		{"3e-0 Bq", 3, "3e0 Bq"},
		{"3e-03 MBq", 3e3, "3e-3 MBq"},
		{"2.50e-3 TBq", 2.5e9, "2.50e-3 TBq"},
	})
	accept[Volume](t, rows{
		{"2.2 mL", 2.2, "2.2 mL"},
		{"2.2 ml", 2.2, "2.2 mL"},
		{"0.005 l", 5, "0.005 L"},
		{"50 ul", 0.05, "50 uL"},
		{"50 µl", 0.05, "50 uL"},
		{"5 cm3", 5, "5 cm3"},
		{"5 cm³", 5, "5 cm3"},
		{"5 cm^3", 5, "5 cm3"},
	})
	accept[Mass](t, rows{{"1.5 kg", 1500, "1.5 kg"}, {"3 mg", 3e-3, "3 mg"}})
	accept[Span](t, rows{{"64.0417 h", 230550.12, "64.0417 h"}, {"2 min", 120, "2 min"}, {"10 d", 864000, "10 d"}, {"1 a", 31556926.08, "1 a"}})
	accept[DoseRate](t, rows{{"182 uSv/h", 182, "182 uSv/h"}, {"6.4 µSv / h", 6.4, "6.4 uSv/h"}, {"0.3 mrem/h", 3, "0.3 mrem/h"}, {"1 nSv/h", 1e-3, "1 nSv/h"}})
	accept[AbsorbedDose](t, rows{{"120 Gy", 120, "120 Gy"}, {"7 rad", 0.07, "7 rad"}})
	accept[DoseEquivalent](t, rows{{"0.50 mSv", 500, "0.50 mSv"}, {"5 rem", 50000, "5 rem"}})
	accept[Contamination](t, rows{
		{"4 Bq/cm2", 4, "4 Bq/cm2"},
		{"4 Bq/cm²", 4, "4 Bq/cm2"},
		{"4 Bq / cm^2", 4, "4 Bq/cm2"},
		{"7200 dpm/100cm2", 1.2, "7200 dpm/100cm2"},
		{"7200 dpm/100 cm²", 1.2, "7200 dpm/100cm2"},
		{"1e4 dpm/100cm2", 1e4 / 6e3, "1e4 dpm/100cm2"},
	})
	accept[Area](t, rows{{"100 cm²", 100, "100 cm2"}, {"0.5 m2", 5000, "0.5 m2"}})
	accept[CountRate](t, rows{{"1.5 cps", 1.5, "1.5 cps"}, {"90 cpm", 1.5, "90 cpm"}})
	accept[Fraction](t, rows{{"2 %", 0.02, "2 %"}, {"2%", 0.02, "2 %"}, {"0 %", 0, "0 %"}, {"110 %", 1.1, "110 %"}})
	accept[Temperature](t, rows{
		{"21.5 °C", 21.5, "21.5 C"},
		{"21.5 ℃", 21.5, "21.5 C"},
		{"21.5 Cel", 21.5, "21.5 C"},
		{"-4 C", -4, "-4 C"},
		{"\u22124 °C", -4, "-4 C"},
		{"-0 C", 0, "-0 C"},
		{"-273.15 C", -273.15, "-273.15 C"},
	})
	accept[Length](t, rows{{"32 um", 0.032, "32 um"}, {"30 cm", 300, "30 cm"}, {"1 m", 1000, "1 m"}})
}

// refusal is a text, the code it is refused with, and words the message must hold.
type refusal struct {
	text, code, words string
}

func refuses[Q Kind](t *testing.T, list []refusal) {
	t.Helper()
	for _, r := range list {
		got, err := Parse[Q](r.text)
		var e *Error
		if !errors.As(err, &e) {
			t.Errorf("Parse(%q) = %v, %v; want a refusal", r.text, got, err)
			continue
		}
		if e.Code != r.code || !strings.Contains(e.Error(), r.words) || e.Input == "" && r.text != "" {
			t.Errorf("Parse(%q): %s: %v\n\twant %s with %q", r.text, e.Code, e, r.code, r.words)
		}
		if !got.IsZero() || got.Value != 0 {
			t.Errorf("Parse(%q) is refused and gives %v", r.text, got)
		}
	}
}

// TestParseRefusals goes down the reasons to refuse, in the order of the codes.
func TestParseRefusals(t *testing.T) {
	refuses[Activity](t, []refusal{
		{"", CodeEmpty, "usual units: GBq, MBq, mCi"},
		{" \u2009\t", CodeEmpty, ""},
		{strings.Repeat("1", 65) + " Bq", CodeTooLong, "64 bytes"},
		{"\xff\xfe", CodeNotText, ""},
		{"3 \x00Bq", CodeNotText, ""},
		{"3 B\u200bq", CodeNotText, ""},
		{"GBq 3", CodeNotNumber, "number first"},
		{"NaN GBq", CodeNotNumber, ""},
		{"Inf GBq", CodeNotNumber, ""},
		{"0x1p3 Bq", CodeNotNumber, "decimal"},
		{"<5 MBq", CodeNotNumber, ""},
		{"٣ MBq", CodeNotNumber, ""},
		{".5 GBq", CodeLeadingZero, "write 0.5 GBq"},
		{"05 GBq", CodeLeadingZero, "write 5 GBq or 0.5 GBq"},
		{"00.5 GBq", CodeLeadingZero, "write 0.5 GBq"},
		{"5. GBq", CodeTrailingPoint, "write 5 GBq"},
		{"5.e3 Bq", CodeTrailingPoint, ""},
		{"1,234 MBq", CodeComma, "write 1.234 MBq or 1234 MBq"},
		{"1,300GBq", CodeComma, "write 1.300GBq or 1300GBq"},
		{"10,300e2 Bq", CodeComma, "write 10.300e2 Bq or 10300e2 Bq"},
		{"1,5,3 MBq", CodeComma, "write 153 MBq"},
		{"1, MBq", CodeComma, "write 1 MBq"},
		{",5 GBq", CodeComma, "write 0.5 GBq or 5 GBq"},
		{"1,234.5 MBq", CodeComma, "write 1234.5 MBq"},
		{"1.234,5 MBq", CodeComma, "write 1234.5 MBq"},
		{"1,234,567 Bq", CodeComma, "write 1234567 Bq"},
		{"1 234 MBq", CodeGrouping, "1234 MBq"},
		{"1\u2009234 MBq", CodeGrouping, "1234 MBq"},
		{"1'234 MBq", CodeGrouping, "write 1234 MBq"},
		{"1’234 MBq", CodeGrouping, "1234 MBq"},
		{"1_234 MBq", CodeGrouping, "write 1234 MBq"},
		{"1..5 MBq", CodeGrouping, "write 1.5 MBq or 15 MBq"},
		{"3.910.2 mL", CodeGrouping, "write the number with one decimal point"},
		{"1.234.567 Bq", CodeGrouping, "write 1.234567 Bq or 1234567 Bq"},
		{"3e GBq", CodeExponent, ""},
		{"3e+ GBq", CodeExponent, ""},
		{"3e1.5 Bq", CodeExponent, ""},
		{"3x10^9 Bq", CodeExponent, "write it like 3e6"},
		{"3·10⁹ Bq", CodeExponent, ""},
		{"-3 GBq", CodeNegative, "an activity is not"},
		{"\u22123 GBq", CodeNegative, ""},
		{"-0 GBq", CodeNegative, ""},
		{"-.5 GBq", CodeNegative, ""},
		{"+3 GBq", CodeSign, "write 3 GBq"},
		{"1e300 GBq", CodeTooLarge, ""},
		{"1e999999999999 Bq", CodeTooLarge, ""},
		{"1e-324 Bq", CodeTooSmall, "not 0"},
		{"0.1e-99999999999 Bq", CodeTooSmall, ""},
		{"3 GBq 81 mCi", CodeExtra, ""},
		{"3 GBq (81 mCi)", CodeExtra, ""},
		{"1.3 ± 0.1 GBq", CodeExtra, "uncertainty"},
		{"1.3 +/- 0.1 GBq", CodeExtra, "uncertainty"},
		{"0.4 MBq (k=2)", CodeExtra, "k = 1"},
		{"0.4 MBq, k = 2", CodeExtra, "k = 1"},
		{"1-2 GBq", CodeExtra, "range"},
		{"1.30", CodeUnitMissing, "is it 1.30 GBq or 1.30 MBq or 1.30 mCi?"},
		{"3 foo", CodeUnitUnknown, "no unit of activity"},
		{"3 GBQ", CodeUnitCase, "did you mean GBq?"},
		{"3 mci", CodeUnitCase, "did you mean mCi?"},
		{"3 mBq", CodeUnitCase, "mBq is the millibecquerel, 1e-9 of MBq (did you mean MBq?)"},
		{"3 MCi", CodeUnitCase, "MCi is the megacurie, 1e9 of mCi"},
		{"3 nCi", CodeUnitPrefix, "nCi is the nanocurie, 1e-6 of mCi (write it in mCi)"},
		{"3 PBq", CodeUnitPrefix, "petabecquerel"},
		{"3 mL", CodeUnitKind, "mL is a volume; an activity was expected"},
		{"3 Bq/cm2", CodeUnitKind, "a surface contamination"},
		{"3 ml", CodeUnitKind, "a volume"},
		{"3 gy", CodeUnitKind, "looks like Gy, an absorbed dose"},
		{"3 curies", CodeUnitAmbiguous, "write Ci"},
		{"3 mcCi", CodeUnitAmbiguous, "milli or micro"},
		{"3 GBqs", CodeUnitAmbiguous, "write GBq"},
		{"3 GBq.", CodeUnitAmbiguous, "write GBq"},
		{"3 cpm", CodeUnitAmbiguous, "count rate"},
	})
	refuses[Volume](t, []refusal{
		{"5 cc", CodeUnitAmbiguous, "write mL"},
		{"5 mls", CodeUnitAmbiguous, "write mL"},
		{"5 ML", CodeUnitCase, "megalitre"},
		{"5 dL", CodeUnitPrefix, "1e2 of mL"},
	})
	refuses[Mass](t, []refusal{{"5 mcg", CodeUnitAmbiguous, "1e-3 of mg"}, {"1 Mg", CodeUnitCase, "1e9 of mg"}, {"1 Kg", CodeUnitCase, "kg"}, {"1 ug", CodeUnitPrefix, "1e-6 of g"}})
	refuses[Span](t, []refusal{
		{"2 h 20 min", CodeExtra, "one number"},
		{"5 m", CodeUnitAmbiguous, "write min"},
		{"5 hrs", CodeUnitAmbiguous, "write h"},
		{"5 ms", CodeUnitPrefix, "1e-3 of s"},
		{"2:20", CodeUnitUnknown, ""},
	})
	refuses[DoseRate](t, []refusal{
		{"5 uSv", CodeUnitKind, "a dose equivalent; a dose rate was expected"},
		{"5 mR/h", CodeUnitAmbiguous, "exposure"},
		{"5 uGy/h", CodeUnitAmbiguous, "certificate"},
		{"5 cps", CodeUnitAmbiguous, "count rate"},
		{"5 uSv/hr", CodeUnitAmbiguous, "write uSv/h"},
		{"5 rem/h", CodeUnitPrefix, "1e3 of mrem/h"},
		{"5 MSv/h", CodeUnitCase, "1e9 of mSv/h"},
	})
	refuses[AbsorbedDose](t, []refusal{{"50 cGy", CodeUnitPrefix, "1e-2 of Gy"}, {"50 mrad", CodeUnitPrefix, "1e-3 of rad"}, {"3 rads", CodeUnitAmbiguous, "rad"}})
	refuses[DoseEquivalent](t, []refusal{{"3 Gy", CodeUnitKind, "an absorbed dose"}, {"3 nSv", CodeUnitPrefix, "1e-3 of uSv"}})
	refuses[Contamination](t, []refusal{{"3 Bq", CodeUnitAmbiguous, "area is missing"}, {"3 dpm", CodeUnitAmbiguous, "area"}, {"3 MBq/cm2", CodeUnitPrefix, "1e6 of Bq/cm2"}, {"3 cpm/100cm2", CodeUnitAmbiguous, "count rate"}})
	refuses[Fraction](t, []refusal{
		{"0.02", CodeUnitMissing, "write 0.02 % or, if 0.02 is the ratio, 2 %"},
		{"0.02 1", CodeUnitUnknown, "2 %"},
		{"2 percent", CodeUnitAmbiguous, "write %"},
		{"2 ‰", CodeUnitAmbiguous, "a tenth"},
	})
	refuses[Temperature](t, []refusal{{"-274 C", CodeBelowZeroK, "-273.15"}, {"300 K", CodeUnitAmbiguous, "273.15"}, {"70 °F", CodeUnitAmbiguous, "Celsius"}, {"-5", CodeUnitMissing, "-5 C"}, {"-,5 C", CodeComma, "-0.5 C or -5 C"}})
	refuses[Length](t, []refusal{{"3 in", CodeUnitAmbiguous, "metric"}, {"32 microns", CodeUnitAmbiguous, "um"}, {"3 nm", CodeUnitPrefix, "1e-6 of mm"}})
}

// TestEveryWordIsRefused tries every entry of the list of colloquial units.
func TestEveryWordIsRefused(t *testing.T) {
	for _, w := range words {
		for _, word := range w.words {
			for _, text := range []string{"3 " + word, "3" + word} {
				_, _, err := read(w.kind, text)
				if err == nil || err.Code != CodeUnitAmbiguous || !strings.Contains(err.Hint, w.write) {
					t.Errorf("%q as %s: %v", text, classes[w.kind].name, err)
				}
			}
		}
	}
}

// TestHintsCanBeFollowed takes each reading that a hint of the form "write X
// or Y" offers and reads it.
func TestHintsCanBeFollowed(t *testing.T) {
	for _, text := range []string{
		".5 GBq", "05 GBq", "00.5 GBq", "5. GBq", "1,234 MBq", "1,234.5 MBq", "1.234,5 MBq",
		"1'234 MBq", "1_234 MBq", "1..5 MBq", "+3 GBq", "1, MBq", ",5 MBq", "000 MBq", "1.,5 GBq",
	} {
		_, _, err := read(activity, text)
		if err == nil {
			t.Errorf("%q is read", text)
			continue
		}
		for reading := range strings.SplitSeq(strings.TrimPrefix(err.Hint, "write "), " or ") {
			if _, again := ParseCanonical[Activity](reading); again != nil {
				t.Errorf("%q: the hint offers %q, which is refused: %v", text, reading, again)
			}
		}
	}
}

func TestErrorCutsLongInput(t *testing.T) {
	for _, first := range []string{"3", "33"} {
		_, err := Parse[Activity](first + strings.Repeat("µ", 1000))
		var e *Error
		if !errors.As(err, &e) || e.Input != first+strings.Repeat("µ", 31)+"..." {
			t.Errorf("Input = %q", e.Input)
		}
	}
}

// A record holds canonical text only, and an absent quantity is left out.
func TestStatedJSON(t *testing.T) {
	type entry struct {
		Gross      Stated[Activity]    `json:"gross"`
		Background Stated[Activity]    `json:"background,omitzero"`
		At         Stated[Temperature] `json:"at,omitzero"`
	}
	gross, err := ParseCanonical[Activity]("3.240 GBq")
	at, bad := ParseCanonical[Temperature]("-4.0 C")
	if err != nil || bad != nil || gross.Value != 3.24e9 || at.Value != -4 {
		t.Fatal(gross, err, at, bad)
	}
	const text = `{"gross":"3.240 GBq","at":"-4.0 C"}`
	if out, err := json.Marshal(entry{Gross: gross, At: at}); err != nil || string(out) != text {
		t.Errorf("wrote %s, %v; want %s", out, err, text)
	}
	for _, no := range []string{"3.24GBq", "3.24", "", "3.24 µCi", "3.24 gbq"} {
		if q, err := ParseCanonical[Activity](no); err == nil {
			t.Errorf("%q was read as %v", no, q)
		}
	}
}

func TestMarshalTextRefusals(t *testing.T) {
	for code, s := range map[string]Stated[Activity]{
		CodeAbsent:       {},
		CodeInconsistent: {Value: 3e9, Text: "3 MBq"},
		CodeUnitMissing:  {Value: 3, Text: "3"},
		CodeNotCanonical: {Value: 3e9, Text: "3GBq"},
	} {
		_, err := s.MarshalText()
		var e *Error
		if !errors.As(err, &e) || e.Code != code {
			t.Errorf("MarshalText of %+v: %v, want %s", s, err, code)
		}
	}
	s, err := Parse[Activity]("81mCi")
	if err != nil {
		t.Fatal(err)
	}
	if number, unit := s.Split(); number != "81" || unit != "mCi" || s.String() != "81 mCi" {
		t.Errorf("Split = %q, %q; String = %q", number, unit, s)
	}
}

func TestOf(t *testing.T) {
	for _, r := range []struct {
		value Activity
		unit  string
		want  string
	}{
		{1.342904e9, "GBq", "1.342904 GBq"},
		{1.342904e9, "MBq", "1342.904 MBq"},
		{2.997e9, "mCi", "81 mCi"},
		{3e9, "mCi", "81.08108108108108 mCi"},
		{0, "GBq", "0 GBq"},
		{1, "TBq", "1e-12 TBq"},
		{1e21, "Bq", "1e21 Bq"},
		{5e-324, "Bq", "5e-324 Bq"},
		{math.MaxFloat64, "Bq", "1.7976931348623157e308 Bq"},
	} {
		got, err := Of(r.value, r.unit)
		if err != nil || got.Text != r.want || got.Value != r.value {
			t.Errorf("Of(%v, %s) = %+v, %v; want %s", r.value, r.unit, got, err, r.want)
		}
	}
	if s, err := Of(Temperature(math.Copysign(0, -1)), "C"); err != nil || s.Text != "0 C" || math.Signbit(float64(s.Value)) {
		t.Errorf("Of(-0) = %+v, %v", s, err)
	}
	if s, err := Of(Temperature(-4.5), "C"); err != nil || s.Text != "-4.5 C" {
		t.Errorf("Of(-4.5) = %+v, %v", s, err)
	}
	_, e1 := Of(Activity(math.NaN()), "GBq")
	_, e2 := Of(Activity(math.Inf(1)), "GBq")
	_, e3 := Of(Activity(-1), "GBq")
	_, e4 := Of(Activity(1), "mL")
	_, e5 := Of(Activity(1), "parsec")
	_, e6 := Of(Temperature(-300), "C")
	_, e7 := Of(Activity(1), "")
	for i, code := range []string{CodeNotFinite, CodeNotFinite, CodeNegative, CodeUnitKind, CodeUnitUnknown, CodeBelowZeroK, CodeUnitMissing} {
		err := []error{e1, e2, e3, e4, e5, e6, e7}[i]
		var e *Error
		if !errors.As(err, &e) || e.Code != code {
			t.Errorf("refusal %d: %v, want %s", i, err, code)
		}
	}
}

// TestMeterRates: units as survey meters show them; none is turned into another family.
func TestMeterRates(t *testing.T) {
	for text, want := range map[string]struct {
		value, step MeterRate
		family      string
		canonical   string
	}{
		"218 uSv/h":   {218, 1, "uSv/h", "218 uSv/h"},
		"0.218 mSv/h": {218, 1, "uSv/h", "0.218 mSv/h"},
		"21.8 mrem/h": {218, 1, "uSv/h", "21.8 mrem/h"},
		"5.8 mR/h":    {5.8, 0.1, "mR/h", "5.8 mR/h"},
		"1.20 µGy/h":  {1.2, 0.01, "uGy/h", "1.20 uGy/h"},
		"600 cpm":     {10, 1.0 / 60, "cps", "600 cpm"},
		"410 cps":     {410, 1, "cps", "410 cps"},
	} {
		got, err := Parse[MeterRate](text)
		if err != nil || math.Abs(float64(got.Value/want.value-1)) > 1e-12 || math.Abs(float64(got.Step()/want.step-1)) > 1e-12 || Family(got) != want.family || got.Text != want.canonical {
			t.Errorf("%s: %+v, step %v, %s, %v; want %+v", text, got, got.Step(), Family(got), err, want)
		}
	}
	for _, text := range []string{"", "5.8", "5.8 mCi", "-1 uSv/h", "1,300 uSv/h"} {
		if r, err := Parse[MeterRate](text); err == nil {
			t.Errorf("%q is read as %+v", text, r)
		}
	}
}
