package dispensing

import (
	"slices"
	"time"

	"vialwright/dose"
	"vialwright/ledger"
	"vialwright/nuclide"
	"vialwright/quantity"
	"vialwright/rules"
)

// Case is everything known about a preparation: what the site has decided,
// what was ordered, and the books. It is a value: the same case reckons to
// the same result.
type Case struct {
	// Zone is the site's zone; times are shown in it.
	Zone     *time.Location
	HalfLife nuclide.HalfLife
	Policy   Policy
	// Policies are those the case has had, in the order of the record, the first
	// for what was done before any other held; none where Policy always held.
	Policies []Dated
	Book     *ledger.Book
	Orders   []Order
	// Elsewhere are orders of the same patients that are not of this case, for what is held or counted
	// of a patient alone ([Case.OfPatient]): no other figure rests on them.
	Elsewhere []Order
	Vials     []Vial
	Draws     []Draw
	MakeUps   []MakeUp
	// Serves says whose dose a container holds: container id to order id.
	Serves map[string]string
	// Left is when a container was handed on, sent back or lost, by its id.
	Left map[string]time.Time
	// Parts are the readings of the residual outside the vial.
	Parts []Part
	// Meters say how well each vial would be read; one that no meter of the site
	// reads on the basis of the prescriptions is not among them.
	Meters map[string]MeterU
	// Names are the ids of orders and containers that an entry names, by its
	// number: what is found of the entry concerns them.
	Names    map[int][]string
	Readings []Reading
	// Labels are those with the figures that were printed on them, in the
	// order of time.
	Labels []Label
	// Infusions and Residuals are per order, at most one of each in force.
	Infusions []Infusion
	Residuals []Residual
	// SetUses are what the time-outs said of the delivery sets, in the order of time.
	SetUses []SetUse
	// Last is the latest instant of any entry: "now" where no other time is
	// asked.
	Last time.Time
	// Assumed names the settings that the file did not give and a documented
	// value was used for, in the order of the policy.
	Assumed []Assumed
	// Backwards lists the entries whose time lies before the entry above them.
	Backwards []Backwards
	// Settling is for the clock that tells how a vial settles.
	Settling Settling
	// OffsetOdd lists the entries with a time whose written offset the zone
	// did not have at that moment.
	OffsetOdd []int
	// Experience is what the site's own finished preparations have shown, as last entered; nil
	// for nothing. Drawer is who is about to draw, empty for nobody in
	// particular: a draw still to be made is planned for them.
	Experience *Experience
	Drawer     string
	// Checks are the second checks in force, in the order of time.
	Checks []Check
	// Measured are the surveys and staff doses, in the order of time.
	Measured []Measured
	// Curves are the readings of vials that settled, in the order of time.
	Curves []SettlingTest
	// Profile is the rule profile that the site has named; nil for none.
	Profile *rules.Profile
}

// MeterU is what a reading is uncertain by, in relative standard uncertainties.
type MeterU struct {
	// Repeat is new for each reading, Common common to all of them: calibration
	// and geometry.
	Repeat, Common float64
}

// Policy is what the site has decided. Every field has a documented value
// used where the site has not decided, and each such use is reported.
type Policy struct {
	// Rules are those of an order that is signed under it, and Law that of the order that is
	// looked at.
	Rules
	// LabelTolerance is the allowed departure of measured from labelled.
	LabelTolerance quantity.Fraction
	// LabelDrift is how far the reckoned dose may move from its printed label.
	LabelDrift quantity.Fraction
	// MakeUpMin and MakeUpMax bound the volume in the syringe after make-up.
	MakeUpMin, MakeUpMax quantity.Volume
	// Graduation is the syringe's smallest division.
	Graduation quantity.Volume
	// Yield is the site's draw yield q: activity share per volume share.
	Yield ledger.Share
	// ResidualU is the relative standard uncertainty of a residual fraction
	// measured by dose rate, beyond the display's resolution: the geometry of
	// spread waste against a point vial.
	ResidualU quantity.Fraction
	// CheckLimit is how far a second check may lie from the record, as a
	// fraction of it. CheckEither lets it be made by reading the container with
	// the dose, which shares no reading, as well as the remainder of the vial;
	// where another draw was made from the vial its remainder tells nothing of
	// the dose, and the container is read in any case.
	CheckLimit  quantity.Fraction
	CheckEither bool
	// LearnYield lets site experience take the place of Yield.
	LearnYield bool
}

