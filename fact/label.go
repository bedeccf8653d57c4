package fact

import (
	"time"

	"vialwright/identity"
	"vialwright/quantity"
)

// Size is the kind of a label, by what it goes on.
type Size string

// The sizes.
const (
	SyringeLabel Size = "syringe"
	VialLabel    Size = "administration-vial"
	ShieldLabel  Size = "shield"
	BoxLabel     Size = "box"
)

// Label is one printed label. Each print has a serial of its own.
type Label struct {
	Serial identity.Serial `must:"serial" label:"Label"`
	// For is the order, Of the container with its dose.
	For string `must:"for" id:"order" label:"Order"`
	Of  string `must:"of" id:"container" label:"Container"`
	// Into is the administration vial that the dose goes into, where the label
	// of that is printed while the dose is still in the syringe Of; else empty.
	Into string `may:"into" id:"container" label:"Administration vial"`
	Size Size   `must:"size" label:"Label for"`
	// Copy counts the labels of one size on one container, from 1. A later
	// one replaces those before it.
	Copy int       `must:"copy" as:"copy" label:"Copy"`
	At   time.Time `must:"at" label:"When"`
	// Printed is what stands on the label of what is reckoned; nil in a case
	// file that does not say.
	Printed *Printed `may:"printed" label:"Printed"`
}

func (l *Label) is() (string, time.Time) { return "label", l.At }

// Printed is what a label says of what is reckoned, with the digits that are
// printed. The program writes it when the label is recorded; a label is never
// reckoned again, whatever is read later.
type Printed struct {
	// Activity is that of the dose at the moment Reference.
	Activity  quantity.Stated[quantity.Activity] `must:"activity" label:"Activity"`
	Reference time.Time                          `must:"reference" label:"At"`
	Volume    quantity.Stated[quantity.Volume]   `must:"volume" label:"Volume"`
	// ValidFrom and ValidUntil bound the time in which the dose may be given,
	// in whole minutes.
	ValidFrom  time.Time                      `must:"valid-from" label:"Valid from"`
	ValidUntil time.Time                      `must:"valid-until" label:"Valid until"`
	HalfLife   quantity.Stated[quantity.Span] `must:"half-life" label:"Half-life"`
	// Lot is that of the vial the dose was drawn from.
	Lot string `must:"lot" label:"Lot"`
	// Dose counts this dose among those of the patient on its day, from 1.
	Dose int `must:"dose" as:"copy" label:"Dose"`
	// Doses are how many the patient gets on that day.
	Doses int `must:"doses" as:"copy" label:"Of how many doses"`
}

// Same tells whether two labels say the same.
func (p *Printed) Same(o *Printed) bool {
	return p.Activity == o.Activity && p.Reference.Equal(o.Reference) && p.Volume == o.Volume && p.ValidFrom.Equal(o.ValidFrom) &&
		p.ValidUntil.Equal(o.ValidUntil) && p.HalfLife == o.HalfLife && p.Lot == o.Lot && p.Dose == o.Dose && p.Doses == o.Doses
}
