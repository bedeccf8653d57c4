package identity

import (
	"fmt"
	"strings"
	"time"
)

// rule is how the data of an application identifier are written (GS1 General
// Specifications, 3.2).
type rule struct {
	ai, title string
	min, max  int
	form      form
}

// form is what the data may be.
type form int

const (
	anyText  form = iota // GS1 encodable character set 82
	anyDigit             // digits
	checked              // digits, the last a check digit
	day                  // YYMMDD, day 00 allowed
	clock                // YYMMDDHHMM
)

// rules are the application identifiers we know, longest first so that the
// first that a text begins with is the one.
var rules = []rule{
	{"7003", "EXPIRY TIME", 10, 10, clock},
	{"240", "ADDITIONAL ID", 1, 30, anyText},
	{"241", "CUST. PART No.", 1, 30, anyText},
	{"250", "SECONDARY SERIAL", 1, 30, anyText},
	{"251", "REF. TO SOURCE", 1, 30, anyText},
	{"00", "SSCC", 18, 18, checked},
	{"01", "GTIN", 14, 14, checked},
	{"02", "CONTENT", 14, 14, checked},
	{"10", "BATCH/LOT", 1, 20, anyText},
	{"11", "PROD DATE", 6, 6, day},
	{"13", "PACK DATE", 6, 6, day},
	{"15", "BEST BEFORE", 6, 6, day},
	{"17", "EXPIRY", 6, 6, day},
	{"20", "VARIANT", 2, 2, anyDigit},
	{"21", "SERIAL", 1, 20, anyText},
	{"30", "VAR. COUNT", 1, 8, anyDigit},
}

func ruleOf(text string) (rule, bool) {
	for _, r := range rules {
		if strings.HasPrefix(text, r.ai) {
			return r, true
		}
	}
	return rule{}, false
}

// predefined is the length, with the application identifier, of an element
// string that needs no separator after it; 0 for the others (GS1 General
// Specifications, element strings with predefined length, by the first two
// digits).
func predefined(text string) int {
	if len(text) < 2 {
		return 0
	}
	switch text[:2] {
	case "00":
		return 20
	case "01", "02", "03", "41":
		return 16
	case "04":
		return 18
	case "11", "12", "13", "14", "15", "16", "17", "18", "19":
		return 8
	case "20":
		return 4
	case "31", "32", "33", "34", "35", "36":
		return 10
	}
	return 0
}

// split takes apart what a scanner sends: element strings in a row, with a
// separator after those without a predefined length.
func split(body string) []Element {
	var out []Element
	for body != "" {
		if body[0] == separator {
			body = body[1:]
			continue
		}
		end := len(body)
		if at := strings.IndexByte(body, separator); at >= 0 {
			end = at
		}
		if n := predefined(body); n > 0 {
			end = min(end, n)
		}
		out = append(out, element(body[:end]))
		body = body[end:]
	}
	return out
}

// element cuts one element string into identifier and data.
func element(text string) Element {
	if r, ok := ruleOf(text); ok {
		return Element{ID: r.ai, Data: text[len(r.ai):]}
	}
	n := 0
	for n < min(2, len(text)) && '0' <= text[n] && text[n] <= '9' {
		n++
	}
	return Element{ID: text[:n], Data: text[n:]}
}

// bracketed tells whether a text begins with an identifier in brackets.
func bracketed(body string) bool {
	_, n := bracket(body)
	return n > 0
}

// bracket reads "(01)" at the start of s; n is its length, 0 if there is none.
func bracket(s string) (ai string, n int) {
	if s == "" || s[0] != '(' {
		return "", 0
	}
	end := strings.IndexByte(s, ')')
	if end < 3 || end > 5 || !digits(s[1:end]) {
		return "", 0
	}
	return s[1:end], end + 1
}

// splitBracketed takes apart the form people read, (01)...(17)...
func splitBracketed(body string) []Element {
	var out []Element
	for body != "" {
		ai, n := bracket(body)
		body = body[n:]
		end := 0
		for end < len(body) {
			if _, n := bracket(body[end:]); n > 0 {
				break
			}
			end++
		}
		out = append(out, Element{ID: ai, Data: body[:end]})
		body = body[end:]
	}
	return out
}

// collect checks the elements and fills the fields of the scan with those that
// are right and not contradicted.
func (s *Scan) collect(elements []Element, year int) {
	s.Elements = elements
	if len(elements) == 0 {
		s.note(refuse(CodeEmpty, s.Raw, "the scan holds no element string", "scan again"))
	}
	first, good := map[string]string{}, map[string]string{}
	for _, e := range elements {
		r, known := ruleOf(e.ID)
		before, twice := first[e.ID]
		switch {
		case !known || r.ai != e.ID:
			s.note(refuse(CodeUnknownID, e.ID+e.Data, "it begins with no application identifier that we know",
				"read it from the label"))
		case twice && before != e.Data:
			s.note(refuse(CodeTwice, e.Data, "the scan gives "+r.title+" twice, and first as "+before, "read it from the label"))
			delete(good, e.ID)
		case !twice:
			first[e.ID] = e.Data
			if p := r.check(e.Data, year); p != nil {
				s.note(p)
				continue
			}
			good[e.ID] = e.Data
		}
	}
	s.fill(good, year)
}

