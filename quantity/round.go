package quantity

import (
	"bytes"
	"cmp"
	"math"
	"strconv"
	"strings"
)

// rounded is a number rounded to a decimal place: digits·10^place, digits
// empty for 0. It keeps the sign apart so that nothing is printed as -0.
type rounded struct {
	neg    bool
	digits []byte
	place  int
	odd    string // NaN or Inf, printed as it is
}

// scaled is a value in a unit without the power of ten: the value in u is
// x·10^shift. One rounding at most goes into x.
func scaled(value float64, u *unit) (x float64, shift int) {
	return math.Abs(value) * float64(u.den) / float64(u.num), -u.exp
}

// odd names what is no finite number.
func odd(x float64) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return strconv.FormatFloat(x, 'f', -1, 64)
	}
	return ""
}

// toDigits gives value in u rounded to n significant digits, half to even
// (ISO 80000-1:2022 annex B, rule A; from memory, not seen). The digits may lie
// in buf.
func toDigits(buf []byte, value float64, u *unit, n int) rounded {
	if o := odd(value); o != "" || value == 0 {
		return rounded{odd: o}
	}
	x, shift := scaled(value, u)
	digits, exp := split(strconv.AppendFloat(buf[:0], x, 'e', n-1, 64))
	return rounded{neg: value < 0, digits: digits, place: exp + shift - (n - 1)}
}

// toDigitsBelow is [toDigits] rounded down, once what decimals in binary may take is given back.
func toDigitsBelow(value float64, u *unit, n int) rounded {
	r := toDigits(nil, value, u, 10)
	if more := len(r.digits) - n; more > 0 {
		r.digits, r.place = r.digits[:n], r.place+more
	}
	return r
}

// toPlace gives value in u rounded to a multiple of 10^place, half to even. The
// digits may lie in buf.
func toPlace(buf []byte, value float64, u *unit, place int) rounded {
	if o := odd(value); o != "" || value == 0 {
		return rounded{odd: o, place: place}
	}
	x, shift := scaled(value, u)
	at := place - shift // the place in x
	first, exp := split(strconv.AppendFloat(buf[:0], x, 'e', -1, 64))
	switch n := exp - at + 1; {
	case n > 0:
		digits, e := split(strconv.AppendFloat(buf[:0], x, 'e', n-1, 64))
		if e < exp && n > 1 { // the shortest form had been rounded up to a power of ten
			digits, e = split(strconv.AppendFloat(buf[:0], x, 'e', n-2, 64))
		}
		if e-len(digits)+1 > at { // carried: 9.96 to 10.0 has one digit more at the same place
			digits = append(digits, '0')
		}
		return rounded{neg: value < 0, digits: digits, place: place}
	case n == 0 && string(first) > "5": // more than half of 10^place
		return rounded{neg: value < 0, digits: []byte("1"), place: place}
	}
	return rounded{place: place}
}

// split takes "d.ddde±xx" apart in place: the digits without the point, and
// the exponent.
func split(e []byte) (digits []byte, exp int) {
	at := bytes.IndexByte(e, 'e')
	exp, _ = strconv.Atoi(string(e[at+1:]))
	if at > 1 { // move the first digit over the point
		e[1] = e[0]
		return e[1:at], exp
	}
	return e[:1], exp
}

// appendDecimal writes digits·10^place, always with a digit before the point
// and without an exponent.
func appendDecimal(b, digits []byte, place int) []byte {
	if len(digits) == 0 {
		place = min(place, 0)
	}
	whole := len(digits) + place // digits before the point
	if whole <= 0 {
		b = append(b, '0')
	}
	for i := range max(whole, 0) {
		if i < len(digits) {
			b = append(b, digits[i])
		} else {
			b = append(b, '0')
		}
	}
	if place >= 0 {
		return b
	}
	b = append(b, '.')
	for range max(-whole, 0) {
		b = append(b, '0')
	}
	return append(b, digits[max(whole, 0):]...)
}

// text writes the number. trim drops zeros that end a decimal fraction.
func (r rounded) text(trim bool) string {
	if r.odd != "" {
		return r.odd
	}
	if len(r.digits) == 0 && trim {
		return "0"
	}
	var buf [48]byte
	b := buf[:0]
	if r.neg {
		b = append(b, '-')
	}
	b = appendDecimal(b, r.digits, r.place)
	if trim && r.place < 0 {
		b = bytes.TrimRight(bytes.TrimRight(b, "0"), ".")
	}
	return string(b)
}

// rounding is the share of a limit that decimals in binary may take: 4.4 less 1.9 is a little
// more than 2.5 there, and 5.25/5 - 1 than 0.05.
const rounding = 1e-9

// Within tells whether a value is at most a limit, but for that rounding. It is false for no number.
func Within[Q Kind](value, limit Q) bool { return float64(value) <= float64(limit)*(1+rounding) }

// Beyond tells whether a value is more than a limit, but for that rounding. It is false for no number.
func Beyond[Q Kind](value, limit Q) bool { return float64(value) > float64(limit)*(1+rounding) }

// side is 1 for a value that is more than a limit, -1 for one that is less, but for that rounding.
func side[Q Kind](value, limit Q) int {
	switch {
	case Beyond(value, limit):
		return 1
	case Beyond(limit, value):
		return -1
	}
	return 0
}

// Reaches tells whether a value is at least a level, but for that rounding. It is false for no number.
func Reaches[Q Kind](value, level Q) bool { return float64(value) >= float64(level)*(1-rounding) }

// Signed writes a share in percent with its sign and [Decimals]; what rounds to nothing has no
// sign.
func Signed(x Fraction, least int, limits ...Fraction) string {
	text := strconv.FormatFloat(100*math.Abs(float64(x)), 'f', Decimals(float64(x), least, limits...), 64) + " %"
	switch {
	case strings.Trim(text, "0. %") == "":
		return text
	case x < 0:
		return "-" + text
	}
	return "+" + text
}

// Decimals are those, no fewer than the least and at most six, with which a share in
// percent reads as above, at or below each limit as it is: 10.004 % and a limit of 10 %
// take three.
func Decimals(x float64, least int, limits ...Fraction) int {
	side := func(l Fraction, digits int) int {
		scale := 100 * math.Pow10(digits)
		return cmp.Compare(math.Round(math.Abs(x)*scale), math.Round(float64(l)*scale))
	}
	for _, l := range limits {
		for least < 6 && side(l, least) != side(l, 7) {
			least++
		}
	}
	return least
}
