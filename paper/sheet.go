package paper

import (
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"vialwright/quantity"
)

// Use says what a sheet is for. The zero Use is refused: nobody gets a
// patient's sheet by leaving something out.
type Use string

// The two uses.
const (
	ForPatient  Use = "patient"
	ForPractice Use = "practice"
)

// Sheet is a finished document of A4 pages: texts and figures ready to be
// read, with their units. Nothing is computed from it.
type Sheet struct {
	// Title is what the document is, Subject the case it is about; without a
	// Subject every page has a box to write it in.
	Title, Subject string
	Use            Use
	// Clock says how far the clock of a practice laboratory is ahead; else empty.
	Clock string
	// Made is the instant of printing, shown in Zone.
	Made time.Time
	Zone *time.Location
	// Software is the program and its version.
	Software string
	// Head is the hash of the record's last entry; its start is on every page.
	// Empty where there is no record, as on a blank sheet.
	Head string
	// Foot says at the foot of every page what a sign on it means; may be empty.
	Foot     string
	Sections []Section
}

// Section is a heading and what stands under it, in this order. One with
// nothing under it prints "Nothing recorded.", since blank is not zero.
type Section struct {
	// Step is the step of the work that it is about; empty for none.
	Step    Step
	Heading string
	// NewPage begins it on a page of its own.
	NewPage bool
	Rows    []Row
	Tables  []Table
	Notes   []string
}

// Row is one value with its name.
type Row struct {
	Label string
	// Value with U and Unit as in [quantity.Figure]; or words in Value alone.
	Value, U, Unit string
	// Also is the same in the older unit, or what else is said of it; When is the instant
	// that it is for.
	Also, When string
	// How is the computation with its inputs, in small type below.
	How string
	// Corrected is what the value was before a correction, by whom, when and
	// why.
	Corrected string
	// Blanks are boxes to write in; a row with blanks has no value.
	Blanks []Blank
}

// Blank is a box to write in, with what is printed before and after it: its
// unit, or the words to strike out. Cells is its width in characters; a box
// without Cells is only the words.
type Blank struct {
	Before string
	Cells  int
	After  string
	// With keeps the box on the line of the one before it, so that hour and
	// minute, or a value and its other unit, are not torn apart.
	With bool
}

// Table is a table whose first row, the heads, is repeated on every page.
type Table struct {
	Heads []string
	// Widths are the shares of the page's width; equal if absent.
	Widths []float64
	Cells  [][]string
}

// Figure is a row with a value, its standard uncertainty (0 where there is
// none), and the older unit beside it where there is one.
func Figure[Q quantity.Kind](label string, value, u Q) Row {
	f, older := quantity.Pair(value, u)
	r := Row{Label: label, Value: f.Value, U: f.U, Unit: f.Unit}
	if older != (quantity.Figure{}) {
		r.Also = older.String()
	}
	return r
}

// Words is a row of text.
func Words(label, text string) Row { return Row{Label: label, Value: text} }

// Instant is a row with a time in the zone given.
func Instant(label string, t time.Time, zone *time.Location) Row {
	if t.IsZero() {
		return Row{Label: label, Value: "not recorded"}
	}
	return Row{Label: label, Value: show(t, zone)}
}

func (r Row) how(texts ...string) Row {
	r.How = strings.Join(slices.DeleteFunc(texts, func(s string) bool { return s == "" }), "\n")
	return r
}

// sentence begins a text with a capital and ends it with a full stop.
func sentence(text string) string {
	r, size := utf8.DecodeRuneInString(text)
	return strings.TrimSuffix(string(unicode.ToUpper(r))+text[size:], ".") + "."
}

func (r Row) at(t time.Time, zone *time.Location) Row {
	r.When = "at " + show(t, zone)
	return r
}

// Said is the value as one text, with its uncertainty and its unit.
func (r Row) Said() string {
	if r.U != "" {
		return r.Value + " ± " + r.U + " " + r.Unit
	}
	return strings.TrimSpace(r.Value + " " + r.Unit)
}

// Beside is what stands beside the value.
func (r Row) Beside() string { return strings.TrimSpace(r.Also + "  " + r.When) }

// PDF prints the sheet. The same sheet gives the same bytes. A character that no face of
// ours has is printed as its code point, [U+0645], since a record must always
// print; it is never left out.
func (s Sheet) PDF() ([]byte, error) {
	switch {
	case s.Use != ForPatient && s.Use != ForPractice:
		return nil, &Error{Code: CodeMissing, Field: "use", Msg: "it is not said whether this is for a patient or for practice"}
	case s.Zone == nil:
		return nil, &Error{Code: CodeMissing, Field: "zone", Msg: "there is none"}
	case s.Made.IsZero():
		return nil, &Error{Code: CodeMissing, Field: "time of printing", Msg: "there is none"}
	case blank(s.Title):
		return nil, &Error{Code: CodeMissing, Field: "title", Msg: "there is none"}
	case blank(s.Software):
		return nil, &Error{Code: CodeMissing, Field: "software", Msg: "there is none"}
	}
	f := &flow{sheetOf: newPDF(s.Title, s.Software, s.Made), sheet: s}
	f.newPage()
	for _, section := range s.Sections {
		f.section(section)
	}
	f.footers()
	return f.bytes()
}
