package journal

import "time"

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

func (n *NearMiss) fields(f []field) []field {
	return append(f,
		field{"for", may, id{&n.For, AboutOrder}, "Order"},
		field{"step", may, id{&n.Step, aboutNothing}, "Step"},
		field{"what", must, text{&n.What}, "What was refused"},
		field{"scanned", may, text{&n.Scanned}, "Scanned"},
		field{"at", must, instant{&n.At}, "When"},
	)
}

// enter refuses an order that is not there. A near miss may come after the
// record was closed.
func (n *NearMiss) enter(f *folder, s *step) *Refusal {
	if n.For == "" {
		return nil
	}
	return f.knows(s, "for", n.For)
}
