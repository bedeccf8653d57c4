package fact

import (
	"time"
)

// NearMiss is something that was refused before it could do harm, such as the
// scan of a label that belongs to another dose. It changes nothing; a review
// counts them.
type NearMiss struct {
	// For is the order at whose bench it was; empty where it was at none.
	For string
	// Step is what was being done, in a word of the program; What says what was
	// refused and why, Scanned what a scanner sent. Step and Scanned may be empty.
	Step, What, Scanned string
	At                  time.Time
}

// Kind is "near-miss".
func (*NearMiss) Kind() string        { return "near-miss" }
func (n *NearMiss) moment() time.Time { return n.At }

func (n *NearMiss) fields(f []Slot) []Slot {
	return append(f,
		Slot{"for", may, id{&n.For, AboutOrder}, "Order"},
		Slot{"step", may, id{&n.Step, aboutNothing}, "Step"},
		Slot{"what", must, text{&n.What}, "What was refused"},
		Slot{"scanned", may, text{&n.Scanned}, "Scanned"},
		Slot{"at", must, instant{&n.At}, "When"},
	)
}
