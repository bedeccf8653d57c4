package fact

import (
	"time"
)

// NearMiss is something that was refused before it could do harm, such as the
// scan of a label that belongs to another dose. It changes nothing; a review
// counts them.
type NearMiss struct {
	// For is the order at whose bench it was; empty where it was at none.
	For string `may:"for" id:"order" label:"Order"`
	// Step is what was being done, in a word of the program; What says what was
	// refused and why, Scanned what a scanner sent. Step and Scanned may be empty.
	Step    string    `may:"step" id:"" label:"Step"`
	What    string    `must:"what" label:"What was refused"`
	Scanned string    `may:"scanned" label:"Scanned"`
	At      time.Time `must:"at" label:"When"`
}

func (n *NearMiss) is() (string, time.Time) { return "near-miss", n.At }
