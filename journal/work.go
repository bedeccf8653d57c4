package journal

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

func (c *Check) fields(f []field) []field {
	return append(f,
		field{"what", must, oneWord[CheckOf]{&c.What, checksOf}, "Check"},
		field{"of", may, id{&c.Of, AboutMeter}, "Meter"},
		field{"result", must, oneWord[Outcome]{&c.Result, outcomes}, "Result"},
		field{"text", may, text{&c.Text}, "Remark"},
		field{"at", must, instant{&c.At}, "When"},
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

func (v *Survey) fields(f []field) []field {
	return append(f,
		field{"place", must, text{&v.Place}, "Place"},
		field{"at", must, instant{&v.At}, "When"},
		field{"rate", may, amount(&v.Rate), "Dose rate, with background"},
		field{"background", may, amount(&v.Background), "Background"},
		field{"wipe", may, amount(&v.Wipe), "Removable contamination"},
		field{"text", may, text{&v.Text}, "Remark"},
	)
}

// Agitate is the shaking of a container.
type Agitate struct {
	Of string
	At time.Time
}

// Kind is "agitate".
func (*Agitate) Kind() string        { return "agitate" }
func (a *Agitate) moment() time.Time { return a.At }

func (a *Agitate) fields(f []field) []field {
	return append(f,
		field{"of", must, id{&a.Of, AboutContainer}, "What was resuspended"},
		field{"at", must, instant{&a.At}, "When"},
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
}

// Kind is "second-check".
func (*SecondCheck) Kind() string        { return "second-check" }
func (v *SecondCheck) moment() time.Time { return v.At }

func (v *SecondCheck) fields(f []field) []field {
	return v.Sources.to(append(f,
		field{"for", must, id{&v.For, AboutOrder}, "Order"},
		field{"of", must, id{&v.Of, AboutContainer}, "Container"},
		field{"meter", must, id{&v.Meter, AboutMeter}, "Activity meter"},
		field{"at", must, instant{&v.At}, "When"},
		field{"gross", must, amount(&v.Gross), "Reading, as displayed"},
		field{"background", must, amount(&v.Background), "Background"},
		field{"activity", must, amount(&v.Activity), "Checker's own figure of the dose at infusion"},
		field{"shared", may, whole{&v.Shared}, "Shared reading: entry"},
		field{"confirmed", may, text{&v.Confirmed}, "Asked about, and confirmed"},
	))
}

// Override goes on in spite of a finding.
type Override struct {
	For string
	// Code is that of the finding.
	Code, Reason string
	At           time.Time
}

// Kind is "override".
func (*Override) Kind() string        { return "override" }
func (o *Override) moment() time.Time { return o.At }

func (o *Override) fields(f []field) []field {
	return append(f,
		field{"for", must, id{&o.For, AboutOrder}, "Order"},
		field{"code", must, findingCode{id{&o.Code, aboutNothing}}, "Finding"},
		field{"reason", must, text{&o.Reason}, "Reason"},
		field{"at", must, instant{&o.At}, "When"},
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

func (r *Release) fields(f []field) []field {
	return append(f,
		field{"for", must, id{&r.For, AboutOrder}, "Order"},
		field{"serial", must, serial{&r.Serial}, "Label"},
		field{"at", must, instant{&r.At}, "When"},
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

func (h *HandOver) fields(f []field) []field {
	return append(f,
		field{"for", must, id{&h.For, AboutOrder}, "Order"},
		field{"serial", must, serial{&h.Serial}, "Label"},
		field{"to", must, text{&h.To}, "Taken by"},
		field{"place", must, text{&h.Place}, "Place"},
		field{"at", must, instant{&h.At}, "When"},
		field{"countersigned", may, text{&h.Countersigned}, "Countersigned by"},
	)
}

// TimeOut is the time-out before a dose is given.
type TimeOut struct {
	For string
	// Patient and Territory are as read out, or scanned.
	Patient, Territory string
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

func (x *TimeOut) fields(f []field) []field {
	return append(f,
		field{"for", must, id{&x.For, AboutOrder}, "Order"},
		field{"patient", must, text{&x.Patient}, "Identifier on the wristband"},
		field{"territory", may, text{&x.Territory}, "Territory"},
		field{"activity", must, amount(&x.Activity), "Activity read out"},
		field{"with", must, text{&x.With}, "Together with"},
		field{"at", must, instant{&x.At}, "When"},
		field{"countersigned", may, text{&x.Countersigned}, "Countersigned by"},
	)
}
