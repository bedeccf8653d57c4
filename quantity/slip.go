package quantity

import (
	"math"
	"slices"
	"strings"
)

// slips are the factors measured/expected that a known slip leaves behind.
// A number n in mCi is n·37 MBq or n·0.037 GBq, so that
//
//	n MBq  taken as n mCi  is 37 times too much
//	n mCi  taken as n MBq  is 37 times too little
//	n mCi  taken as n GBq  is 1/0.037 = 27.027 times too much
//	n GBq  taken as n mCi  is 27.027 times too little
//
// 37 and 27.027 differ by a factor of 1.369.
var slips = []struct {
	factor float64
	text   string
}{
	{1, ""},
	{37, "37 times too much: a number in MBq may have been taken as mCi"},
	{1.0 / 37, "37 times too little: a number in mCi may have been taken as MBq"},
	{1 / 0.037, "27.03 times too much: a number in mCi may have been taken as GBq"},
	{0.037, "27.03 times too little: a number in GBq may have been taken as mCi"},
	{10, "10 times too much: the decimal point may have slipped"},
	{0.1, "10 times too little: the decimal point may have slipped"},
	{100, "100 times too much: the decimal point may have slipped two places"},
	{0.01, "100 times too little: the decimal point may have slipped two places"},
	{1000, "1000 times too much: the unit may be one prefix too large (GBq for MBq)"},
	{0.001, "1000 times too little: the unit may be one prefix too small (MBq for GBq)"},
}

// LikelySlip names the slip that a ratio measured/expected looks like: a
// curie taken for a becquerel or the other way round, a decimal point, a
// prefix. It is empty if the ratio is nearest to 1, or if no known factor c has
//
//	|ln(ratio/c)| <= ln(1 + tolerance)
//
// The nearest factor in that sense is named. Both arguments are pure ratios;
// tolerance is the greatest relative deviation that the uncertainties explain,
// and with more than 0.17 neighbouring factors overlap (1.369 = 1.17²).
func LikelySlip(ratio, tolerance Fraction) string {
	best, text := math.Inf(1), ""
	for _, s := range slips {
		if off := math.Abs(math.Log(float64(ratio) / s.factor)); off < best {
			best, text = off, s.text
		}
	}
	if !(best <= math.Log1p(float64(tolerance))) {
		return ""
	}
	return text
}

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
		add(movePoint(number, places) + " " + unit)
	}
	return out
}

// movePoint writes a number with its point moved to the right, or to the left
// for less than 0, with every digit and no zero in front that says nothing.
func movePoint(number string, places int) string {
	whole, frac, _ := strings.Cut(number, ".")
	digits, at := whole+frac, len(whole)+places
	for at < 1 {
		digits, at = "0"+digits, at+1
	}
	for len(digits) < at {
		digits += "0"
	}
	if whole = strings.TrimLeft(digits[:at], "0"); whole == "" {
		whole = "0"
	}
	if at == len(digits) {
		return whole
	}
	return whole + "." + digits[at:]
}
