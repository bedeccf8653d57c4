package journal

import (
	"strings"

	"vialwright/identity"
)

var (
	checksOf   = []CheckOf{MeterBackground, MeterConstancy, SurveyMeter, AreaClear, Consumables, People, SiteClock, TestPrint}
	checkReads = []CheckReads{ReadsRemainder, ReadsEither}
	outcomes   = []Outcome{Pass, Fail}
	sizes      = []Size{SyringeLabel, VialLabel, ShieldLabel, BoxLabel}
)

// CheckReads is what a second check may be made by.
type CheckReads string

// What the second reader may read: the remainder of the vial, with the reading
// before the draw taken from the record; or either that or the container with
// the dose, which shares no reading.
const (
	ReadsRemainder CheckReads = "remainder"
	ReadsEither    CheckReads = "either"
)

// oneWord is one of a few words.
type oneWord[T ~string] struct {
	p     *T
	words []T
}

func (w oneWord[T]) given() bool { return *w.p != "" }

// want lists the words: "pass or fail".
func (w oneWord[T]) want() string {
	list := strs(w.words)
	last := len(list) - 1
	return strings.Join(list[:last], ", ") + " or " + list[last]
}

func (w oneWord[T]) read(text string, _ reading) *Refusal { return oneOf(w.p, text, w.words) }
func (w oneWord[T]) write() (string, *Refusal) {
	return string(*w.p), w.read(string(*w.p), reading{})
}

// serial is the serial of a label; a record has it in fours with hyphens.
type serial struct{ p *identity.Serial }

func (s serial) given() bool { return !s.p.IsZero() }
func (serial) want() string  { return "the serial of a label such as K7MP-3YWD-9CK2" }

func (s serial) read(text string, how reading) *Refusal {
	got, err := identity.Parse(text)
	if err != nil {
		e, _ := err.(*identity.Error)
		return &Refusal{Code: "bad-serial", Msg: quote(text) + ": " + e.Msg, Hint: e.Hint}
	}
	if how.canonical && got.String() != text {
		return &Refusal{Code: "not-canonical", Msg: quote(text) + " is not written as a record writes it", Hint: "write " + got.String()}
	}
	*s.p = got
	return nil
}

func (s serial) write() (string, *Refusal) {
	return s.p.String(), serial{new(identity.Serial)}.read(s.p.String(), reading{canonical: true})
}

// copies is the number of a print, from 1.
type copies struct{ whole }

func (copies) want() string { return "the number of the print, from 1" }

func (c copies) read(text string, how reading) *Refusal {
	bad := c.whole.read(text, how)
	if bad != nil {
		return &Refusal{Code: "bad-copy", Msg: quote(text) + " is no number of a print", Hint: "count the prints from 1"}
	}
	return nil
}

func (c copies) write() (string, *Refusal) {
	s, _ := c.whole.write()
	return s, copies{whole{new(int)}}.read(s, reading{})
}

// findingCode is the code of a finding, which is formed like an id.
type findingCode struct{ id }

func (findingCode) want() string { return "the code of a finding such as outside-tolerance" }