// Verdicts are the words a decision is given in.
type Verdicts struct {
	Conforms, Unsure, Outside, BeyondLimit string
}

// Order is a physician's prescription for one territory.
type Order struct {
	// Entry is the number of the entry it comes from, from 1.
	Entry      int
	ID         string
	Prescribed quantity.Activity
	// Written is the prescribed activity as the physician wrote it, with its unit;
	// empty where nobody did.
	Written string
	// At is the planned infusion time.
	At time.Time
	// What the physician lets the draw aim higher by, for what is expected to
	// stay behind: a fraction of the dispensed activity in [0, 1), or an
	// activity at infusion time. One of the two is 0, or both are.
	Residual         quantity.Fraction
	ResidualActivity quantity.Activity
	// Rules are what the site had decided when it was signed; nil for the case's
	// policy.
	Rules *Rules
	// Cancelled tells that its preparation was cancelled: nothing is drawn for
	// it, and nothing is kept back.
	Cancelled bool
	// Patient is the first identifier of the patient; empty where none is given. What is
	// held of a patient, such as the dose of the lungs, is so for all orders with it.
	Patient string
	// OneIdentifier tells that it has one identifier of the patient, and no word why.
	OneIdentifier bool
	// Territory and Version are as written, empty where not given.
	Territory string
	Version   string
	// NotBefore and NotAfter are the order's own bounds of the infusion; zero for
	// none.
	NotBefore, NotAfter time.Time
	// Dosimetry is what the prescription rests on, with the prescribed activity in
	// it; nil where the order does not say.
	Dosimetry *dose.Order
	// OrStasis tells whether the order says "or at stasis"; nil where nobody wrote
	// which.
	OrStasis *bool
	// Site is the organ that is treated, as written; empty where not given.
	Site string
	// FromDose says from which absorbed dose Prescribed was worked out; empty where
	// the order states the activity.
	FromDose string
}

// Vial is a received shipping vial.
type Vial struct {
	// Entry is the number of the entry it comes from, from 1.
	Entry     int
	ID        string
	Lot       string
	Labelled  quantity.Activity
	Reference time.Time
	Volume    quantity.Volume
	// LabelWritten and VolumeWritten are Labelled and Volume as they were typed.
	LabelWritten, VolumeWritten string
	// Parcel is the delivery that it came in, empty where that was not noted.
	Parcel string
	// Expiry is zero where not given.
	Expiry time.Time
	// Tolerance is that of the label when the vial was received; zero for the
	// policy's.
	Tolerance quantity.Fraction
}

// Gone tells that a container had left the site by a moment.
func (c Case) Gone(id string, at time.Time) bool {
	left, ok := c.Left[id]
	return ok && !left.After(at)
}

// Draw is a movement of suspension into a syringe for an order.
type Draw struct {
	// Entry is the number of the entry it comes from, from 1.
	Entry      int
	From, Into string
	For        string
	At         time.Time
	Volume     quantity.Volume
	// Agitated is when the source was last resuspended, zero where not noted.
	Agitated time.Time
	// Trusted is how long after that the settling clock let a draw be begun;
	// nil where it was not asked.
	Trusted *quantity.Span
	// By is who drew, empty where not noted. Yield is what was expected of
	// the draw when it was made, by the site experience where Learned says so,
	// else by the policy; the zero value stands for the policy's of today.
	By      string
	Yield   ledger.Share
	Learned bool
	// Written is Volume as it was typed.
	Written string
}