// note keeps the first problem.
func (s *Scan) note(p *Error) {
	if s.Problem == nil {
		s.Problem = p
	}
}

// fill sets the fields from checked data; what is not there stays absent.
func (s *Scan) fill(good map[string]string, year int) {
	s.GTIN, s.Lot, s.Number = good["01"], good["10"], good["21"]
	if d, ok := good["17"]; ok {
		s.Expiry, _ = date(d, year, true)
	}
	if d, ok := good["7003"]; ok {
		s.ExpiryClock, _ = clockTime(d, year)
	}
}

// check says what is wrong with data, nil if nothing is.
func (r rule) check(data string, year int) *Error {
	size := fmt.Sprintf("%s has %d characters, and this has %d", r.title, r.max, len(data))
	if r.min < r.max {
		size = fmt.Sprintf("%s has %d to %d characters, and this has %d", r.title, r.min, r.max, len(data))
	}
	switch {
	case len(data) < r.min:
		return refuse(CodeShort, data, size, "scan again")
	case len(data) > r.max:
		return refuse(CodeLong, data, size, "the scanner may swallow the separator (FNC1, sent as GS): set it up to send it")
	case r.form != anyText && !digits(data):
		return refuse(CodeData, data, r.title+" has only digits", "scan again, or read it from the label")
	case r.form == anyText && strings.IndexFunc(data, foreign) >= 0:
		return refuse(CodeData, data, r.title+" holds a character that GS1 does not allow", "read it from the label")
	case r.form == checked && !mod10(data):
		return refuse(CodeGTIN, data, "the check digit of "+r.title+" does not agree", "scan again")
	}
	ok := true
	switch r.form {
	case day:
		_, ok = date(data, year, true)
	case clock:
		_, ok = clockTime(data, year)
	}
	if !ok {
		return refuse(CodeDate, data, r.title+" is no day of the calendar", "read it from the label")
	}
	return nil
}

// clockTime reads YYMMDDHHMM, ten digits, where the day must be given.
func clockTime(data string, year int) (Clock, bool) {
	d, ok := date(data, year, false)
	c := Clock{Date: d, Hour: two(data[6:]), Minute: two(data[8:])}
	return c, ok && c.Hour < 24 && c.Minute < 60
}

// foreign tells a character outside the GS1 encodable character set 82
// (GS1 General Specifications, figure 7.11-1): 82 of ISO/IEC 646.
func foreign(r rune) bool {
	const set = `!"%&'()*+,-./0123456789:;<=>?ABCDEFGHIJKLMNOPQRSTUVWXYZ_abcdefghijklmnopqrstuvwxyz`
	return !strings.ContainsRune(set, r)
}

// Date is a day of the calendar without a zone: a maker's label does not say
// where on earth the day ends. The zero Date is absent.
type Date struct {
	Year  int // four digits
	Month time.Month
	Day   int // 1 to 31
}

// IsZero tells whether the date is absent.
func (d Date) IsZero() bool { return d == Date{} }

// String gives the date as 2027-03-04; it is empty for an absent one.
func (d Date) String() string {
	if d.IsZero() {
		return ""
	}
	return fmt.Sprintf("%04d-%02d-%02d", d.Year, int(d.Month), d.Day)
}

// Clock is a date with a time of day in the maker's local time. The zone is
// not in the bar code and must be asked for. The zero Clock is absent.
type Clock struct {
	Date Date
	// Hour is 0 to 23, Minute 0 to 59.
	Hour, Minute int
}

// century completes a year of two digits, read in the given year (GS1 General
// Specifications, 7.12).
func century(yy, year int) int {
	c := year / 100
	switch d := yy - year%100; {
	case d >= 51:
		c--
	case d <= -50:
		c++
	}
	return 100*c + yy
}

// date reads YYMMDD, six digits. Where endOfMonth is allowed, day 00 is the
// last day of the month (GS1 General Specifications, identifier 17).
func date(yymmdd string, year int, endOfMonth bool) (Date, bool) {
	yy, mm, dd := two(yymmdd[0:]), two(yymmdd[2:]), two(yymmdd[4:])
	if mm < 1 || mm > 12 {
		return Date{}, false
	}
	d := Date{Year: century(yy, year), Month: time.Month(mm), Day: dd}
	// Day 0 of the month after is the last day of this one.
	last := time.Date(d.Year, d.Month+1, 0, 0, 0, 0, 0, time.UTC).Day()
	if dd == 0 && endOfMonth {
		d.Day = last
	}
	return d, d.Day >= 1 && d.Day <= last
}

// two is the number of the two digits that s begins with.
func two(s string) int { return 10*int(s[0]-'0') + int(s[1]-'0') }
