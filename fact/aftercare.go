package fact

import (
	"time"

	"vialwright/quantity"
)

// MilestoneOf is a moment after an infusion that a deadline hangs on.
type MilestoneOf string

// The two. Each has a deadline of its own.
const (
	ProcedureEnded MilestoneOf = "procedure-ended"
	LeftRecovery   MilestoneOf = "left-recovery"
)

var milestones = []MilestoneOf{ProcedureEnded, LeftRecovery}

// Milestone says when the procedure of an order ended, or when its patient left
// recovery.
type Milestone struct {
	For  string
	What MilestoneOf
	At   time.Time
}

// Kind is "milestone".
func (*Milestone) Kind() string        { return "milestone" }
func (m *Milestone) moment() time.Time { return m.At }

func (m *Milestone) fields(f []Slot) []Slot {
	return append(f,
		Slot{"for", must, id{&m.For, AboutOrder}, "Order"},
		Slot{"what", must, oneWord[MilestoneOf]{&m.What, milestones}, "What ended"},
		Slot{"at", must, instant{&m.At}, "When"},
	)
}

// CompleteOrder is the completion of an order after its infusion, made in a session
// of the authorised physician's own: who recorded it signed. What it holds is what
// the physician was shown.
type CompleteOrder struct {
	For, Version string
	Delivered    quantity.Stated[quantity.Activity]
	// DeliveredU is the standard uncertainty of Delivered.
	DeliveredU quantity.Stated[quantity.Activity]
	Reason     Reason
	// Beyond is the probability of being beyond the limit, Outcome what the rule
	// profile said, Paragraph by what; empty where the site has named no profile.
	Beyond             quantity.Stated[quantity.Fraction]
	Outcome, Paragraph string
	// Revision says what of the order was revised, and why; empty for nothing.
	Revision string
	// Late says how long after its deadline it was signed; empty where in time.
	Late string
	At   time.Time
}

// Kind is "complete-order".
func (*CompleteOrder) Kind() string        { return "complete-order" }
func (c *CompleteOrder) moment() time.Time { return c.At }

func (c *CompleteOrder) fields(f []Slot) []Slot {
	return append(f,
		Slot{"for", must, id{&c.For, AboutOrder}, "Order"},
		Slot{"version", may, text{&c.Version}, "Version of the order"},
		Slot{"delivered", must, amount(&c.Delivered), "Delivered"},
		Slot{"delivered-u", may, amount(&c.DeliveredU), "Uncertainty of the delivered activity"},
		Slot{"reason", must, oneWord[Reason]{&c.Reason, reasons}, "Why it ended"},
		Slot{"beyond", may, amount(&c.Beyond), "Probability of being beyond the limit"},
		Slot{"outcome", may, text{&c.Outcome}, "By the rule profile"},
		Slot{"paragraph", may, text{&c.Paragraph}, "Paragraph"},
		Slot{"revision", may, text{&c.Revision}, "What was revised, and why"},
		Slot{"late", may, text{&c.Late}, "After the deadline"},
		Slot{"at", must, instant{&c.At}, "When"},
	)
}

// ReportOf is who was told of an event.
type ReportOf string

// Who is told, and the end of it.
const (
	ToldPatient   ReportOf = "referrer-and-patient"
	ToldAuthority ReportOf = "authority"
	SentReport    ReportOf = "written-report"
	NoEvent       ReportOf = "no-event"
)

var reports = []ReportOf{ToldPatient, ToldAuthority, SentReport, NoEvent}

// EventReport says that somebody was told of an event, or that a person has judged
// that it is none.
type EventReport struct {
	For  string
	What ReportOf
	Text string
	At   time.Time
}

// Kind is "event-report".
func (*EventReport) Kind() string        { return "event-report" }
func (r *EventReport) moment() time.Time { return r.At }

func (r *EventReport) fields(f []Slot) []Slot {
	return append(f,
		Slot{"for", must, id{&r.For, AboutOrder}, "Order"},
		Slot{"what", must, oneWord[ReportOf]{&r.What, reports}, "Who was told"},
		Slot{"text", must, text{&r.Text}, "By whom and how; for no event, who judged it and why"},
		Slot{"at", must, instant{&r.At}, "When"},
	)
}

// Asked is the answer to a question that may not concern a patient.
type Asked string

// The answers.
const (
	AskedYes Asked = "yes"
	AskedNo  Asked = "no"
	AskedNot Asked = "does-not-apply"
)

var asked = []Asked{AskedYes, AskedNo, AskedNot}

// ReleasePatient lets a patient go home, on a basis and with instructions.
type ReleasePatient struct {
	For string
	// Basis is why the patient may go, in words: a dose estimate, a measurement.
	Basis string
	// Rate is the dose rate at one metre, with the Background in it.
	Rate, Background quantity.Stated[quantity.DoseRate]
	// Nursing and Pregnant are asked; Given tells that the sheet was handed out.
	Nursing, Pregnant Asked
	Given             Clause
	Text              string
	At                time.Time
}

// Kind is "release-patient".
func (*ReleasePatient) Kind() string        { return "release-patient" }
func (r *ReleasePatient) moment() time.Time { return r.At }

func (r *ReleasePatient) fields(f []Slot) []Slot {
	return append(f,
		Slot{"for", must, id{&r.For, AboutOrder}, "Order"},
		Slot{"basis", must, text{&r.Basis}, "Basis of the release"},
		Slot{"rate", may, amount(&r.Rate), "Dose rate at 1 m, with background"},
		Slot{"background", may, amount(&r.Background), "Background"},
		Slot{"nursing", must, oneWord[Asked]{&r.Nursing, asked}, "Nursing a child"},
		Slot{"pregnant", must, oneWord[Asked]{&r.Pregnant, asked}, "Pregnant"},
		Slot{"given", must, oneWord[Clause]{&r.Given, clauses}, "Instructions given on paper"},
		Slot{"text", may, text{&r.Text}, "Remark"},
		Slot{"at", must, instant{&r.At}, "When"},
	)
}

// Modality is how an image was made.
type Modality string

var modalities = []Modality{"pet-ct", "pet-mr", "spect-ct", "planar", "other"}

// Seen is what an image showed, which somebody judged elsewhere.
type Seen string

// What is recorded of an image.
const (
	AsIntended Seen = "as-intended"
	Elsewhere  Seen = "elsewhere"
	NotDone    Seen = "not-done"
)

var seen = []Seen{AsIntended, Elsewhere, NotDone}

// Imaging is a record of the imaging after an infusion. Nothing is worked out from
// it.
type Imaging struct {
	For      string
	Modality Modality
	Result   Seen
	Text, By string
	At       time.Time
}

// Kind is "imaging".
func (*Imaging) Kind() string        { return "imaging" }
func (i *Imaging) moment() time.Time { return i.At }

func (i *Imaging) fields(f []Slot) []Slot {
	return append(f,
		Slot{"for", must, id{&i.For, AboutOrder}, "Order"},
		Slot{"result", must, oneWord[Seen]{&i.Result, seen}, "The activity is"},
		Slot{"modality", may, oneWord[Modality]{&i.Modality, modalities}, "Modality"},
		Slot{"text", may, text{&i.Text}, "Where, or why it was not done"},
		Slot{"by", may, text{&i.By}, "Judged by"},
		Slot{"at", must, instant{&i.At}, "When"},
	)
}
