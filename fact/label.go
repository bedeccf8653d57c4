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
	Serial identity.Serial
	// For is the order, Of the container with its dose.
	For, Of string
	// Into is the administration vial that the dose goes into, where the label
	// of that is printed while the dose is still in the syringe Of; else empty.
	Into string
	Size Size
	// Copy counts the labels of one size on one container, from 1. A later
	// one replaces those before it.
	Copy int
	At   time.Time
	// Printed is what stands on the label of what is reckoned; nil in a case
	// file that does not say.
	Printed *Printed
}

// Kind is "label".
func (*Label) Kind() string        { return "label" }
func (l *Label) moment() time.Time { return l.At }

func (l *Label) fields(f []Slot) []Slot {
	return append(f,
		Slot{"serial", must, serial{&l.Serial}, "Label"},
		Slot{"for", must, id{&l.For, AboutOrder}, "Order"},
		Slot{"of", must, id{&l.Of, AboutContainer}, "Container"},
		Slot{"into", may, id{&l.Into, AboutContainer}, "Administration vial"},
		Slot{"size", must, oneWord[Size]{&l.Size, sizes}, "Label for"},
		Slot{"copy", must, copies{whole{&l.Copy}}, "Copy"},
		Slot{"at", must, instant{&l.At}, "When"},
		Slot{"printed", may, GroupAt(&l.Printed), "Printed"},
	)
}

// Printed is what a label says of what is reckoned, with the digits that are
// printed. The program writes it when the label is recorded; a label is never
// reckoned again, whatever is read later.
type Printed struct {
	// Activity is that of the dose at the moment Reference.
	Activity  quantity.Stated[quantity.Activity]
	Reference time.Time
	Volume    quantity.Stated[quantity.Volume]
	// ValidFrom and ValidUntil bound the time in which the dose may be given,
	// in whole minutes.
	ValidFrom, ValidUntil time.Time
	HalfLife              quantity.Stated[quantity.Span]
	// Lot is that of the vial the dose was drawn from.
	Lot string
	// Dose counts this dose among the Doses of the patient, from 1.
	Dose, Doses int
}

func (p *Printed) fields(f []Slot) []Slot {
	return append(f,
		Slot{"activity", must, amount(&p.Activity), "Activity"},
		Slot{"reference", must, instant{&p.Reference}, "At"},
		Slot{"volume", must, amount(&p.Volume), "Volume"},
		Slot{"valid-from", must, instant{&p.ValidFrom}, "Valid from"},
		Slot{"valid-until", must, instant{&p.ValidUntil}, "Valid until"},
		Slot{"half-life", must, amount(&p.HalfLife), "Half-life"},
		Slot{"lot", must, text{&p.Lot}, "Lot"},
		Slot{"dose", must, copies{whole{&p.Dose}}, "Dose"},
		Slot{"doses", must, copies{whole{&p.Doses}}, "Of how many doses"},
	)
}

// Same tells whether two labels say the same.
func (p *Printed) Same(o *Printed) bool {
	return p.Activity == o.Activity && p.Reference.Equal(o.Reference) && p.Volume == o.Volume && p.ValidFrom.Equal(o.ValidFrom) &&
		p.ValidUntil.Equal(o.ValidUntil) && p.HalfLife == o.HalfLife && p.Lot == o.Lot && p.Dose == o.Dose && p.Doses == o.Doses
}
