package fact

import (
	"strconv"
	"strings"

	"vialwright/quantity"
)

// Number is a number as it was written: digits with at most one decimal point, no sign,
// no exponent, at most 16 characters; with what it counts behind it, such as "15 million",
// where it is of something.
type Number struct {
	Value float64 // in the unit of the text, 0 or more
	Text  string
}

// counting is a number that is written with what it counts, such as "3 to 1".
type counting struct {
	p *Number
	// of is what it counts, with a space before it; what is asked for is such as like.
	of, what, like string
	// none tells that it may be 0.
	none bool
}

func (n counting) Given() bool  { return n.p.Text != "" }
func (n counting) Want() string { return n.what + " such as " + n.like }
func (n counting) shape() Shape { return Shape(strings.TrimSpace(n.of)) }

func (n counting) Read(text string, how How) *Refusal {
	digits, ok := strings.CutSuffix(text, n.of)
	if !how.Canonical {
		digits = quantity.DecimalComma(digits)
	}
	value, plain := plainDecimal(digits)
	if !ok || !plain || value == 0 && !(n.none && digits == "0") {
		return &Refusal{Code: "bad-number", Msg: Quote(text) + " is no number written with" + n.of, Hint: "write it like " + n.like}
	}
	*n.p = Number{value, digits + n.of}
	return nil
}

func (n counting) Write() (string, *Refusal) {
	return writeNumber(*n.p, func(p *Number) Scalar { n.p = p; return n })
}

// density is a density in g/cm3.
type density struct{ counting }

func (density) shape() Shape { return TextShape }

// Read takes what is recorded as it stands, since earlier versions kept a decimal comma
// and took 0: no entry is refused later. What is typed now has to be a number of its own.
func (d density) Read(text string, how How) *Refusal {
	digits, unit := strings.CutSuffix(text, d.of)
	var n Number
	if !how.Canonical || !unit || (number{p: &n}).Read(digits, How{}) != nil {
		return d.counting.Read(text, how)
	}
	*d.p = Number{n.Value, text}
	return nil
}

func (d density) Write() (string, *Refusal) {
	return writeNumber(*d.p, func(p *Number) Scalar { d.p = p; return d })
}

// number is a bare number, up to most unless that is 0.
type number struct {
	p    *Number
	most float64
}

func (n number) Given() bool { return n.p.Text != "" }
func (number) IsNumber()     {}

func (n number) Want() string {
	if n.most > 0 {
		return "a number from 0 to " + strconv.FormatFloat(n.most, 'f', -1, 64)
	}
	return "a number such as 0.98"
}

func (n number) Read(text string, how How) *Refusal {
	if !how.Canonical {
		text = quantity.DecimalComma(text)
	}
	value, plain := plainDecimal(text)
	switch {
	case !plain:
		return &Refusal{Code: "bad-number", Msg: Quote(text) + " is no plain decimal number", Hint: "write digits with at most one decimal point, like 0.98"}
	case n.most > 0 && value > n.most:
		return &Refusal{Code: "bad-number", Msg: Quote(text) + " is too large", Hint: "write " + n.Want()}
	}
	*n.p = Number{value, text}
	return nil
}

func (n number) Write() (string, *Refusal) {
	return writeNumber(*n.p, func(p *Number) Scalar { n.p = p; return n })
}

// writeNumber is the text of a number that reads back as the number.
func writeNumber(n Number, at func(*Number) Scalar) (string, *Refusal) {
	var back Number
	if bad := at(&back).Read(n.Text, How{Canonical: true}); bad != nil {
		return "", bad
	}
	if back != n {
		return "", &Refusal{Code: "inconsistent", Msg: Quote(n.Text) + " and its value disagree", Hint: "make it from its text"}
	}
	return n.Text, nil
}

// plainDecimal reads digits with at most one decimal point.
func plainDecimal(text string) (float64, bool) {
	whole, frac, point := strings.Cut(text, ".")
	if !isDigits(whole) || whole != "0" && whole[0] == '0' || point && !isDigits(frac) || len(text) > 16 {
		return 0, false
	}
	f, err := strconv.ParseFloat(text, 64)
	return f, err == nil
}

// isDigits tells that s holds decimal digits only, and at least one.
func isDigits(s string) bool {
	for i := range len(s) {
		if s[i] < '0' || s[i] > '9' {
			return false
		}
	}
	return s != ""
}
