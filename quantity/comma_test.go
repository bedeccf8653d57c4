package quantity

import (
	"errors"
	"slices"
	"strings"
	"testing"
)

// TestDecimalComma: a comma is a decimal comma wherever it cannot part
// thousands; the record holds the point. Where it may do either, the refusal
// gives both readings, and each of them can be read.
func TestDecimalComma(t *testing.T) {
	for text, want := range map[string]string{
		"1,3 GBq": "1.3 GBq", "1,30GBq": "1.30 GBq", "0,125 GBq": "0.125 GBq", "0,5 mCi": "0.5 mCi", "0,000125 GBq": "0.000125 GBq",
		"1,3000 GBq": "1.3000 GBq", "12,5e3 Bq": "12.5e3 Bq", " 27,03 mCi ": "27.03 mCi", "0,300 GBq": "0.300 GBq",
	} {
		got, err := Parse[Activity](text)
		if err != nil || got.Text != want {
			t.Errorf("Parse(%q) = %v, %v; want %s", text, got, err, want)
		}
		if same, err := Parse[Activity](DecimalComma(text)); err != nil || same != got {
			t.Errorf("DecimalComma(%q) = %q, read as %v, %v", text, DecimalComma(text), same, err)
		}
		var e *Error
		if _, err := ParseCanonical[Activity](text); !errors.As(err, &e) || e.Code != CodeNotCanonical {
			t.Errorf("a record may hold %q: %v", text, err)
		}
	}
	if got, err := Parse[Temperature]("-3,5 C"); err != nil || got.Value != -3.5 {
		t.Errorf("-3,5 C is read as %v, %v", got, err)
	}
	for text, want := range map[string][]string{
		"1,300 GBq": {"1.300 GBq", "1300 GBq"}, "12,345 MBq": {"12.345 MBq", "12345 MBq"}, "1,3,5 MBq": nil, "1.300,5 MBq": nil, "1,300.5 MBq": nil,
	} {
		_, err := Parse[Activity](text)
		var e *Error
		if !errors.As(err, &e) || e.Code != CodeComma || !slices.Equal(Readings(text), want) || DecimalComma(text) != text {
			t.Errorf("Parse(%q): %v with the readings %v; want %v", text, err, Readings(text), want)
		}
	}
}

// FuzzComma: a comma changes no number into another one. What is read with it
// is what is read with a point, no thousands mark is taken for one, and where both are possible nothing is
// read.
func FuzzComma(f *testing.F) {
	for _, s := range []string{"1,3 GBq", "1,300 GBq", "0,300 GBq", "1,3000 GBq", "1,300.5 MBq", "1.300,5 MBq", "00,5 MBq", ",5 MBq", "1,e3 Bq", "1,3,5 MBq", "-1,3 MBq"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		got, err := Parse[Activity](text)
		number, _, _ := strings.Cut(text, "B")
		if !strings.Contains(number, ",") || len(text) > maxText {
			return
		}
		if err == nil {
			same, err := Parse[Activity](strings.Replace(text, ",", ".", 1))
			if err != nil || same != got {
				t.Fatalf("%q is read as %v, and with a point as %v, %v", text, got, same, err)
			}
			whole, rest, _ := strings.Cut(strings.TrimSpace(text), ",")
			digits := len(rest) - len(strings.TrimLeft(rest, "0123456789"))
			if digits == 3 && strings.Trim(whole, "0") != "" {
				t.Fatalf("%q may be two numbers, and is read as %v", text, got)
			}
			return
		}
		if r := Readings(text); r != nil && err.(*Error).Code == CodeComma && err.(*Error).Hint != "write "+strings.Join(r, " or ") {
			t.Fatalf("%q: the readings %q, and the hint %q", text, r, err.(*Error).Hint)
		}
	})
}
