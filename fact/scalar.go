package fact

import (
	"cmp"
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"vialwright/people"
	"vialwright/quantity"
)

// amountOf is a quantity.
type amountOf[Q quantity.Kind] struct{ p *quantity.Stated[Q] }

func amount[Q quantity.Kind](p *quantity.Stated[Q]) Value { return amountOf[Q]{p} }

func (a amountOf[Q]) Given() bool { return a.p.Text != "" }

func (a amountOf[Q]) Read(text string, how How) *Refusal {
	parse := quantity.Parse[Q]
	if how.Canonical {
		parse = quantity.ParseCanonical[Q]
	}
	got, err := parse(text)
	if err != nil {
		return fromQuantity(err)
	}
	*a.p = got
	return nil
}

func (a amountOf[Q]) Write() (string, *Refusal) {
	if _, err := a.p.MarshalText(); err != nil {
		return "", fromQuantity(err)
	}
	return a.p.Text, nil
}

func (amountOf[Q]) Want() string { return wants[reflect.TypeFor[Q]()].want }

// fromQuantity keeps the code and the hint of a refused quantity or time.
func fromQuantity(err error) *Refusal {
	e, _ := err.(*quantity.Error) // the package gives no other error
	return &Refusal{Code: e.Code, Msg: Quote(e.Input) + ": " + e.Msg, Hint: e.Hint}
}

// Quote shows a text in a message, cut where it is long.
func Quote(s string) string {
	const most = 60
	if r := []rune(s[:min(len(s), 4*most+4)]); len(r) > most {
		s = string(r[:most]) + "..."
	}
	return strconv.Quote(s)
}

// id names something: a letter or digit, then up to 31 letters, digits and
// . _ - in any mixture.
type id struct {
	p *string
	// of is what it is the id of.
	of About
}

func (i id) Given() bool { return *i.p != "" }
func (id) Want() string  { return "an id such as P1" }

func (i id) Read(text string, _ How) *Refusal {
	if !people.IsID(text) {
		return &Refusal{
			Code: "bad-id", Msg: Quote(text) + " is no id",
			Hint: "use up to 32 of A-Z a-z 0-9 . _ - and begin with a letter or digit",
		}
	}
	*i.p = text
	return nil
}

func (i id) Write() (string, *Refusal) { return *i.p, i.Read(*i.p, How{}) }

// allowance is a percentage or an activity.
type allowance struct{ p *Allowance }

func (a allowance) Given() bool { return a.p.Residual.Text != "" || a.p.ResidualActivity.Text != "" }
func (allowance) Want() string  { return "an activity such as 40 MBq, or a percentage such as 2 %" }

func (a allowance) Read(text string, how How) *Refusal {
	bad := amountOf[quantity.Fraction]{&a.p.Residual}.Read(text, how)
	if bad == nil {
		return nil
	}
	if other := (amountOf[quantity.Activity]{&a.p.ResidualActivity}).Read(text, how); other == nil {
		return nil
	}
	return bad
}

func (a allowance) Write() (string, *Refusal) {
	if a.p.Residual.Text != "" && a.p.ResidualActivity.Text != "" {
		return "", &Refusal{Code: "inconsistent", Msg: "a percentage and an activity are given", Hint: "give one of the two"}
	}
	if a.p.ResidualActivity.Text != "" {
		return amountOf[quantity.Activity]{&a.p.ResidualActivity}.Write()
	}
	return amountOf[quantity.Fraction]{&a.p.Residual}.Write()
}

// text is free text on one line.
type text struct{ p *string }

const mostText = 500

// Cut is a text as far as a field holds it, with ... for the rest.
func Cut(s string) string {
	if r := []rune(s); len(r) > mostText {
		return string(r[:mostText-3]) + "..."
	}
	return s
}

func (t text) Given() bool { return *t.p != "" }
func (text) Want() string  { return "a text of at most 500 characters" }

func (t text) Read(text string, _ How) *Refusal {
	if p := checkText(text); p != nil {
		return p
	}
	*t.p = text
	return nil
}

func (t text) Write() (string, *Refusal) { return *t.p, checkText(*t.p) }

