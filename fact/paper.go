package fact

import (
	"time"
)

// Paper says that entries were made from a sheet of paper, after what they
// speak of was done.
type Paper struct {
	// First is the number of the first of these entries.
	First int `must:"first" label:"First entry"`
	// Last is that of the last.
	Last int `must:"last" label:"Last entry"`
	// Sheet is the number or the name of the sheet, By who wrote it.
	Sheet string `must:"sheet" label:"Sheet"`
	By    string `must:"by" label:"Written by"`
}

func (*Paper) is() (string, time.Time) { return "paper", time.Time{} }

// Supervised says that a person whose training had lapsed made entries beside another, who
// signed with their own PIN.
type Supervised struct {
	// First is the number of the first of these entries.
	First int `must:"first" label:"First entry"`
	// Last is that of the last.
	Last int `must:"last" label:"Last entry"`
	// In is what the training was in that had lapsed, By who supervised.
	In string `must:"in" label:"Training that had lapsed"`
	By string `must:"by" label:"Supervised by"`
}

func (*Supervised) is() (string, time.Time) { return "supervised", time.Time{} }

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
