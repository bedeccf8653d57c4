package fact

import (
	"time"

	"vialwright/identity"
	"vialwright/quantity"
)

// CheckOf is what a check of readiness is of.
type CheckOf string

// What is checked before a preparation.
const (
	MeterBackground CheckOf = "meter-background"
	MeterConstancy  CheckOf = "meter-constancy"
	SurveyMeter     CheckOf = "survey-meter"
	AreaClear       CheckOf = "area-clear"
	Consumables     CheckOf = "consumables"
	People          CheckOf = "people"
)

// What is checked once, before the first preparation of a site: that the clock
// shows the time of the place, and that a printed label can be read.
const (
	SiteClock CheckOf = "site-clock"
	TestPrint CheckOf = "test-print"
)

// Beginning tells of a check that is made once, at the beginning of a site.
func (c CheckOf) Beginning() bool { return c == SiteClock || c == TestPrint }

// Outcome is how a check came out.
type Outcome string

// The outcomes.
const (
	Pass Outcome = "pass"
	Fail Outcome = "fail"
)

// Check is one check of readiness.
type Check struct {
	What CheckOf
	// Of is the activity meter, which the two meter checks must name, or the
	// survey meter.
	Of     string
	Result Outcome
	Text   string
	At     time.Time
}

// Kind is "check".
func (*Check) Kind() string        { return "check" }
func (c *Check) moment() time.Time { return c.At }

func (c *Check) fields(f []Slot) []Slot {
	return append(f,
		Slot{"what", must, oneWord[CheckOf]{&c.What, checksOf}, "Check"},
		Slot{"of", may, id{&c.Of, AboutMeter}, "Meter"},
		Slot{"result", must, oneWord[Outcome]{&c.Result, outcomes}, "Result"},
		Slot{"text", may, text{&c.Text}, "Remark"},
		Slot{"at", must, instant{&c.At}, "When"},
	)
}

// Survey is a survey of a place: a dose rate, a wipe, or both.
type Survey struct {
	Place string
	At    time.Time
	// Rate is the dose rate with the Background in it.
	Rate, Background quantity.Stated[quantity.DoseRate]
	// Wipe is the removable contamination.
	Wipe quantity.Stated[quantity.Contamination]
	Text string
}

// Kind is "survey".
func (*Survey) Kind() string        { return "survey" }
func (v *Survey) moment() time.Time { return v.At }

func (v *Survey) fields(f []Slot) []Slot {
	return append(f,
		Slot{"place", must, text{&v.Place}, "Place"},
		Slot{"at", must, instant{&v.At}, "When"},
		Slot{"rate", may, amount(&v.Rate), "Dose rate, with background"},
		Slot{"background", may, amount(&v.Background), "Background"},
		Slot{"wipe", may, amount(&v.Wipe), "Removable contamination"},
		Slot{"text", may, text{&v.Text}, "Remark"},
	)
}

// Agitate is the resuspension of a container.
type Agitate struct {
	Of string
	At time.Time
}

// Kind is "agitate".
func (*Agitate) Kind() string        { return "agitate" }
func (a *Agitate) moment() time.Time { return a.At }

func (a *Agitate) fields(f []Slot) []Slot {
	return append(f,
		Slot{"of", must, id{&a.Of, AboutContainer}, "What was resuspended"},
		Slot{"at", must, instant{&a.At}, "When"},
	)
}

// SecondCheck is the second check of a dose, by a person who has not seen the
// first figure.
type SecondCheck struct {
	For string
	// Of is what the checker read: a container of the order, or the vial.
	Of, Meter         string
	At                time.Time
	Gross, Background quantity.Stated[quantity.Activity]
	// Activity is the checker's own figure of the dose at infusion time.
	Activity quantity.Stated[quantity.Activity]
	// Shared is the entry of the reading before the draw that the checker was
	// given with what was read; 0 where the own reading was all.
	Shared int
	// Confirmed is what was asked about, and said to be so; empty for nothing.
	Confirmed string
	// Gross and Background came from here.
	Sources
	// SetUp is how the meter was set.
	SetUp
}

// Kind is "second-check".
func (*SecondCheck) Kind() string        { return "second-check" }
func (v *SecondCheck) moment() time.Time { return v.At }