// MakeUp is a diluent added to a container.
type MakeUp struct {
	// Entry is the number of the entry it comes from, from 1.
	Entry   int
	Of      string
	At      time.Time
	Volume  quantity.Volume
	Diluent string
	Lot     string
	// After is the volume in the container after it.
	After quantity.Volume
	// Min and Max bound After, by the policy when it was recorded; zero for the
	// case's policy.
	Min, Max quantity.Volume
}

// Reading is a meter reading as it was entered, beside the ledger's net one.
type Reading struct {
	// Entry is the number of the entry it comes from, from 1.
	Entry      int
	Of         string
	Meter      string
	At         time.Time
	Gross      quantity.Activity
	Background quantity.Activity
	Basis      quantity.Basis
	// Source is "typed", or names the instrument that Gross came from; empty
	// where nobody noted it. Nothing is reckoned from it.
	Source string
	// Written is Gross as it was typed.
	Written string
	// Setting and Insert are how the meter was set; empty where nobody noted it. Nothing is
	// reckoned from them.
	Setting, Insert string
}

// Infusion is the giving of a dose.
type Infusion struct {
	// Entry is the number of the entry it comes from, from 1.
	Entry int
	For   string
	From  string
	Start time.Time
	// Stop and Reason are as entered; the reason is asked, never defaulted.
	Stop   time.Time
	Reason string
	// OfSet tells that the reason may lie with the delivery set.
	OfSet bool
	// Evidence is who saw what, Text what else was said, Treated the territory
	// where it is not the one ordered; each empty where not noted.
	Evidence, Text, Treated string
	// PathFree tells whether the way of the dose was seen to be free; nil where
	// nobody noted it.
	PathFree *bool
	// Implied: a residual was entered without an infusion, so the dose is
	// taken as given at the planned time.
	Implied bool
}

// Part is a container of residual parts that was read.
type Part struct {
	// Entry is the number of the reading, from 1; Of the container, For the order.
	Entry   int
	Of, For string
	// Holds says what is in it, such as "line, catheter".
	Holds string
}

// Residual is what was not delivered, by dose rate in one geometry.
type Residual struct {
	// Entry is the number of the entry it comes from, from 1.
	Entry int
	For   string
	// From is the container whose dose it was.
	From          string
	Before, After DoseReading
}

// HasBaseline tells that the dose rate of the full dose of an order was read, above its
// background and before the infusion began: without it a residual cannot be told by dose rate.
func (c Case) HasBaseline(order string) bool {
	return slices.ContainsFunc(c.Residuals, func(r Residual) bool {
		net, _ := r.Before.Mean()
		late := slices.ContainsFunc(c.Infusions, func(i Infusion) bool { return i.For == order && !i.Implied && r.Before.At.After(i.Start) })
		return r.For == order && len(r.Before.Rates) > 0 && net > 0 && !late
	})
}

// DoseReading is what the directions read, with the background, in the unit of its family
// ([quantity.Family]).
type DoseReading struct {
	// Entry is the number of the entry it comes from, from 1; the readings
	// before and after may come from two.
	Entry      int
	At         time.Time
	Rates      []quantity.MeterRate
	Background quantity.MeterRate
	// Resolution is the largest step of the rates as they were written, 1 of 182 and 0.1 of 6.4.
	Resolution quantity.MeterRate
	// BackgroundStep is that of the background.
	BackgroundStep quantity.MeterRate
	Family         string
	// Unit is that of the first rate as it was written, such as mrem/h of the family uSv/h.
	Unit string
}

// Assumed is a setting that was not given.
type Assumed struct {
	// Setting is its word in a case file, Name what a person calls it; empty for the same.
	Setting, Name, Value, Source string
	// FromExperience tells that it comes from the site's own finished preparations.
	FromExperience bool
}

// Backwards is an entry whose time lies before the one above it.
type Backwards struct {
	// Entry is the number of the entry, Above that of the one above it.
	Entry, Above int
}
