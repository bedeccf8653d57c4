package fact

import (
	"time"
)

// Reassign gives the dose that is in a container to another order. No activity
// moves: what was drawn for the one order was drawn for the other from then on,
// and what was checked, labelled and released for the one is void.
type Reassign struct {
	Container string    `must:"container" id:"container" label:"Container with the dose"`
	From      string    `must:"from" id:"order" label:"From order"`
	To        string    `must:"to" id:"order" label:"To order"`
	At        time.Time `must:"at" label:"When"`
}

func (r *Reassign) is() (string, time.Time) { return "reassign", r.At }
