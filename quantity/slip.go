package quantity

import (
	"slices"
	"strings"
)

// Slipped gives what a text becomes if one slip of writing is taken back, the
// likelier first: the same number in another unit that is written for such an
// amount, then the decimal point one, two or three places away; each amount
// once. "81 GBq" was
// perhaps 81 mCi or 81 MBq, or 8.1 GBq. Every digit stays as it was typed; a number with
// an exponent keeps its point.
func Slipped[Q Kind](said Stated[Q]) (out []Stated[Q]) {
	number, unit := said.Split()
	add := func(text string) {
		s, err := Parse[Q](text)
		known := slices.ContainsFunc(out, func(o Stated[Q]) bool { return o.Value == s.Value })
		if err == nil && s.Value != said.Value && !known {
			out = append(out, s)
		}
	}
	for _, u := range classes[kindOf[Q]()].usual {
		if u != unit {
			add(number + " " + u)
		}
	}
	if strings.Contains(number, "e") {
		return out
	}
	for _, places := range []int{-1, 1, -2, 2, -3, 3} {
		add(MovePoint(number, places) + " " + unit)
	}
	return out
}

// MovePoint writes a number with its point moved to the right, or to the left
// for less than 0, with every digit and no zero in front that says nothing.
func MovePoint(number string, places int) string {
	whole, frac, _ := strings.Cut(number, ".")
	digits, at := whole+frac, len(whole)+places
	for at < 1 {
		digits, at = "0"+digits, at+1
	}
	for len(digits) < at {
		digits += "0"
	}
	return TidyDigits(digits[:at] + "." + digits[at:])
}
