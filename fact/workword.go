package fact

import (
	"strings"

	"vialwright/identity"
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

func (w oneWord[T]) Given() bool { return *w.p != "" }

// Want lists the words: "pass or fail".
func (w oneWord[T]) Want() string {
	list := strs(w.words)
	last := len(list) - 1
	return strings.Join(list[:last], ", ") + " or " + list[last]
}

func (w oneWord[T]) Read(text string, _ How) *Refusal { return oneOf(w.p, text, w.words) }
func (w oneWord[T]) Write() (string, *Refusal) {
	return string(*w.p), w.Read(string(*w.p), How{})
}

// serial is the serial of a label; a record has it in fours with hyphens.
type serial struct{ p *identity.Serial }

func (s serial) Given() bool { return !s.p.IsZero() }
func (serial) Want() string  { return "the serial of a label such as K7MP-3YWD-9CK2" }

func (s serial) Read(text string, how How) *Refusal {
	got, err := identity.Parse(text)
	if err != nil {
		e, _ := err.(*identity.Error)
		return &Refusal{Code: "bad-serial", Msg: Quote(text) + ": " + e.Msg, Hint: e.Hint}
	}
	if how.Canonical && got.String() != text {
		return &Refusal{Code: "not-canonical", Msg: Quote(text) + " is not written as a record writes it", Hint: "write " + got.String()}
	}
	*s.p = got
	return nil
}

func (s serial) Write() (string, *Refusal) {
	return s.p.String(), serial{new(identity.Serial)}.Read(s.p.String(), How{Canonical: true})
}

// findingCode is the code of a finding, which is formed like an id.
type findingCode struct{ id }

func (findingCode) Want() string { return "the code of a finding such as outside-tolerance" }
