package fact

import (
	"time"

	"vialwright/quantity"
)

// DaySetup is what a day plan is made with beside orders and vials: bench, suites and
// the times that the work takes.
type DaySetup struct {
	// Opens and Closes are clock times of the bench, such as "08:00".
	Opens, Closes string
	// Benches and Suites are how many there are.
	Benches, Suites int
	// Takes is one draw with resuspension, readings and check, Check the end of it that
	// needs a second person; Lead and Hold are from there to the infusion, at least and
	// at most; Infusion is how long one takes its suite; Step is the grid of the plan.
	Takes, Check, Lead, Hold, Infusion, Step quantity.Stated[quantity.Span]
	// Dead is what cannot be drawn of a vial.
	Dead quantity.Stated[quantity.Volume]
	// Syringe is the largest that is used.
	Syringe quantity.Stated[quantity.Volume]
	// YieldU is the relative standard uncertainty of the mean draw yield, Scatter that of
	// one draw about it.
	YieldU, Scatter quantity.Stated[quantity.Fraction]
	// HandDose is that of a draw for each GBq in the vial.
	HandDose quantity.Stated[quantity.DoseEquivalent]
	From     time.Time
}

// Kind is "day-setup".
func (*DaySetup) Kind() string        { return "day-setup" }
func (d *DaySetup) moment() time.Time { return d.From }

func (d *DaySetup) fields(f []Slot) []Slot {
	return append(f,
		Slot{"opens", must, patterned{&d.Opens, wallClock}, "Bench opens"},
		Slot{"closes", must, patterned{&d.Closes, wallClock}, "Bench closes"},
		Slot{"benches", must, counted{whole{&d.Benches}}, "Places to draw at"},
		Slot{"suites", must, counted{whole{&d.Suites}}, "Suites for infusions"},
		Slot{"takes", must, amount(&d.Takes), "One draw takes, with check"},
		Slot{"check", must, amount(&d.Check), "Of that the second check"},
		Slot{"lead", must, amount(&d.Lead), "From draw to infusion, at least"},
		Slot{"hold", may, amount(&d.Hold), "From draw to infusion, at most"},
		Slot{"infusion", must, amount(&d.Infusion), "One infusion takes its suite"},
		Slot{"step", must, amount(&d.Step), "Step of the plan"},
		Slot{"dead", must, amount(&d.Dead), "Dead volume of a vial"},
		Slot{"syringe", must, amount(&d.Syringe), "Largest syringe"},
		Slot{"yield-u", must, amount(&d.YieldU), "Uncertainty of the mean draw yield"},
		Slot{"scatter", must, amount(&d.Scatter), "Scatter of one draw"},
		Slot{"hand-dose", must, amount(&d.HandDose), "Hand dose of a draw, for each GBq in the vial"},
		Slot{"from", must, instant{&d.From}, "Holds from"},
	)
}

// RePlan is a plan of the day that was taken, in place of the one before it. It binds
// nobody at the bench: each draw is entered where it is made.
type RePlan struct {
	Rows   []PlannedDose
	Reason string
	At     time.Time
}

// Kind is "re-plan".
func (*RePlan) Kind() string        { return "re-plan" }
func (p *RePlan) moment() time.Time { return p.At }

func (p *RePlan) fields(f []Slot) []Slot {
	return append(f,
		Slot{"rows", must, rowsOf[PlannedDose, *PlannedDose]{&p.Rows, "a list of {order: P1, source: S1, draw: 2027-03-04T09:15, infuse: 2027-03-04T10:30}"}, "Doses planned"},
		Slot{"reason", must, text{&p.Reason}, "Reason"},
		Slot{"at", must, instant{&p.At}, "When"},
	)
}

// PlannedDose is one order of a plan.
type PlannedDose struct {
	// Order is served from Source, a vial or a container with a drawn dose.
	Order, Source string
	// Draw is zero where the dose is drawn.
	Draw, Infuse time.Time
}

func (r *PlannedDose) fields(f []Slot) []Slot {
	return append(f,
		Slot{"order", must, id{&r.Order, aboutNothing}, "Order"},
		Slot{"source", must, id{&r.Source, aboutNothing}, "From"},
		Slot{"draw", may, instant{&r.Draw}, "Draw"},
		Slot{"infuse", must, instant{&r.Infuse}, "Infusion"},
	)
}
