package journal

import (
	"strings"

	"vialwright/dispensing"
	"vialwright/identity"
)

var (
	checksOf   = []CheckOf{MeterBackground, MeterConstancy, SurveyMeter, AreaClear, Consumables, People, SiteClock, TestPrint}
	checkReads = []dispensing.CheckReads{dispensing.ReadsRemainder, dispensing.ReadsEither}
	outcomes   = []Outcome{Pass, Fail}
	sizes      = []Size{SyringeLabel, VialLabel, ShieldLabel, BoxLabel}
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

func (w oneWord[T]) read(text string, _ reading) *problem { return oneOf(w.p, text, w.words) }
func (w oneWord[T]) write() (string, *problem) {
	return string(*w.p), w.read(string(*w.p), reading{})
}

// serial is the serial of a label; a record has it in fours with hyphens.
type serial struct{ p *identity.Serial }

func (s serial) given() bool { return !s.p.IsZero() }
func (serial) want() string  { return "the serial of a label such as K7MP-3YWD-9CK2" }

func (s serial) read(text string, how reading) *problem {
	got, err := identity.Parse(text)
	if err != nil {
		e, _ := err.(*identity.Error)
		return &problem{code: "bad-serial", msg: quote(text) + ": " + e.Msg, hint: e.Hint}
	}
	if how.canonical && got.String() != text {
		return &problem{code: "not-canonical", msg: quote(text) + " is not written as a record writes it", hint: "write " + got.String()}
	}
	*s.p = got
	return nil
}

func (s serial) write() (string, *problem) {
	return s.p.String(), serial{new(identity.Serial)}.read(s.p.String(), reading{canonical: true})
}

// copies is the number of a print, from 1.
type copies struct{ whole }

func (copies) want() string { return "the number of the print, from 1" }

func (c copies) read(text string, how reading) *problem {
	bad := c.whole.read(text, how)
	if bad != nil {
		return &problem{code: "bad-copy", msg: quote(text) + " is no number of a print", hint: "count the prints from 1"}
	}
	return nil
}

func (c copies) write() (string, *problem) {
	s, _ := c.whole.write()
	return s, copies{whole{new(int)}}.read(s, reading{})
}

// findingCode is the code of a finding, which is formed like an id.
type findingCode struct{ id }

func (findingCode) want() string { return "the code of a finding such as outside-tolerance" }