// checkText refuses what cannot be shown as it is stored: control characters,
// line separators, marks that turn the direction of reading or mark the order
// of bytes, and space at either end.
func checkText(s string) *Refusal {
	switch {
	case s == "":
		return &Refusal{Code: "empty", Msg: "the text is empty", Hint: "leave the field out, or write something"}
	case len(s) > 4*mostText || len(s) > mostText && utf8.RuneCountInString(s) > mostText:
		return &Refusal{Code: "too-long", Msg: fmt.Sprintf("the text has more than %d characters", mostText), Hint: "shorten it, or write two notes"}
	case !utf8.ValidString(s):
		return &Refusal{Code: "not-text", Msg: "the text is not UTF-8", Hint: "type it again"}
	}
	plain := true
	for i := range len(s) {
		if c := s[i]; c < ' ' || c >= 0x7f {
			plain = false
			break
		}
	}
	if !plain {
		if at := strings.IndexFunc(s, hidden); at >= 0 {
			r, _ := utf8.DecodeRuneInString(s[at:])
			return &Refusal{Code: "not-text", Msg: fmt.Sprintf("the text holds the invisible character U+%04X", r), Hint: "a text is one line without control characters"}
		}
	}
	if strings.TrimSpace(s) != s {
		return &Refusal{Code: "space-around", Msg: "the text begins or ends with a space", Hint: "take the space away"}
	}
	return nil
}

// hidden tells that r is not shown and changes how a text is read.
func hidden(r rune) bool {
	return unicode.IsControl(r) || unicode.Is(unicode.Zl, r) || unicode.Is(unicode.Zp, r) ||
		unicode.Is(unicode.Bidi_Control, r) || r == '\uFEFF'
}

// TextAt is the place of a free text.
func TextAt(p *string) Scalar { return text{p} }

// ZoneAt is the place of the name of a zone.
func ZoneAt(p *string) Scalar { return patterned{p, zoneName} }

// whole is a number from 1, of what is counted.
type whole struct {
	p *int
	numbering
}

// numbering is what is counted: what is wanted, and what is said behind a text that is none.
type numbering struct {
	want string
	none Refusal
}

var (
	entryNumber = numbering{"the number of an entry such as 3", Refusal{Code: "bad-entry-number", Msg: "is no entry number", Hint: "count the entries from 1"}}
	howMany     = numbering{"how many, such as 41", Refusal{Code: "bad-count", Msg: "is no whole number above 0", Hint: "count them from 1, or leave it out"}}
	printNumber = numbering{"the number of the print, from 1", Refusal{Code: "bad-copy", Msg: "is no number of a print", Hint: "count the prints from 1"}}
)

func (w whole) Given() bool  { return *w.p != 0 }
func (w whole) Want() string { return w.want }
func (whole) IsNumber()      {}

func (w whole) Read(text string, _ How) *Refusal {
	if !isDigits(text) || text[0] == '0' || len(text) > 9 {
		bad := w.none
		bad.Msg = Quote(text) + " " + bad.Msg
		return &bad
	}
	*w.p, _ = strconv.Atoi(text) // nine digits always fit
	return nil
}

func (w whole) Write() (string, *Refusal) {
	s := strconv.Itoa(*w.p)
	return s, whole{new(int), w.numbering}.Read(s, How{})
}

// oneOf takes one of a few words.
func oneOf[T ~string](p *T, text string, words []T) *Refusal {
	if i := slices.Index(words, T(text)); i >= 0 {
		*p = words[i]
		return nil
	}
	return &Refusal{Code: "unknown-word", Msg: Quote(text) + " is not one of the words read here", Hint: slipOf(text, strs(words))}
}

// Nearest suggests the word that text is most likely a slip of, or lists all.
func Nearest(text string, words []string) string {
	return cmp.Or(slipOf(text, words), "known here: "+strings.Join(words, ", "))
}

// slipOf suggests the word that text is most likely a slip of: one that
// differs in at most two characters and in less than half of them.
func slipOf(text string, words []string) string {
	best, distance := "", 3
	for _, w := range words {
		if d := editDistance(strings.ToLower(text), strings.ToLower(w)); d < distance && 2*d < len(w) {
			best, distance = w, d
		}
	}
	if best == "" {
		return ""
	}
	return "did you mean " + best + "?"
}

// editDistance counts the single-character changes between two words
// (Levenshtein); long ones are cut, since only near ones matter.
func editDistance(a, b string) int {
	a, b = a[:min(len(a), 40)], b[:min(len(b), 40)]
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		diagonal := row[0]
		row[0] = i + 1
		for j := range len(b) {
			change := diagonal
			if a[i] != b[j] {
				change++
			}
			diagonal = row[j+1]
			row[j+1] = min(change, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(b)]
}
