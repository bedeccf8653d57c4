package fact

import (
	"time"
)

// Paper says that entries were made from a sheet of paper, after what they
// speak of was done.
type Paper struct {
	// First and Last are the numbers of the first and the last of these entries.
	First, Last int
	// Sheet is the number or the name of the sheet, By who wrote it.
	Sheet, By string
}

// Kind is "paper".
func (*Paper) Kind() string      { return "paper" }
func (*Paper) moment() time.Time { return time.Time{} }

func (p *Paper) fields(f []Slot) []Slot {
	return append(f,
		Slot{"first", must, whole{&p.First}, "First entry"},
		Slot{"last", must, whole{&p.Last}, "Last entry"},
		Slot{"sheet", must, text{&p.Sheet}, "Sheet"},
		Slot{"by", must, text{&p.By}, "Written by"},
	)
}

// Supervised says that a person whose training had lapsed made entries beside another, who
// signed with their own PIN.
type Supervised struct {
	// First and Last are the numbers of the first and the last of these entries.
	First, Last int
	// In is what the training was in that had lapsed, By who supervised.
	In, By string
}

// Kind is "supervised".
func (*Supervised) Kind() string      { return "supervised" }
func (*Supervised) moment() time.Time { return time.Time{} }

func (s *Supervised) fields(f []Slot) []Slot {
	return append(f,
		Slot{"first", must, whole{&s.First}, "First entry"},
		Slot{"last", must, whole{&s.Last}, "Last entry"},
		Slot{"in", must, text{&s.In}, "Training that had lapsed"},
		Slot{"by", must, text{&s.By}, "Supervised by"},
	)
}

// Marked are the first and the last of the entries that a mark is about, such as those of a
// sheet of paper; false for what is no mark.
func Marked(f Fact) (first, last int, mark bool) {
	switch x := f.(type) {
	case *Paper:
		return x.First, x.Last, true
	case *Supervised:
		return x.First, x.Last, true
	}
	return 0, 0, false
}

// Remarked is a mark about other entries; what is no mark stays.
func Remarked(f Fact, first, last int) Fact {
	switch x := f.(type) {
	case *Paper:
		p := *x
		p.First, p.Last = first, last
		return &p
	case *Supervised:
		s := *x
		s.First, s.Last = first, last
		return &s
	}
	return f
}