func (v *SecondCheck) fields(f []Slot) []Slot {
	return v.SetUp.to(v.Sources.to(append(f,
		Slot{"for", must, id{&v.For, AboutOrder}, "Order"},
		Slot{"of", must, id{&v.Of, AboutContainer}, "Container"},
		Slot{"meter", must, id{&v.Meter, AboutMeter}, "Activity meter"},
		Slot{"at", must, instant{&v.At}, "When"},
		Slot{"gross", must, amount(&v.Gross), "Reading, as displayed"},
		Slot{"background", must, amount(&v.Background), "Background"},
		Slot{"activity", must, amount(&v.Activity), "Checker's own figure of the dose at infusion"},
		Slot{"shared", may, whole{&v.Shared}, "Shared reading: entry"},
		Slot{"confirmed", may, text{&v.Confirmed}, "Asked about, and confirmed"},
	)))
}

// Override sets a finding aside, with a reason.
type Override struct {
	For string
	// Code is that of the finding.
	Code, Reason string
	At           time.Time
}

// Kind is "override".
func (*Override) Kind() string        { return "override" }
func (o *Override) moment() time.Time { return o.At }

func (o *Override) fields(f []Slot) []Slot {
	return append(f,
		Slot{"for", must, id{&o.For, AboutOrder}, "Order"},
		Slot{"code", must, findingCode{id{&o.Code, aboutNothing}}, "Finding"},
		Slot{"reason", must, text{&o.Reason}, "Reason"},
		Slot{"at", must, instant{&o.At}, "When"},
	)
}

// Release releases a dose by the label that was scanned on it.
type Release struct {
	For    string
	Serial identity.Serial
	At     time.Time
}

// Kind is "release".
func (*Release) Kind() string        { return "release" }
func (r *Release) moment() time.Time { return r.At }

func (r *Release) fields(f []Slot) []Slot {
	return append(f,
		Slot{"for", must, id{&r.For, AboutOrder}, "Order"},
		Slot{"serial", must, serial{&r.Serial}, "Label"},
		Slot{"at", must, instant{&r.At}, "When"},
	)
}

// HandOver gives a dose into other hands, by the label that was scanned.
type HandOver struct {
	For    string
	Serial identity.Serial
	// To is who takes it, by the id of the account if there is one, Place
	// where.
	To, Place string
	At        time.Time
	// Countersigned is who took it over on the same form, with a PIN of their
	// own; empty where nobody did.
	Countersigned string
}

// Kind is "hand-over".
func (*HandOver) Kind() string        { return "hand-over" }
func (h *HandOver) moment() time.Time { return h.At }

func (h *HandOver) fields(f []Slot) []Slot {
	return append(f,
		Slot{"for", must, id{&h.For, AboutOrder}, "Order"},
		Slot{"serial", must, serial{&h.Serial}, "Label"},
		Slot{"to", must, text{&h.To}, "Taken by"},
		Slot{"place", must, text{&h.Place}, "Place"},
		Slot{"at", must, instant{&h.At}, "When"},
		Slot{"countersigned", may, text{&h.Countersigned}, "Countersigned by"},
	)
}

// TimeOut is the time-out before a dose is given.
type TimeOut struct {
	For string
	// Patient and Territory are as read out, or scanned.
	Patient, Territory string
	// SecondID is the second identifier, where the order has one.
	SecondID string
	// Activity is as read out.
	Activity quantity.Stated[quantity.Activity]
	// With is who took part beside the person who recorded it.
	With string
	At   time.Time
	// Countersigned is With where that person signed on the same form, with a
	// PIN of their own; else empty.
	Countersigned string
}

// Kind is "time-out".
func (*TimeOut) Kind() string        { return "time-out" }
func (x *TimeOut) moment() time.Time { return x.At }

func (x *TimeOut) fields(f []Slot) []Slot {
	return append(f,
		Slot{"for", must, id{&x.For, AboutOrder}, "Order"},
		Slot{"patient", must, text{&x.Patient}, "Identifier on the wristband"},
		Slot{"second-identifier", may, text{&x.SecondID}, "Second identifier"},
		Slot{"territory", may, text{&x.Territory}, "Territory"},
		Slot{"activity", must, amount(&x.Activity), "Activity read out"},
		Slot{"with", must, text{&x.With}, "Together with"},
		Slot{"at", must, instant{&x.At}, "When"},
		Slot{"countersigned", may, text{&x.Countersigned}, "Countersigned by"},
	)
}
