package dayplan

import (
	"fmt"
	"math"
	"slices"
	"time"

	"vialwright/dose"
	"vialwright/quantity"
)

// Day is all that a plan is made from. Times are instants; nothing is filled in.
type Day struct {
	// Now is when the question is asked: cut-offs before it have passed.
	Now time.Time
	// Ends is the instant at which what is left counts.
	Ends     time.Time
	HalfLife quantity.Span
	// Odds are those that the site wants of a plan; Tolerance is of a dose.
	Odds, Tolerance quantity.Fraction
	// Yield is the mean draw yield, YieldU the relative standard uncertainty of that
	// mean, Scatter the relative scatter of one draw about it.
	Yield, YieldU, Scatter quantity.Fraction
	// AssayU is the relative standard uncertainty of the reading of a drawn dose.
	AssayU quantity.Fraction
	// Step is the grid of bench and of moved infusions.
	Step  quantity.Span
	Bench Bench
	// Receipt is from the arrival of a vial that is still to come to its first draw at least.
	Receipt quantity.Span
	// Infusion is how long an infusion takes its suite.
	Infusion quantity.Span
	Syringes []Syringe
	// DoseMost is the largest volume that a dose may have; 0 for no limit.
	DoseMost quantity.Volume
	// MeterLeast and MeterMost are the tested range of the meter; 0 for no limit.
	MeterLeast, MeterMost quantity.Activity
	Licence               Licence
	// Rooms are what lines of the licence leave for vials on offer, instead of Licence.
	Rooms []Room
	// HandDose is that of a draw for each GBq in the vial.
	HandDose quantity.DoseEquivalent
	People   []Person
	Orders   []Order
	Vials    []Vial
	Doses    []Dose
	// InForce is the plan that a new one should change little of; none for the times
	// that were planned.
	InForce []Row
}

// Bench is where doses are drawn.
type Bench struct {
	// Count is the number of places at which one dose each can be drawn.
	Count int
	Hours []Interval
	// Takes is one draw with resuspension, readings and check; Check the part of it at
	// the end that needs a second person.
	Takes, Check quantity.Span
	// Lead is from the end of a draw to the infusion at least, Hold at most; a Hold of
	// 0 is no limit.
	Lead, Hold quantity.Span
}

// Interval is a time from an instant to another.
type Interval struct{ From, Until time.Time }

// Syringe is one of the set of the site.
type Syringe struct{ Capacity, Graduation quantity.Volume }

// Licence is the limit of activity on site; a Limit of 0 is none.
type Licence struct {
	Limit quantity.Activity
	// Rest is on site beside the vials, at the instant At.
	Rest quantity.Activity
	At   time.Time
}

// Room is what a line of the licence leaves at an instant for vials on offer that came by then,
// beside all that comes whatever is planned.
type Room struct {
	At   time.Time
	Line string
	Left quantity.Activity
}

// Person is somebody at work.
type Person struct {
	ID            string
	Present       Interval
	Draws, Checks bool
}

// Order is one dose wanted.
type Order struct {
	ID string
	// Prescribed is at infusion; Wanted is that with the residual allowed for.
	Prescribed, Wanted quantity.Activity
	// At is the planned infusion, from Earliest to Latest what can be had.
	At, Earliest, Latest time.Time
	Spheres              dose.Window
	// Suite is where it is infused; empty for one of its own.
	Suite string
}

// Vial is a shipping vial in hand or on offer.
type Vial struct {
	ID string
	// Activity is at Reference, U its relative standard uncertainty.
	Activity  quantity.Activity
	U         quantity.Fraction
	Reference time.Time
	// Volume is what it holds, Dead what cannot be drawn of that.
	Volume, Dead quantity.Volume
	// Arrives is when it comes, Expiry until when it is infused; either may be zero.
	Arrives, Expiry time.Time
	// Punctures are those left; 0 for no limit.
	Punctures int
	// InHand tells one on site, Opened one that was drawn from.
	InHand, Opened bool
	// OrderBy and CancelUntil are of one on offer; either may be zero.
	OrderBy, CancelUntil time.Time
	// Offer is what one on offer comes with, all of which comes where one of it is opened; empty
	// for itself alone. Line is that of the licence.
	Offer, Line string
	// Closed says why its supplier does not send it; empty where it does.
	Closed string
}

// Dose is one that is drawn and not infused.
type Dose struct {
	ID string
	// For is the order that it was drawn for.
	For string
	// Activity is at the instant At, U its relative standard uncertainty.
	Activity quantity.Activity
	U        quantity.Fraction
	At       time.Time
	// Reference is that of its vial: it tells the spheres.
	Reference time.Time
	// Unknown tells that nobody knows what it holds: it serves the order that it was drawn
	// for, and no other. Activity and the times may then be zero.
	Unknown bool
}

