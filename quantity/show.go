package quantity

import (
	"bytes"
	"math"
	"strconv"
)

// ShowSpan prints a length of time in its two largest units, rounded to the
// smaller one: "34 d 14 h", "2 h 20 min", "12 min 30 s"; below a minute, in
// seconds to three digits. A part that is 0 is left out.
func ShowSpan(s Span) string {
	a, sign := math.Abs(float64(s)), ""
	if s < 0 {
		sign = "-"
	}
	// Each bound is where rounding reaches the next larger pair of units.
	switch {
	case a < 59.95 || !(a < 1e15):
		return FormatDigits(s, 3, "s")
	case math.Round(a) < 3600:
		return sign + two(uint64(math.Round(a)), 60, " min", " s")
	case math.Round(a/60) < 1440:
		return sign + two(uint64(math.Round(a/60)), 60, " h", " min")
	}
	return sign + two(uint64(math.Round(a/3600)), 24, " d", " h")
}

// two writes n small units as large ones of size per, and the rest.
func two(n, per uint64, large, small string) string {
	s := ""
	if n/per > 0 {
		s = strconv.FormatUint(n/per, 10) + large
	}
	if n%per > 0 && s != "" {
		s += " "
	}
	if n%per > 0 {
		s += strconv.FormatUint(n%per, 10) + small
	}
	return s
}

// ShowGraduated prints a volume as it is set on a syringe with that graduation
// (0.1 mL, 0.2 mL ...): in mL, rounded to the nearest mark, half to an even
// number of marks, and without zeros at the end, since 1.0 has been taken for
// 10 (ISMP, List of Error-Prone Abbreviations: trailing zero). Without a
// usable graduation (not positive, not finite, or more than 1e9 marks) it
// prints four significant digits.
func ShowGraduated(v, graduation Volume) string {
	marks := math.RoundToEven(math.Abs(float64(v)) / float64(graduation))
	if !(graduation > 0) || !(marks <= 1e9) {
		return FormatDigits(v, plainDigits, "mL")
	}
	digits, exp := split(strconv.AppendFloat(nil, float64(graduation), 'e', -1, 64))
	step, err := strconv.ParseUint(string(digits), 10, 64)
	if err != nil || step > 1e9 { // a graduation such as 1/3 has no short decimal
		return FormatDigits(v, plainDigits, "mL")
	}
	r := rounded{place: exp - len(digits) + 1}
	if marks > 0 {
		r.neg = v < 0
		r.digits = bytes.TrimLeft(strconv.AppendUint(nil, uint64(marks)*step, 10), "0")
	}
	return r.text(true) + " mL"
}
