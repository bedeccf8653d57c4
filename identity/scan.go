package identity

import "strings"

// Kind says what a scan turned out to be.
type Kind string

// The kinds of scan.
const (
	Label   Kind = "label"   // a serial of ours
	GS1     Kind = "gs1"     // GS1 element strings
	Unknown Kind = "unknown" // anything else: show the raw text and let a person read it
)

// Scan is the text of one scan and what could be read of it. A field that
// could not be read is absent; Problem then says why.
type Scan struct {
	// Raw is the text exactly as it came.
	Raw  string
	Kind Kind
	// Serial is set for Label.
	Serial Serial

	// The rest is set for GS1. Elements holds every element string in the
	// order of the scan, those below included.
	Elements []Element
	// GTIN has 14 digits and a right check digit.
	GTIN string
	// Lot and Number are the maker's lot (10) and serial number (21).
	Lot, Number string
	Expiry      Date  // (17)
	ExpiryClock Clock // (7003)

	// Problem is the first thing that could not be read, nil if there is none.
	Problem *Error
}

// Element is one GS1 element string.
type Element struct {
	// ID is the application identifier. Of one that is not in our table only
	// the first two digits can be told from the data, unless brackets do it.
	ID   string
	Data string
}

const (
	// separator is FNC1 as a scanner transmits it, GS.
	separator = 0x1D
	// longest is the most a Data Matrix holds, 3116 digits (ISO/IEC 16022;
	// value from memory, not seen).
	longest = 3116
)

// Read tells what a scan is. It never fails: what cannot be read is in
// Problem, and Raw always holds the text. year is the year of the scan, which
// decides the century of the dates.
func Read(raw string, year int) Scan {
	s := Scan{Raw: raw, Kind: Unknown}
	text := strings.TrimRight(raw, "\r\n") // the scanner's own ending
	switch {
	case strings.TrimSpace(text) == "":
		s.Problem = refuse(CodeEmpty, raw, "the scan is empty", "scan again")
		return s
	case len(text) > longest:
		s.Problem = refuse(CodeTooLong, raw, "it is longer than a bar code can be", "scan one label at a time")
		return s
	}
	body, announced := cutSymbology(text)
	switch {
	case announced || strings.IndexByte(body, separator) >= 0 || startsWithGTIN(body):
		s.Kind = GS1
		s.collect(split(body), year)
	case bracketed(body):
		s.Kind = GS1
		s.collect(splitBracketed(body), year)
	default:
		s.readLabel(body)
	}
	return s
}

// cutSymbology takes the symbology identifier off (ISO/IEC 15424: "]", a letter,
// a digit) and tells whether it announces GS1 element strings.
func cutSymbology(text string) (body string, announced bool) {
	if len(text) < 3 || text[0] != ']' {
		return text, false
	}
	switch text[:3] {
	case "]d2", "]C1", "]e0", "]Q3":
		return text[3:], true
	}
	return text[3:], false
}

// startsWithGTIN recognises element strings from a scanner that announces nothing.
func startsWithGTIN(body string) bool {
	return len(body) >= 16 && body[:2] == "01" && digits(body[2:16]) && mod10(body[2:16])
}

// readLabel reads a serial of ours. A text that has the characters of one is
// given the reason why it is none.
func (s *Scan) readLabel(body string) {
	serial, err := Parse(body)
	if err == nil {
		s.Kind, s.Serial = Label, serial
		return
	}
	if e, ok := err.(*Error); ok && (e.Code == CodeCheck || e.Code == CodeLength) {
		e.Input = refuse("", s.Raw, "", "").Input
		s.Problem = e
		return
	}
	s.Problem = refuse(CodeUnknown, s.Raw, "it is neither one of our serials nor a GS1 element string",
		"read the label, and type what it says")
}

// digits tells whether s is all digits, and not empty.
func digits(s string) bool {
	return s != "" && strings.Trim(s, "0123456789") == ""
}