// Row is one order of a plan.
type Row struct {
	Order string
	// From is a vial or a drawn dose.
	From string
	// Draw is the start of the draw, zero for a drawn dose.
	Draw, Infuse time.Time
}

// Error says what of a day cannot be used. Code is stable.
type Error struct {
	// Of is the id of what is wrong, Field the field of it.
	Of, Field, Code, Msg, Hint string
}

// Error gives one line.
func (e *Error) Error() string {
	s := e.Field + ": " + e.Msg
	if e.Of != "" {
		s = e.Of + ": " + s
	}
	if e.Hint != "" {
		s += "; " + e.Hint
	}
	return s
}

// MostVials is how many vials a day may have at most.
const MostVials = 40

// most of each that a day may have: beyond, a typing error or an attack.
const (
	mostOrders = 60
	mostSlots  = 4000
	mostStarts = 400
	mostDays   = 60
)

// size is how large a question may be.
type size struct{ orders, vials, slots, days int }

// one plan, and a file of a month or two that is planned week by week.
var (
	onePlan = size{mostOrders, MostVials, mostSlots, mostDays}
	months  = size{600, 400, 20 * mostSlots, 3 * mostDays}
)

// Check gives the first thing of a day that cannot be used, nil where there is
// none.
func (d Day) Check() *Error { return d.check(onePlan) }

func (d Day) check(s size) *Error {
	for _, ask := range []func(size) *Error{d.checkSize, d.checkFigures, d.checkBench, d.checkOrders, d.checkVials, d.checkDoses} {
		if err := ask(s); err != nil {
			return err
		}
	}
	return nil
}

const weekByWeek = "vialwright plan --forecast plans a longer file week by week"

func (d Day) checkSize(s size) *Error {
	switch {
	case len(d.Orders) == 0:
		return &Error{"", "orders", "out-of-range", "there is no order", "write one"}
	case len(d.Orders) > s.orders:
		return &Error{"", "orders", "too-long", fmt.Sprintf("there are %d orders, and it is planned for at most %d", len(d.Orders), s.orders), "leave out what is of other days; " + weekByWeek}
	case len(d.Vials) > s.vials:
		return &Error{"", "vials", "too-long", fmt.Sprintf("there are %d vials, and it is planned with at most %d", len(d.Vials), s.vials), "leave out what cannot be had; " + weekByWeek}
	}
	return nil
}

func (d Day) checkFigures(size) *Error {
	bad := func(field, msg string) *Error { return &Error{"", field, "out-of-range", msg, "write it again"} }
	switch {
	case d.HalfLife <= 0:
		return bad("half-life", "it is not above 0")
	case !(d.Odds >= 0.5 && d.Odds < 1):
		return bad("odds", "odds are from 50 % to below 100 %")
	case !(d.Tolerance > 0 && d.Tolerance < 1):
		return bad("tolerance", "a tolerance is above 0 and below 100 %")
	case !(d.Yield > 0 && d.Yield <= 1.5):
		return bad("yield", "a yield is above 0 and at most 150 %")
	case !(d.YieldU >= 0 && d.YieldU < 0.3 && d.Scatter >= 0 && d.Scatter < 0.3 && d.AssayU >= 0 && d.AssayU < 0.3):
		return bad("uncertainty", "yield-u, scatter and assay-u are below 30 %")
	case len(d.Syringes) == 0:
		return bad("syringes", "there is none")
	case slices.ContainsFunc(d.Syringes, func(x Syringe) bool { return !(x.Graduation > 0 && x.Graduation <= x.Capacity) }):
		return bad("syringes", "a graduation is above 0, and no larger than its syringe")
	}
	return nil
}

func (d Day) checkBench(s size) *Error {
	bad := func(field, code, msg string) *Error { return &Error{"", field, code, msg, "write it again"} }
	b := d.Bench
	switch {
	case d.Step < 60 || d.Step > 3600:
		return bad("step", "out-of-range", "a step is from 1 min to 60 min")
	case b.Count < 1:
		return bad("benches", "out-of-range", "there is no bench")
	case b.Takes <= 0 || b.Check < 0 || b.Check > b.Takes || b.Lead < 0 || d.Receipt < 0:
		return bad("bench-time", "out-of-range", "a draw takes some time, its check no longer than that, and nothing less than no time")
	case len(b.Hours) == 0:
		return bad("bench-hours", "field-missing", "the bench has no hours")
	}
	for _, h := range b.Hours {
		if !h.Until.After(h.From) {
			return bad("bench-hours", "window-empty", "they end before they begin")
		}
	}
	from, until := d.horizon()
	if until.Sub(from).Seconds()/float64(d.Step) > float64(s.slots) {
		return &Error{"", "bench-hours", "too-long", "they span too many steps", "plan fewer days, or longer steps; " + weekByWeek}
	}
	if apart := d.Ends.Sub(from).Hours() / 24; apart < 0 || apart > float64(s.days) {
		return bad("ends", "out-of-range", fmt.Sprintf("it is not within %d days after the first hour of the bench", s.days))
	}
	return nil
}

