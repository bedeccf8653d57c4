package people

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"
)

func TestCheckPIN(t *testing.T) {
	for _, c := range []struct{ pin, code string }{
		{"12a", CodePINDigits}, // too short as well
		{"１２３４", CodePINDigits},
		{"1 34", CodePINDigits},
		{"12\n4", CodePINDigits},
		{"-123", CodePINDigits},
		{"", CodePINLength},
		{"111", CodePINLength},
		{"111111111", CodePINLength},
		{"1111", CodePINRepeats}, // a sequence and few digits too
		{"1212", CodePINRepeats},
		{"20202", CodePINRepeats},
		{"123123", CodePINRepeats},
		{"12312312", CodePINRepeats},
		{"1234", CodePINSequence},
		{"8901", CodePINSequence},
		{"3210", CodePINSequence},
		{"1098", CodePINSequence},
		{"2468", CodePINSequence},
		{"1470", CodePINSequence},
		{"13579", CodePINSequence},
		{"1112", CodePINFew},
		{"1999", CodePINFew}, // a year too
		{"1122", CodePINFew},
		{"55545554", CodePINRepeats},
		{"55545545", CodePINFew},
		{"1984", CodePINYear},
		{"2026", CodePINYear},
		{"2580", CodePINCommon},
		{"159753", CodePINCommon},
		{"7391", CodePINOwn},
		{"4173", CodePINOwn},
		{"1849", ""},
		{"19845", ""},
		{"83920174", ""},
	} {
		want(t, c.pin, CheckPIN(c.pin, "R-73914", "badge 904173"), c.code)
	}
}

// Every entry of the short list is reached, and stands in it once.
func TestCommonPINs(t *testing.T) {
	for i, pin := range commonPINs {
		want(t, pin, CheckPIN(pin), CodePINCommon)
		if slices.Contains(commonPINs[:i], pin) {
			t.Errorf("%s twice", pin)
		}
	}
}

// refused makes, one by one, the PINs of n digits that CheckPIN refuses for
// being repetitions or sequences, and those of the list and the calendar.
func refused(n int) map[string]bool {
	out := map[string]bool{}
	for unit := 1; unit <= n/2; unit++ {
		for i := range int(math.Pow10(unit)) {
			out[strings.Repeat(fmt.Sprintf("%0*d", unit, i), n)[:n]] = true
		}
	}
	for first := range byte(10) {
		for step := range byte(10) {
			s := make([]byte, n)
			for i := range s {
				s[i] = '0' + (first+byte(i)*step)%10
			}
			out[string(s)] = true
		}
	}
	for _, pin := range commonPINs {
		out[pin] = true
	}
	for year := 1900; year <= 2099 && n == 4; year++ {
		out[strconv.Itoa(year)] = true
	}
	return out
}

// All PINs of four and of six digits; the numbers in the comment of CheckPIN.
func TestCheckPINExhaustive(t *testing.T) {
	for _, c := range []struct{ digits, all, accepted int }{{4, 10_000, 9080}, {6, 1_000_000, 996_386}} {
		accepted, no := 0, refused(c.digits)
		for i := range c.all {
			pin := fmt.Sprintf("%0*d", c.digits, i)
			ok := CheckPIN(pin) == nil
			var has [10]int
			for _, d := range pin {
				has[d-'0'] = 1
			}
			few := has[0]+has[1]+has[2]+has[3]+has[4]+has[5]+has[6]+has[7]+has[8]+has[9] < 3
			if ok == (few || no[pin]) {
				t.Fatalf("%s: %v", pin, ok)
			}
			if ok {
				accepted++
			}
		}
		if accepted != c.accepted {
			t.Errorf("%d of %d PINs of %d digits are accepted, the comment says %d", accepted, c.all, c.digits, c.accepted)
		}
	}
}

func FuzzCheckPIN(f *testing.F) {
	for _, s := range []string{"", "1234", "1849", "83920174", "１２３４", "12 4", "\xff123"} {
		f.Add(s, "R-73914")
	}
	f.Fuzz(func(t *testing.T, pin, about string) {
		code := codeOf(t, CheckPIN(pin, about))
		digits := strings.Trim(pin, "0123456789") == "" && len(pin) >= 4 && len(pin) <= 8
		if code == "" && (!digits || strings.Contains(about, pin)) {
			t.Fatalf("%q is accepted beside %q", pin, about)
		}
		if digits != (code != CodePINDigits && code != CodePINLength) {
			t.Fatalf("%q: %q", pin, code)
		}
	})
}
