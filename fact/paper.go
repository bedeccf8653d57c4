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
