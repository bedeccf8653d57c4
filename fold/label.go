package fold

import (
	"cmp"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/ledger"
)

// kindOfLabel is the container that a label of a size goes on itself.
var kindOfLabel = map[fact.Size]ledger.Kind{fact.SyringeLabel: ledger.Syringe, fact.VialLabel: ledger.AdministrationVial}

// enterLabel refuses, in this order: an order that is not there or closed, a
// container that is not there or not of the order, a label that does not go on
// it, a serial that comes twice, a copy that is not later than the last, and
// figures that no label bears.
func enterLabel(l *fact.Label, f *folder, s *step) *fact.Refusal {
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
	case before && (l.Size != fact.VialLabel || c.Kind != ledger.Syringe):
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
	if err := printedFigures(l, f, s); err != nil {
		return err
	}
	f.done.labels = append(f.done.labels, l)
	return nil
}

// printedFigures takes what is printed on the label, and refuses, in this order:
// amounts that no dose has, a window that is reversed, and one that was over
// when the label was printed.
func printedFigures(l *fact.Label, f *folder, s *step) *fact.Refusal {
	p := l.Printed
	if p == nil {
		return nil
	}
	if err := cmp.Or(s.activity("printed.activity", p.Activity, leastDose), s.volume("printed.volume", p.Volume, "write the volume of the dose")); err != nil {
		return err
	}
	switch {
	case !p.ValidUntil.After(p.ValidFrom):
		return s.refuse("printed.valid-until", "window-reversed", "check both times", "the valid window ends before it begins")
	case !p.ValidUntil.After(l.At):
		return s.refuse("printed.valid-until", "window-over", "check the times; a dose whose window is over is not labelled",
			"the valid window was over at %s, when the label was printed", f.clock(l.At))
	case p.Dose > p.Doses:
		return s.refuse("printed.dose", "out-of-range", "check both numbers", "dose %d is none of %d", p.Dose, p.Doses)
	}
	f.out.Labels = append(f.out.Labels, dispensing.Label{
		Entry: s.entry, For: l.For, Of: l.Of, Into: l.Into, Serial: l.Serial.String(),
		Activity: p.Activity.Value, At: p.Reference, ValidFrom: p.ValidFrom, ValidUntil: p.ValidUntil,
	})
	return nil
}
