package quantity

import (
	"math"
	"math/big"
	"strconv"
	"strings"
)

// maxText is the longest text read, in bytes; a number and a unit need far less.
const maxText = 64

// absoluteZero in °C, the lower end of the temperatures (ITS-90: 0 K = -273.15 °C).
const absoluteZero = -273.15

// Stated is a quantity as it was written: the value in base units and the
// canonical text with the digits as typed, trailing zeros included. The zero
// Stated is an absent quantity. One with content comes from [Parse],
// [ParseCanonical] or [Of]; the two fields then agree.
type Stated[Q Kind] struct {
	Value Q      // in the base unit of Q; finite, and not negative unless a Temperature
	Text  string // canonical, such as "1.30 GBq"
}

// IsZero tells whether the quantity is absent (also for the omitzero option of
// encoding/json). A stated value of 0 is not absent.
func (s Stated[Q]) IsZero() bool { return s.Text == "" }

// String gives the canonical text, empty for an absent quantity.
func (s Stated[Q]) String() string { return s.Text }

// Split gives the number and the canonical unit of the text, as an exchange
// format with a separate unit needs them; both are empty for an absent
// quantity.
func (s Stated[Q]) Split() (number, unit string) {
	number, unit, _ = strings.Cut(s.Text, " ")
	return number, unit
}

// Step is the step of the last digit as it is written: 0.01 GBq of 1.85 GBq, 1 uSv/h of
// 182 uSv/h; 0 for an absent quantity.
func (s Stated[Q]) Step() Q {
	number, unit := s.Split()
	mantissa, exponent, _ := strings.Cut(number, "e")
	exp, _ := strconv.Atoi(exponent) // canonical text has a small one, or none
	if _, decimals, ok := strings.Cut(mantissa, "."); ok {
		exp -= len(decimals)
	}
	one, _ := Parse[Q]("1e" + strconv.Itoa(exp) + " " + unit)
	return one.Value
}

// MarshalText gives the canonical text. It fails with CodeAbsent for an absent
// quantity (leave the field out) and with CodeInconsistent or the code of a
// parse if Text does not say what Value holds.
func (s Stated[Q]) MarshalText() ([]byte, error) {
	if s.IsZero() {
		return nil, refuse(CodeAbsent, "", "there is no quantity to write", "leave the field out")
	}
	back, err := ParseCanonical[Q](s.Text)
	if err != nil {
		return nil, err
	}
	if back.Value != s.Value {
		return nil, refuse(CodeInconsistent, s.Text,
			"the text and the value "+strconv.FormatFloat(float64(s.Value), 'g', -1, 64)+" in base units disagree",
			"make it with Parse or Of")
	}
	return []byte(s.Text), nil
}

// Parse reads a quantity as a person writes it. The grammar, and what is
// forgiven, are in the package comment; every refusal is an [*Error].
func Parse[Q Kind](text string) (Stated[Q], error) {
	f, canonical, err := read(kindOf[Q](), text)
	if err != nil {
		return Stated[Q]{}, err
	}
	return Stated[Q]{Value: Q(f), Text: canonical}, nil
}

// ParseCanonical reads text that is canonical to the byte, as a record holds
// it. Text that only [Parse] would read is refused with CodeNotCanonical, and
// the hint gives the canonical writing.
func ParseCanonical[Q Kind](text string) (Stated[Q], error) {
	f, canonical, err := read(kindOf[Q](), text)
	if err != nil {
		return Stated[Q]{}, err
	}
	if canonical != text {
		return Stated[Q]{}, refuse(CodeNotCanonical, text, "it is not written as a record writes it",
			"write "+canonical)
	}
	return Stated[Q]{Value: Q(f), Text: canonical}, nil
}

// read is Parse without the type: the value in base units of k and the
// canonical text.
func read(k kind, text string) (float64, string, *Error) {
	if len(text) > maxText {
		return 0, "", refuse(CodeTooLong, text, "it is longer than "+strconv.Itoa(maxText)+" bytes", "one number and one unit")
	}
	s := strings.TrimSpace(text)
	if after, found := strings.CutPrefix(s, "\u2212"); found { // the minus sign proper
		s = "-" + after
	}
	s, _ = numeral(s)
	n, ok := scan(s)
	if !ok {
		return 0, "", refuseNumber(k, text, s)
	}
	if n.neg && k != temperature {
		return 0, "", refuse(CodeNegative, text, "it is negative, and "+classes[k].name+" is not", "check the number")
	}
	rest := s[len(n.text):]
	u, plain := lookup(k, rest)
	if u == nil {
		return 0, "", refuseUnit(k, text, &n, rest)
	}
	f := n.in(u)
	if err := inDomain(k, text, f, n.isZero()); err != nil {
		return 0, "", err
	}
	if plain && n.tidy {
		return f, s, nil
	}
	return f, n.canonical() + " " + u.symbol, nil
}

