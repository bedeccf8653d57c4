package journal

import (
	"time"

	"vialwright/dispensing"
	"vialwright/identity"
	"vialwright/ledger"
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

func (l *Label) fields(f []field) []field {
	return append(f,
		field{"serial", must, serial{&l.Serial}, "Label"},
		field{"for", must, id{&l.For, AboutOrder}, "Order"},
		field{"of", must, id{&l.Of, AboutContainer}, "Container"},
		field{"into", may, id{&l.Into, AboutContainer}, "Administration vial"},
		field{"size", must, oneWord[Size]{&l.Size, sizes}, "Label for"},
		field{"copy", must, copies{whole{&l.Copy}}, "Copy"},
		field{"at", must, instant{&l.At}, "When"},
		field{"printed", may, group(&l.Printed), "Printed"},
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

func (p *Printed) fields(f []field) []field {
	return append(f,
		field{"activity", must, amount(&p.Activity), "Activity"},
		field{"reference", must, instant{&p.Reference}, "At"},
		field{"volume", must, amount(&p.Volume), "Volume"},
		field{"valid-from", must, instant{&p.ValidFrom}, "Valid from"},
		field{"valid-until", must, instant{&p.ValidUntil}, "Valid until"},
		field{"half-life", must, amount(&p.HalfLife), "Half-life"},
		field{"lot", must, text{&p.Lot}, "Lot"},
		field{"dose", must, copies{whole{&p.Dose}}, "Dose"},
		field{"doses", must, copies{whole{&p.Doses}}, "Of how many doses"},
	)
}

// Same tells whether two labels say the same.
func (p *Printed) Same(o *Printed) bool {
	return p.Activity == o.Activity && p.Reference.Equal(o.Reference) && p.Volume == o.Volume && p.ValidFrom.Equal(o.ValidFrom) &&
		p.ValidUntil.Equal(o.ValidUntil) && p.HalfLife == o.HalfLife && p.Lot == o.Lot && p.Dose == o.Dose && p.Doses == o.Doses
}

// kindOfLabel is the container that a label of a size goes on itself.
var kindOfLabel = map[Size]ledger.Kind{SyringeLabel: ledger.Syringe, VialLabel: ledger.AdministrationVial}

// enter refuses, in this order: an order that is not there or closed, a
// container that is not there or not of the order, a label that does not go on
// it, a serial that comes twice, a copy that is not later than the last, and
// figures that no label bears.
func (l *Label) enter(f *folder, s *step) *Refusal {
	if err := f.openOrder(s, l.For); err != nil {
		return err
	}
	c, err := f.is(s, "of", l.Of)
	if err != nil {
		return err
	}
	before := l.Into != "" // it is printed before the transfer
	switch kind, own := kindOfLabel[l.Size]; {
	case f.out.Serves[l.Of] != l.For:
		return s.refuse("of", "order-mismatch", "check the ids before anything is labelled", "%s does not hold the dose of order %s", l.Of, l.For)
	case before && (l.Size != VialLabel || c.Kind != ledger.Syringe):
		return s.refuse("into", "wrong-container", "leave into: out", "only the label of an administration vial that is printed while the dose is in a syringe names both")
	case own && kind != c.Kind && !before:
		return s.refuse("size", "wrong-container", "print the label of its own kind, or name with into: the administration vial that the syringe goes into",
			"a label of the size %s does not go on %s, of the kind %s", l.Size, l.Of, c.Kind)
	case f.label(l.Serial) != nil:
		return s.refuse("serial", "duplicate-serial", "print with a new serial", "there is a label %s already", l.Serial)
	}
	for _, x := range f.done.labels {
		if x.For == l.For && x.Of == l.Of && x.Size == l.Size && x.Copy >= l.Copy {
			return s.refuse("copy", "copy-backwards", "count the prints of this label on", "copy %d was printed already, with the serial %s", x.Copy, x.Serial)
		}
	}
	if err := l.figures(f, s); err != nil {
		return err
	}
	f.done.labels = append(f.done.labels, l)
	return nil
}

// figures takes what is printed on the label, and refuses, in this order:
// amounts that no dose has, a window that is reversed, and one that was over
// when the label was printed.
func (l *Label) figures(f *folder, s *step) *Refusal {
	p := l.Printed
	if p == nil {
		return nil
	}
	if err := s.activity("printed.activity", p.Activity, leastDose); err != nil {
		return err
	}
	if err := s.volume("printed.volume", p.Volume, "write the volume of the dose"); err != nil {
		return err
	}
	switch {
	case !p.ValidUntil.After(p.ValidFrom):
		return s.refuse("printed.valid-until", "window-reversed", "check both times", "the valid window ends before it begins")
	case !p.ValidUntil.After(l.At):
		return s.refuse("printed.valid-until", "window-over", "check the times; a dose whose window is over is not labelled",
			"the valid window was over at %s, when the label was printed", quantity.FormatTime(l.At, f.out.Zone))
	case p.Dose > p.Doses:
		return s.refuse("printed.dose", "out-of-range", "check both numbers", "dose %d is none of %d", p.Dose, p.Doses)
	}
	f.out.Labels = append(f.out.Labels, dispensing.Label{
		Entry: s.entry, For: l.For, Of: l.Of, Into: l.Into, Serial: l.Serial.String(),
		Activity: p.Activity.Value, At: p.Reference, ValidFrom: p.ValidFrom, ValidUntil: p.ValidUntil,
	})
	return nil
}
