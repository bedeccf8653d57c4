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
	What CheckOf `must:"what" label:"Check"`
	// Of is the activity meter, which the two meter checks must name, or the
	// survey meter.
	Of     string    `may:"of" id:"meter" label:"Meter"`
	Result Outcome   `must:"result" label:"Result"`
	Text   string    `may:"text" label:"Remark"`
	At     time.Time `must:"at" label:"When"`
}

func (c *Check) is() (string, time.Time) { return "check", c.At }

// Survey is a survey of a place: a dose rate, a wipe, or both.
type Survey struct {
	Place      string                                  `must:"place" label:"Place"`
	At         time.Time                               `must:"at" label:"When"`
	Rate       quantity.Stated[quantity.DoseRate]      `may:"rate" label:"Dose rate, with background"`
	Background quantity.Stated[quantity.DoseRate]      `may:"background" label:"Background"`
	Wipe       quantity.Stated[quantity.Contamination] `may:"wipe" label:"Removable contamination"`
	Text       string                                  `may:"text" label:"Remark"`
	Confirmed  string                                  `may:"confirmed" label:"Asked about, and confirmed"`
}

func (v *Survey) is() (string, time.Time) { return "survey", v.At }

// Agitate is the resuspension of a container.
type Agitate struct {
	Of string    `must:"of" id:"container" label:"What was resuspended"`
	At time.Time `must:"at" label:"When"`
}

func (a *Agitate) is() (string, time.Time) { return "agitate", a.At }

// SecondCheck is the second check of a dose, by a person who has not seen the
// first figure.
type SecondCheck struct {
	For string `must:"for" id:"order" label:"Order"`
	// Of is what the checker read: a container of the order, or the vial.
	Of         string                             `must:"of" id:"container" label:"Container"`
	Meter      string                             `must:"meter" id:"meter" label:"Activity meter"`
	At         time.Time                          `must:"at" label:"When"`
	Gross      quantity.Stated[quantity.Activity] `must:"gross" label:"Reading, as displayed"`
	Background quantity.Stated[quantity.Activity] `must:"background" label:"Background"`
	// Activity is the checker's own figure of the dose at infusion time.
	Activity quantity.Stated[quantity.Activity] `must:"activity" label:"Checker's own figure of the dose at infusion"`
	// Shared is the entry of the reading before the draw that the checker was
	// given with what was read; 0 where the own reading was all.
	Shared    int    `may:"shared" label:"Shared reading: entry"`
	Confirmed string `may:"confirmed" label:"Asked about, and confirmed"`
	Sources
	SetUp
}

func (v *SecondCheck) is() (string, time.Time) { return "second-check", v.At }

// Override sets a finding aside, with a reason.
type Override struct {
	For    string    `must:"for" id:"order" label:"Order"`
	Code   string    `must:"code" as:"finding" label:"Finding"`
	Reason string    `must:"reason" label:"Reason"`
	At     time.Time `must:"at" label:"When"`
}

func (o *Override) is() (string, time.Time) { return "override", o.At }

// Release releases a dose by the label that was scanned on it.
type Release struct {
	For    string          `must:"for" id:"order" label:"Order"`
	Serial identity.Serial `must:"serial" label:"Label"`
	At     time.Time       `must:"at" label:"When"`
}

func (r *Release) is() (string, time.Time) { return "release", r.At }

// HandOver gives a dose into other hands, by the label that was scanned.
type HandOver struct {
	For    string          `must:"for" id:"order" label:"Order"`
	Serial identity.Serial `must:"serial" label:"Label"`
	// To is who takes it, by the id of the account if there is one, Place
	// where.
	To    string    `must:"to" label:"Taken by"`
	Place string    `must:"place" label:"Place"`
	At    time.Time `must:"at" label:"When"`
	// Countersigned is who took it over on the same form, with a PIN of their
	// own; empty where nobody did.
	Countersigned string `may:"countersigned" label:"Countersigned by"`
}

func (h *HandOver) is() (string, time.Time) { return "hand-over", h.At }