// horizon is from when to when the bench has hours.
func (d Day) horizon() (from, until time.Time) {
	for i, h := range d.Bench.Hours {
		if i == 0 || h.From.Before(from) {
			from = h.From
		}
		if h.Until.After(until) {
			until = h.Until
		}
	}
	return from, until
}

func (d Day) checkOrders(size) *Error {
	seen := map[string]bool{}
	for _, o := range d.Orders {
		bad := func(field, code, msg, hint string) *Error { return &Error{o.ID, field, code, msg, hint} }
		switch {
		case o.ID == "" || seen[o.ID]:
			return bad("id", "id-twice", "an order needs an id of its own", "write each order once")
		case o.Wanted <= 0:
			return bad("prescribed", "out-of-range", "it is not above 0", "write the activity at infusion")
		case o.At.IsZero() || o.Earliest.IsZero() || o.Latest.IsZero():
			return bad("at", "field-missing", "it has no time", "write the planned infusion, the earliest and the latest")
		case o.Latest.Before(o.Earliest):
			return bad("latest", "window-empty", "it is before the earliest", "write the later one second")
		case o.Latest.Sub(o.Earliest).Seconds()/float64(d.Step) > mostStarts:
			return bad("earliest", "window-long", "the window holds more than 400 steps", "write a shorter window, or longer steps")
		case o.At.Before(o.Earliest) || o.At.After(o.Latest):
			return bad("at", "outside-window", "the planned infusion is not between the earliest and the latest", "move it, or the window")
		case o.Latest.After(d.Ends):
			return bad("latest", "after-the-end", "it is after the end of the plan", "move the end")
		case o.Spheres.Most > 0 && o.Spheres.Most < o.Spheres.Least:
			return bad("spheres-most", "window-empty", "it is less than spheres-least", "write the smaller number first")
		}
		seen[o.ID] = true
	}
	return nil
}

func (d Day) checkVials(s size) *Error {
	seen := map[string]bool{}
	for _, v := range d.Vials {
		bad := func(field, code, msg, hint string) *Error { return &Error{v.ID, field, code, msg, hint} }
		switch {
		case v.ID == "" || seen[v.ID]:
			return bad("id", "vial-twice", "a vial is in one place", "write each vial once, in hand or on offer")
		case v.Activity <= 0 || v.Reference.IsZero():
			return bad("activity", "field-missing", "it has no activity at a reference time", "write both, as on the label")
		case !(v.U > 0 && v.U < 0.3):
			return bad("activity-u", "out-of-range", "the relative standard uncertainty of its activity is above 0 and below 30 %", "write that of the assay, or of the label")
		case math.Abs(d.Ends.Sub(v.Reference).Hours())/24 > float64(2*s.days):
			return bad("reference", "out-of-range", fmt.Sprintf("it is more than %d days from the end of the plan", 2*s.days), "look at the date")
		case v.Volume <= 0 || v.Dead < 0 || v.Dead >= v.Volume:
			return bad("volume", "out-of-range", "its volume is above the dead volume", "write both")
		case !v.Expiry.IsZero() && v.Expiry.Before(v.Arrives):
			return bad("expiry", "window-empty", "it expires before it comes", "look at the dates")
		}
		seen[v.ID] = true
	}
	return nil
}

func (d Day) checkDoses(s size) *Error {
	seen := map[string]bool{}
	for _, v := range d.Vials {
		seen[v.ID] = true
	}
	for _, x := range d.Doses {
		switch {
		case x.ID == "" || seen[x.ID]:
			return &Error{x.ID, "id", "vial-twice", "a dose is in one place", "write each dose once"}
		case x.Unknown:
		case math.Abs(d.Ends.Sub(x.At).Hours())/24 > float64(2*s.days) || math.Abs(d.Ends.Sub(x.Reference).Hours())/24 > float64(2*s.days):
			return &Error{x.ID, "at", "out-of-range", fmt.Sprintf("it is more than %d days from the end of the plan", 2*s.days), "look at the date"}
		case x.Activity <= 0 || x.At.IsZero() || x.Reference.IsZero() || !(x.U >= 0 && x.U < 0.3):
			return &Error{x.ID, "activity", "field-missing", "it has no activity at a time, or its vial no reference time", "write them"}
		}
		seen[x.ID] = true
	}
	return nil
}
