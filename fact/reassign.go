package fact

import (
	"time"
)

// Reassign gives the dose that is in a container to another order. No activity
// moves: what was drawn for the one order was drawn for the other from then on,
// and what was checked, labelled and released for the one is void.
type Reassign struct {
	Container, From, To string
	At                  time.Time
}

// Kind is "reassign".
func (*Reassign) Kind() string        { return "reassign" }
func (r *Reassign) moment() time.Time { return r.At }

func (r *Reassign) fields(f []Slot) []Slot {
	return append(f,
		Slot{"container", must, id{&r.Container, AboutContainer}, "Container with the dose"},
		Slot{"from", must, id{&r.From, AboutOrder}, "From order"},
		Slot{"to", must, id{&r.To, AboutOrder}, "To order"},
		Slot{"at", must, instant{&r.At}, "When"},
	)
}
