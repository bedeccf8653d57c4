package quantity

import (
	"math"
	"strconv"
	"strings"
)

// plainDigits is the number of significant digits where no uncertainty is
// given and the caller asks for no number of its own.
const plainDigits = 4

// Figure is a quantity ready for a page: the value, its uncertainty (empty if
// none was given) and the unit as people read it.
type Figure struct {
	Value, U, Unit string
}

// String gives "1.348 ± 0.040 GBq", or "1.348 GBq" without an uncertainty.
func (f Figure) String() string {
	if f.U == "" {
		return f.Value + " " + f.Unit
	}
	return f.Value + " ± " + f.U + " " + f.Unit
}

// Round gives value and its uncertainty u in a canonical unit of Q: u rounded
// to two significant digits and value to the same place (JCGM 100:2008,
// 7.2.6). u = 0 means that no uncertainty is known: value then has four
// significant digits at most, and no zeros at the end of a decimal fraction.
// A value that is not finite is printed as NaN or Inf; a u that is negative or
// not finite as NaN. The unit is a constant of the program or one of [Units];
// any other panics.
func Round[Q Kind](value, u Q, unit string) Figure {
	return figure(float64(value), float64(u), must(kindOf[Q](), unit))
}

// Format is the text of [Round].
func Format[Q Kind](value, u Q, unit string) string {
	return Round(value, u, unit).String()
}

// FormatDigits prints a value without uncertainty to n >= 1 significant
// digits, without zeros at the end of a decimal fraction; to more of them, but at most 9, as
// it takes to read as above, at or below each limit as it is: 37.004 GBq and a limit of 37 GBq
// take five. It panics on a unit that is not one of [Units], and on n < 1.
func FormatDigits[Q Kind](value Q, n int, unit string, limits ...Q) string {
	if n < 1 {
		panic("quantity: " + strconv.Itoa(n) + " significant digits")
	}
	un := must(kindOf[Q](), unit)
	text := toDigits(nil, float64(value), un, n).text(true)
	for _, l := range limits {
		for side(Q(printed(kindOf[Q](), text, un.print())), l) != side(value, l) && n < 9 {
			n++
			text = toDigits(nil, float64(value), un, n).text(true)
		}
	}
	return text + " " + un.print()
}

// Show is [Round] in the unit that suits the size: MBq from 1 MBq to below
// 1 GBq, and so on. Volumes stay in mL, absorbed doses in Gy, fractions in %.
// Below 0.0005 of the smallest unit that suits, a value is printed as 0.
func Show[Q Kind](value, u Q) Figure {
	k := kindOf[Q]()
	return suit(k, classes[k].scale, float64(value), float64(u))
}

// ShowU is [Show] of an uncertainty alone: one that is too small to be printed is told as
// below what can be, such as "below 0.0005 Bq", and never as 0.
func ShowU[Q Kind](u Q) string {
	k := kindOf[Q]()
	if f := suit(k, classes[k].scale, float64(u), 0); u == 0 || f.Value != "0" {
		return f.String()
	}
	return "below " + strconv.FormatFloat(least, 'f', -1, 64) + " " + must(k, classes[k].scale[0]).print()
}

// Pair is [Show] with the older unit beside it, the zero Figure where there is
// none, or where it would be below a thousandth of its smallest: 1 Bq needs no
// microcurie. The second figure is worked out from the first as it is printed, so that
// anyone who converts one finds the other: each unit's uncertainty has two
// significant digits of its own.
func Pair[Q Kind](value, u Q) (f, older Figure) {
	k := kindOf[Q]()
	f = suit(k, classes[k].scale, float64(value), float64(u))
	if old := classes[k].old; old != nil {
		x, ux := printed(k, f.Value, f.Unit), printed(k, f.U, f.Unit)
		if size := math.Hypot(x, ux); !(size > 0 && size < 1e-3*must(k, old[0]).size()) {
			older = suit(k, old, x, ux)
		}
	}
	return f, older
}

// Both is the text of [Pair]: "1.348 ± 0.040 GBq (36.4 ± 1.1 mCi)". What has decayed to
// less than a becquerel is told as that.
func Both[Q Kind](value, u Q) string {
	f, older := Pair(value, u)
	if f.Unit == "Bq" && value > 0 && value < 1 && u < 1 && f.Value != "0" {
		return "below 1 Bq"
	}
	if older == (Figure{}) {
		return f.String()
	}
	return f.String() + " (" + older.String() + ")"
}

// AtMost prints the most that is allowed as [Both] does, each figure rounded down to four
// digits: who keeps to what is printed is within.
func AtMost[Q Kind](value Q) string {
	f, older := Pair(value, 0)
	down := func(x float64, in string) string {
		return toDigitsBelow(x, shownUnit(kindOf[Q](), in), plainDigits).text(true)
	}
	first := down(float64(value), f.Unit)
	if older == (Figure{}) {
		return first + " " + f.Unit
	}
	return first + " " + f.Unit + " (" + down(printed(kindOf[Q](), first, f.Unit), older.Unit) + " " + older.Unit + ")"
}