// inDomain refuses what a float64, or nature, does not hold. zero tells
// whether the number as written is 0.
func inDomain(k kind, text string, f float64, zero bool) *Error {
	switch {
	case math.IsInf(f, 0):
		return refuse(CodeTooLarge, text, "the number is too large to hold", "check the exponent")
	case f == 0 && !zero:
		return refuse(CodeTooSmall, text, "the number is too small to hold, and it is not 0", "check the exponent")
	case k == temperature && f < absoluteZero:
		return refuse(CodeBelowZeroK, text, "it is colder than absolute zero, -273.15 °C", "check the number")
	}
	return nil
}

// lookup finds the unit after the number; plain tells that rest is exactly one
// space and the canonical symbol.
func lookup(k kind, rest string) (u *unit, plain bool) {
	if len(rest) > 1 && rest[0] == ' ' {
		if u = find(k, rest[1:]); u != nil {
			return u, true
		}
	}
	if u = find(k, strings.TrimSpace(rest)); u != nil {
		return u, false
	}
	return find(k, spelling(rest)), false
}

var (
	signs = strings.NewReplacer("µ", "u", "μ", "u", "²", "2", "³", "3", "^2", "2", "^3", "3",
		" / ", "/", " /", "/", "/ ", "/", "100 cm", "100cm")
	variants = map[string]string{
		"ml": "mL", "l": "L", "ul": "uL", "microcurie": "uCi",
		"°C": "C", "° C": "C", "℃": "C", "Cel": "C",
	}
)

// spelling gives the canonical symbol for a unit written in one of the forgiven
// variants, and anything else with its white space made plain.
func spelling(unit string) string {
	s := signs.Replace(strings.Join(strings.Fields(unit), " "))
	if v, ok := variants[s]; ok {
		return v
	}
	return s
}

// Of states a value that a program computed, in the canonical unit named, with
// the fewest decimal digits that read back as the same value (17 at most, or
// 18 in a unit that is no power of ten of the base unit; there, 15 or more for
// a value below 2.2e-308, where a float64 has fewer). It fails with one of the
// CodeUnit codes, CodeNotFinite, CodeNegative (unless a Temperature) or
// CodeBelowZeroK.
func Of[Q Kind](value Q, unit string) (Stated[Q], error) {
	k, f := kindOf[Q](), float64(value)
	u := find(k, unit)
	if u == nil || math.IsNaN(f) || math.IsInf(f, 0) || (f < 0 && k != temperature) || (f < absoluteZero && k == temperature) {
		return Stated[Q]{}, refuseValue(k, f, unit)
	}
	number := shortest(math.Abs(f), u)
	if f < 0 {
		number = "-" + number
	}
	return Stated[Q]{Value: value + 0, Text: number + " " + u.symbol}, nil // + 0 makes -0 a 0
}

// refuseValue says why f cannot be stated in that unit.
func refuseValue(k kind, f float64, unit string) *Error {
	text := strconv.FormatFloat(f, 'g', -1, 64) + " " + unit
	switch {
	case find(k, unit) == nil:
		return refuseUnit(k, text, &number{}, unit)
	case math.IsNaN(f) || math.IsInf(f, 0):
		return refuse(CodeNotFinite, text, "it is not a number", "check what it was computed from")
	case f < 0 && k != temperature:
		return refuse(CodeNegative, text, "it is negative, and "+classes[k].name+" is not", "check what it was computed from")
	}
	return inDomain(k, text, f, true)
}

// shortest gives the fewest digits that u scales back to f > 0.
func shortest(f float64, u *unit) string {
	if u.num == 1 && u.den == 1 {
		return decimalText(strconv.FormatFloat(f, 'e', -1, 64), -u.exp)
	}
	// q is within 2.3e-16 of any decimal that reads back as f. If one has 15
	// digits or fewer, q rounded to 15 digits is that one and zeros.
	q := f * float64(u.den) / float64(u.num)
	for digits := 14; digits < 17; digits++ {
		if s := decimalText(strconv.FormatFloat(q, 'e', digits, 64), -u.exp); scales(s, u, f) {
			return s
		}
	}
	// The exact quotient to 18 digits is off by 5e-18 at most, a tenth of the
	// 2^-54 that still reads back as f.
	r := new(big.Rat).SetFloat64(f)
	r.Mul(r, new(big.Rat).SetFrac(new(big.Int).SetUint64(u.den), new(big.Int).SetUint64(u.num)))
	return decimalText(new(big.Float).SetPrec(200).SetRat(r).Text('e', 17), -u.exp)
}

// scales tells whether the number s in u is f.
func scales(s string, u *unit, f float64) bool {
	n, ok := scan(s)
	return ok && n.in(u) == f
}

// decimalText writes "d.ddde±xx" shifted by 10^shift in the grammar of this package:
// as a decimal where that is short, with an exponent elsewhere.
func decimalText(e string, shift int) string {
	mant, exp, _ := strings.Cut(e, "e")
	x, _ := strconv.Atoi(exp)
	x += shift
	digits := strings.TrimRight(strings.Replace(mant, ".", "", 1), "0")
	switch {
	case digits == "":
		return "0"
	case x < -6 || x > 14:
		if len(digits) > 1 {
			digits = digits[:1] + "." + digits[1:]
		}
		return digits + "e" + strconv.Itoa(x)
	}
	return string(appendDecimal(nil, []byte(digits), x-len(digits)+1))
}
