package quantity

import (
	"math"
	"math/big"
	"math/bits"
	"strconv"
	"strings"
)

// number is a decimal as written: mant·10^exp when fits, and always the text.
type number struct {
	text string // sign, digits, point and exponent as typed
	mant uint64 // the digits without sign and point, if they fit
	fits bool   // mant is exact
	exp  int    // decimal exponent of the last digit
	neg  bool
	tidy bool // the exponent, if any, is already written canonically
}

// Exponents are cut here: with at most 64 bytes of text nothing beyond it can
// be a finite, nonzero float64, and exact arithmetic stays small.
const maxExp = 1000

// scan reads a number at the start of s. ok is false unless s begins with a
// number in the grammar of the package comment; what follows is not looked at,
// except that it must not continue the number.
func scan(s string) (n number, ok bool) {
	i := 0
	if i < len(s) && s[i] == '-' {
		n.neg, i = true, 1
	}
	n.fits, n.tidy = true, true
	start := i
	i = n.digits(s, i)
	if i == start || (i > start+1 && s[start] == '0') {
		return n, false
	}
	if i < len(s) && s[i] == '.' {
		point := i + 1
		i = n.digits(s, point)
		if i == point {
			return n, false
		}
		n.exp = point - i
	}
	if i < len(s) && (s[i] == 'e' || s[i] == 'E') {
		if i, ok = n.exponent(s, i); !ok {
			return n, false
		}
	}
	if i < len(s) && strings.IndexByte(".,_'", s[i]) >= 0 {
		return n, false
	}
	n.text = s[:i]
	return n, true
}

// digits reads decimal digits of s from i on into mant, as far as they fit,
// and gives where they end.
func (n *number) digits(s string, i int) int {
	for ; i < len(s) && '0' <= s[i] && s[i] <= '9'; i++ {
		if n.mant > (math.MaxUint64-9)/10 {
			n.fits = false
			continue
		}
		n.mant = n.mant*10 + uint64(s[i]-'0')
	}
	return i
}

// exponent reads the e at s[i] and what follows. A written exponent is tidy
// when it is "e", an optional "-", and digits without leading zeros, not -0.
func (n *number) exponent(s string, i int) (end int, ok bool) {
	n.tidy = s[i] == 'e'
	i++
	minus := false
	if i < len(s) && (s[i] == '+' || s[i] == '-') {
		minus = s[i] == '-'
		n.tidy = n.tidy && minus
		i++
	}
	first, e := i, 0
	for ; i < len(s) && '0' <= s[i] && s[i] <= '9'; i++ {
		e = min(10*e+int(s[i]-'0'), maxExp)
	}
	if i == first {
		return i, false
	}
	if s[first] == '0' && (i > first+1 || minus) {
		n.tidy = false
	}
	if minus {
		e = -e
	}
	n.exp += e
	return i, true
}

// canonical is the text with its exponent tidied.
func (n *number) canonical() string {
	if n.tidy {
		return n.text
	}
	at := strings.IndexAny(n.text, "eE")
	exp := strings.TrimPrefix(n.text[at+1:], "+")
	minus := strings.HasPrefix(exp, "-")
	exp = strings.TrimLeft(strings.TrimPrefix(exp, "-"), "0")
	switch {
	case exp == "":
		exp = "0"
	case minus:
		exp = "-" + exp
	}
	return n.text[:at] + "e" + exp
}

// Powers of ten that a float64 holds exactly: 10^22 < 2^53·2^22 (5^22 < 2^53).
var pow10 = [...]float64{
	1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11,
	1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
}

// in gives the number in u as a value in base units: mant·num/den·10^(exp of
// both), rounded once. It may be infinite, or zero for a number that is not.
func (n *number) in(u *unit) float64 {
	f, ok := n.fast(u)
	if !ok {
		f = n.exact(u)
	}
	if n.neg && f != 0 {
		f = -f
	}
	return f
}

// fast does the scaling with a single floating-point operation whose operands
// are exact, so that the result is correctly rounded (Clinger, How to read
// floating point numbers accurately, PLDI 1990).
func (n *number) fast(u *unit) (float64, bool) {
	hi, m := bits.Mul64(n.mant, u.num)
	if !n.fits || hi != 0 {
		return 0, false
	}
	e := n.exp + u.exp
	if m >= 1<<53 {
		if u.den != 1 {
			return 0, false
		}
		return decimal(m, e), true
	}
	f, den := float64(m), float64(u.den)
	switch {
	case u.den == 1 && 0 <= e && e <= 22:
		return f * pow10[e], true
	case e < 0 && -e <= 22 && u.den == 1:
		return f / pow10[-e], true
	case e < 0 && -e <= 20: // den < 10, and 10^20·9 = 5^20·(2^20·9) is exact
		return f / (den * pow10[-e]), true
	case u.den == 1:
		return decimal(m, e), true
	}
	return 0, false
}

// decimal gives m·10^e by the standard library's correctly rounded reader.
func decimal(m uint64, e int) float64 {
	var buf [32]byte
	b := append(strconv.AppendUint(buf[:0], m, 10), 'e')
	b = strconv.AppendInt(b, int64(e), 10)
	f, _ := strconv.ParseFloat(string(b), 64) // the only error is range: f is then ±Inf
	return f
}

// exact does the scaling with rational numbers.
func (n *number) exact(u *unit) float64 {
	digits := strings.TrimPrefix(n.text, "-")
	if at := strings.IndexAny(digits, "eE"); at >= 0 {
		digits = digits[:at]
	}
	m, _ := new(big.Int).SetString(strings.Replace(digits, ".", "", 1), 10)
	m.Mul(m, new(big.Int).SetUint64(u.num))
	d := new(big.Int).SetUint64(u.den)
	if e := n.exp + u.exp; e >= 0 {
		m.Mul(m, tenTo(e))
	} else {
		d.Mul(d, tenTo(-e))
	}
	f, _ := new(big.Rat).SetFrac(m, d).Float64()
	return f
}

// tenTo is 10^e for e >= 0.
func tenTo(e int) *big.Int {
	return new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(e)), nil)
}

// isZero tells whether every digit of the number is 0.
func (n *number) isZero() bool {
	return n.fits && n.mant == 0
}