// BothDigits prints a value to n significant digits in a unit, and the figure
// so printed to n digits in another: 1.3225 GBq is "1.32 GBq" and "35.7 mCi",
// and not the 35.74 mCi of the value before it was rounded. It panics as
// [FormatDigits] does.
func BothDigits[Q Kind](value Q, n int, unit, other string) (first, second string) {
	k := kindOf[Q]()
	first = FormatDigits(value, n, unit)
	number, _, _ := strings.Cut(first, " ")
	return first, FormatDigits(Q(printed(k, number, must(k, unit).print())), n, other)
}

// printed is the value of a number as it was printed in a unit; 0 for no
// number.
func printed(k kind, number, in string) float64 {
	x, _ := strconv.ParseFloat(number, 64)
	return x * shownUnit(k, in).size()
}

// must finds a unit that the program names.
func must(k kind, symbol string) *unit {
	u := find(k, symbol)
	if u == nil {
		panic("quantity: " + symbol + " is no unit of " + classes[k].name)
	}
	return u
}

// figure does Round.
func figure(value, u float64, un *unit) Figure {
	f := Figure{Unit: un.print()}
	var buf [32]byte
	switch {
	case u == 0:
		f.Value = toDigits(buf[:], value, un, plainDigits).text(true)
	case !(u > 0) || math.IsInf(u, 0):
		f.Value, f.U = toDigits(buf[:], value, un, plainDigits).text(true), "NaN"
	default:
		// JCGM 100:2008, 7.2.6: u to two significant digits, the estimate to
		// be consistent with it.
		r := toDigits(buf[:], u, un, 2)
		f.U = r.text(false)
		f.Value = toPlace(buf[:], value, un, r.place).text(false)
	}
	return f
}

// What people read has three or four digits. A value or an uncertainty below
// a two-thousandth of the smallest unit is the rounding of a computation and is
// printed as 0; so is an uncertainty below a millionth of its value, which
// would call for that many digits.
const (
	least     = 0.5e-3
	leastOfIt = 1e-6
)

// Coverage is the factor of the 95 % interval of a normal distribution (JCGM
// 100:2008, G.1.3 and table G.1), which [Interval] takes, and Meaning what ±
// means wherever this package prints it.
const (
	Coverage = 1.959964
	Meaning  = "The number after ± is one standard uncertainty (k = 1); the 95 % interval is 1.96 of it to either side."
)

// Interval is the 95 % interval of a value with standard uncertainty u, in the
// unit and to the place of [Show]: "1.270 to 1.426 GBq". An activity below
// nothing is not believed, so the interval of a value of 0 or more begins at 0
// at the least. Without an uncertainty it is empty.
func Interval[Q Kind](value, u Q) string {
	k := kindOf[Q]()
	f := suit(k, classes[k].scale, float64(value), float64(u))
	if f.U == "" || !(u > 0) {
		return ""
	}
	un := shownUnit(k, f.Unit)
	var buf [32]byte
	place := toDigits(buf[:], float64(u), un, 2).place
	low, high := float64(value)-Coverage*float64(u), float64(value)+Coverage*float64(u)
	if value >= 0 && k != temperature {
		low = max(low, 0)
	}
	first := toPlace(buf[:], low, un, place).text(false)
	return first + " to " + toPlace(buf[:], high, un, place).text(false) + " " + f.Unit
}

// shownUnit finds a unit by what is printed of it.
func shownUnit(k kind, shown string) *unit {
	for i := range classes[k].units {
		if un := &classes[k].units[i]; un.print() == shown {
			return un
		}
	}
	panic("quantity: " + shown + " is not printed for " + classes[k].name)
}

// suit prints in the largest unit of the list in which the larger of value
// and u, as printed, is 1 or more; in the smallest if there is none. What is
// too small to be read in any unit is 0 in each: 1 Bq is not 0 microcurie.
func suit(k kind, list []string, value, u float64) Figure {
	smallest := must(k, classes[k].scale[0])
	tiny := least * smallest.size()
	if math.Abs(value) < tiny {
		value = 0
	}
	if u > 0 && (u < tiny || u < leastOfIt*math.Abs(value)) {
		u = 0
	}
	size := math.Max(math.Abs(value), math.Abs(u))
	at := 0
	for at+1 < len(list) {
		un := must(k, list[at+1])
		x, shift := scaled(size, un)
		// Within a thousandth below 1 the rounded figure decides.
		if !(x*math.Pow10(shift) >= 0.999) {
			break
		}
		at++
	}
	f := figure(value, u, must(k, list[at]))
	if at > 0 && belowOne(f.Value) && belowOne(f.U) {
		f = figure(value, u, must(k, list[at-1]))
	}
	return f
}

// belowOne tells that a printed number is below 1.
func belowOne(s string) bool {
	return s == "" || s[0] == '0' || (len(s) > 1 && s[:2] == "-0")
}
