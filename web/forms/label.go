package forms

import (
	"slices"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/ledger"
	"vialwright/paper"
	"vialwright/people"
	"vialwright/procedure"
	"vialwright/quantity"
	"vialwright/web/kit"
)

// label asks for a label. What is printed on it is written when it is recorded.
func (b *Bench) label() []kit.Part {
	size := string(fact.VialLabel)
	choices := kit.Choices(size, "shield", "box")
	inputs := []kit.Input{{Name: "size", Label: "Label for", Kind: "choice", Choices: choices, Value: size, Must: true}}
	syringe := func(k dispensing.ContainerResult) bool {
		return k.Container.ID == b.Prep.Container && k.Container.Kind == ledger.Syringe
	}
	if slices.ContainsFunc(b.Result.Containers, syringe) {
		inputs[0].Choices = kit.Choices(size, string(fact.SyringeLabel), "shield", "box")
		inputs = append(inputs, kit.Input{
			Name: "into", Label: "Administration vial it goes into", Kind: "id", Value: b.Free("A"), Small: true,
			Hint: "For the label of the administration vial; it names the syringe and the vial.",
		})
	}
	return []kit.Part{{
		Kind:   "label",
		Fixed:  map[string]any{"for": b.Order.ID, "of": b.Prep.Container, "serial": b.serial().String(), "copy": 1},
		Inputs: append(inputs, kit.At),
	}}
}

// setLabel: what is recorded opens to be printed; a label that takes the place of
// one takes another right.
func (b *Bench) setLabel(e *kit.Form) {
	e.Done, e.Amend, e.Button = true, b.toPrint, "Print a label"
	e.Said = "The label is recorded, and opens now to be printed. It is also below the steps."
	e.Prints, _ = e.Parts[0].Fixed["serial"].(string)
	if slices.ContainsFunc(b.Prep.Labels, func(l procedure.Printed) bool { return l.Of == b.Prep.Container }) {
		e.Act = people.ReprintLabel
	}
}

// toPrint numbers a label among those of its size on its container, and writes
// what is printed on it into its entry. It refuses a label that cannot be
// printed, so that none is recorded. Of a label that was written by hand only
// its entry is made.
func (b *Bench) toPrint(now *kit.State, facts []fact.Fact) error {
	x, err := b.in(now)
	if err != nil {
		return err
	}
	for _, l := range fact.Of[*fact.Label](facts) {
		if l.Size != fact.VialLabel { // only that label names a vial the dose is not in yet
			l.Into = ""
		}
		for _, p := range x.Prep.Labels {
			if p.Of == l.Of && p.Size == l.Size {
				l.Copy = max(l.Copy, p.Copy+1)
			}
		}
		if b.Q.Sheet() != nil {
			continue
		}
		if l.Printed, err = x.labelFigures(); err != nil {
			return err
		}
		if _, err = x.LabelPDF(l); err != nil {
			e, ok := err.(*paper.Error)
			if !ok {
				return err
			}
			return &procedure.Error{Code: procedure.CodeNotPrinted, Msg: "the label cannot be printed: " + e.Field + ": " + e.Msg, Hint: e.Hint}
		}
	}
	return nil
}

// labelFigures are what a label of the dose says now: what the one in force says, as
// long as that holds, so that two labels of one dose agree; else what is
// reckoned, with the digits of a label.
func (b *Bench) labelFigures() (*fact.Printed, error) {
	drifted := slices.ContainsFunc(b.Result.Findings, func(f dispensing.Finding) bool {
		return f.Code == dispensing.LabelDrift && b.Result.Concerns(f, b.Order.ID)
	})
	for _, l := range b.Prep.Labels {
		if l.Void == "" && l.Figures != nil && !drifted {
			return l.Figures, nil
		}
	}
	d := b.Out.Dispensed
	if d == nil {
		return nil, &procedure.Error{Code: procedure.CodeNotPrinted, Msg: "the dose of this label is not known", Hint: "measure it first"}
	}
	from, until := quantity.WholeMinutes(d.ValidFrom, d.ValidUntil)
	if !until.After(from) || !until.After(b.Q.Now) {
		return nil, &procedure.Error{
			Code: procedure.CodeNotPrinted, Msg: "the dose is no longer valid, or never was: no label is printed",
			Hint: "return the dose, or cancel the preparation",
		}
	}
	unit := paper.ActivityUnit(d.Activity)
	out := &fact.Printed{
		Activity: stated(d.Activity, d.LabelDigits(b.Order.Prescribed, unit), unit), Reference: d.At, Volume: stated(b.Out.Volume, 3, "mL"),
		ValidFrom: from, ValidUntil: until, HalfLife: stated(b.Result.HalfLife, 6, "h"),
	}
	sameDay, _ := b.Case.OfPatient(b.Order)
	out.Doses = 1 + len(sameDay)
	out.Dose = out.Doses - len(slices.DeleteFunc(sameDay, func(o dispensing.Order) bool { return o.Entry < b.Order.Entry }))
	for _, draw := range b.Case.Draws {
		for _, v := range b.Case.Vials {
			if draw.For == b.Order.ID && draw.From == v.ID {
				out.Lot = v.Lot
			}
		}
	}
	return out, nil
}

// stated is a quantity with the digits it is printed with.
func stated[Q quantity.Kind](value Q, digits int, unit string) quantity.Stated[Q] {
	s, err := quantity.ParseCanonical[Q](quantity.FormatDigits(value, digits, unit))
	if err != nil {
		panic(err) // what is printed in a unit of ours is read back
	}
	return s
}