// TimeOut is the time-out before a dose is given.
type TimeOut struct {
	For string `must:"for" id:"order" label:"Order"`
	// Patient and Territory are as read out, or scanned.
	Patient   string `must:"patient" label:"Identifier on the wristband"`
	SecondID  string `may:"second-identifier" label:"Second identifier"`
	Territory string `may:"territory" label:"Territory"`
	// Activity is as read out.
	Activity quantity.Stated[quantity.Activity] `must:"activity" label:"Activity read out"`
	// With is who took part beside the person who recorded it.
	With string `must:"with" label:"Together with"`
	// SetLot is the lot of the delivery set; Extra is a part in the way of the dose
	// that is not on the site's list of the set, such as a longer tube. Each is empty
	// where not noted.
	SetLot string    `may:"set-lot" label:"Lot of the delivery set"`
	Extra  string    `may:"extra" label:"Part that does not belong to the delivery set"`
	At     time.Time `must:"at" label:"When"`
	// Countersigned is With where that person signed on the same form, with a
	// PIN of their own; else empty.
	Countersigned string `may:"countersigned" label:"Countersigned by"`
}

func (x *TimeOut) is() (string, time.Time) { return "time-out", x.At }

// Cancel gives a preparation up. Striking it out takes the preparation up
// again where it stood.
type Cancel struct {
	For    string    `must:"for" id:"order" label:"Order"`
	Reason string    `must:"reason" label:"Reason"`
	At     time.Time `must:"at" label:"When"`
}

func (a *Cancel) is() (string, time.Time) { return "cancel", a.At }

// Deviation is something that did not go as it should.
type Deviation struct {
	For  string    `may:"for" id:"order" label:"Order"`
	Text string    `must:"text" label:"What went wrong"`
	At   time.Time `must:"at" label:"When"`
}

func (d *Deviation) is() (string, time.Time) { return "deviation", d.At }

// Close says that the record of an order is whole.
type Close struct {
	For string    `must:"for" id:"order" label:"Order"`
	At  time.Time `must:"at" label:"When"`
}

func (c *Close) is() (string, time.Time) { return "close", c.At }

// SignOrder is the signature of the authorised physician under an order, made
// in a session of the physician's own: who recorded it signed.
type SignOrder struct {
	For     string `must:"for" id:"order" label:"Order"`
	Version string `may:"version" label:"Version of the order"`
	// Activity is the one that follows from the absorbed dose of the order; absent
	// where the order states an activity.
	Activity quantity.Stated[quantity.Activity] `may:"activity" label:"Activity that follows from the absorbed dose"`
	At       time.Time                          `must:"at" label:"When"`
}

func (o *SignOrder) is() (string, time.Time) { return "sign-order", o.At }

// TakeOver takes over a dose that was handed over, in a session of the taker's
// own: who recorded it holds the dose.
type TakeOver struct {
	For string    `must:"for" id:"order" label:"Order"`
	At  time.Time `must:"at" label:"When"`
}

func (t *TakeOver) is() (string, time.Time) { return "take-over", t.At }

// SeeFigures says that the person who records it chose to see the figures of a
// dose before its second check, and so does not make that check.
type SeeFigures struct {
	For string    `must:"for" id:"order" label:"Order"`
	At  time.Time `must:"at" label:"When"`
}

func (s *SeeFigures) is() (string, time.Time) { return "see-figures", s.At }

// NearMiss is something that was refused before it could do harm, such as the
// scan of a label that belongs to another dose. It changes nothing; a review
// counts them.
type NearMiss struct {
	// For is the order at whose bench it was; empty where it was at none.
	For string `may:"for" id:"order" label:"Order"`
	// Step is what was being done, in a word of the program; What says what was
	// refused and why, Scanned what a scanner sent. Step and Scanned may be empty.
	Step    string    `may:"step" id:"" label:"Step"`
	What    string    `must:"what" label:"What was refused"`
	Scanned string    `may:"scanned" label:"Scanned"`
	At      time.Time `must:"at" label:"When"`
}

func (n *NearMiss) is() (string, time.Time) { return "near-miss", n.At }
