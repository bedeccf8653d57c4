package journal

import "time"

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

func (p *Paper) fields(f []field) []field {
	return append(f,
		field{"first", must, whole{&p.First}, "First entry"},
		field{"last", must, whole{&p.Last}, "Last entry"},
		field{"sheet", must, text{&p.Sheet}, "Sheet"},
		field{"by", must, text{&p.By}, "Written by"},
	)
}

// enter refuses entries that do not stand above it, and a range that runs
// backwards.
func (p *Paper) enter(_ *folder, s *step) *Refusal {
	switch {
	case p.Last >= s.entry:
		return s.refuse("last", "unknown-entry", "count the entries from 1; this stands below those it is about", "there is no entry %d above this one", p.Last)
	case p.First > p.Last:
		return s.refuse("first", "range-backwards", "write the first one first", "entry %d comes after entry %d", p.First, p.Last)
	}
	return nil
}
