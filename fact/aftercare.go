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

// Milestone says when the procedure of an order ended, or when its patient left
// recovery.
type Milestone struct {
	For  string      `must:"for" id:"order" label:"Order"`
	What MilestoneOf `must:"what" label:"What ended"`
	At   time.Time   `must:"at" label:"When"`
}

func (m *Milestone) is() (string, time.Time) { return "milestone", m.At }

// CompleteOrder is the completion of an order after its infusion, made in a session
// of the authorised physician's own: who recorded it signed. What it holds is what
// the physician was shown.
type CompleteOrder struct {
	For        string                             `must:"for" id:"order" label:"Order"`
	Version    string                             `may:"version" label:"Version of the order"`
	Delivered  quantity.Stated[quantity.Activity] `must:"delivered" label:"Delivered"`
	DeliveredU quantity.Stated[quantity.Activity] `may:"delivered-u" label:"Uncertainty of the delivered activity"`
	Reason     Reason                             `must:"reason" label:"Why it ended"`
	// Beyond is the probability of being beyond the limit, Outcome what the rule
	// profile said, Paragraph by what; empty where the site has named no profile.
	Beyond    quantity.Stated[quantity.Fraction] `may:"beyond" label:"Probability of being beyond the limit"`
	Outcome   string                             `may:"outcome" label:"By the rule profile"`
	Paragraph string                             `may:"paragraph" label:"Paragraph"`
	Revision  string                             `may:"revision" label:"What was revised, and why"`
	// Late says how long after its deadline it was signed; empty where in time.
	Late string    `may:"late" label:"After the deadline"`
	At   time.Time `must:"at" label:"When"`
}

func (c *CompleteOrder) is() (string, time.Time) { return "complete-order", c.At }

// ReportOf is who was told of an event.
type ReportOf string

// Who is told, and the end of it.
const (
	ToldPatient   ReportOf = "referrer-and-patient"
	ToldAuthority ReportOf = "authority"
	SentReport    ReportOf = "written-report"
	NoEvent       ReportOf = "no-event"
)

// EventReport says that somebody was told of an event, or that a person has judged
// that it is none.
type EventReport struct {
	For  string    `must:"for" id:"order" label:"Order"`
	What ReportOf  `must:"what" label:"Who was told"`
	Text string    `must:"text" label:"By whom and how; for no event, who judged it and why"`
	At   time.Time `must:"at" label:"When"`
}

func (r *EventReport) is() (string, time.Time) { return "event-report", r.At }

// Asked is the answer to a question that may not concern a patient.
type Asked string

// The answers.
const (
	AskedYes Asked = "yes"
	AskedNo  Asked = "no"
	AskedNot Asked = "does-not-apply"
)

// ReleasePatient lets a patient go home, on a basis and with instructions.
type ReleasePatient struct {
	For string `must:"for" id:"order" label:"Order"`
	// Basis is why the patient may go, in words: a dose estimate, a measurement.
	// Rate is as the meter showed it; nothing is reckoned from it.
	Basis      string                              `must:"basis" label:"Basis of the release"`
	Rate       quantity.Stated[quantity.MeterRate] `may:"rate" label:"Dose rate at 1 m, with background"`
	Background quantity.Stated[quantity.MeterRate] `may:"background" label:"Background"`
	// Nursing and Pregnant are asked; Given tells that the sheet was handed out.
	Nursing  Asked     `must:"nursing" label:"Nursing a child"`
	Pregnant Asked     `must:"pregnant" label:"Pregnant"`
	Given    Clause    `must:"given" label:"Instructions given on paper"`
	Text     string    `may:"text" label:"Remark"`
	At       time.Time `must:"at" label:"When"`
}

func (r *ReleasePatient) is() (string, time.Time) { return "release-patient", r.At }

// Modality is how an image was made.
type Modality string

// Seen is what an image showed, which somebody judged elsewhere.
type Seen string

// What is recorded of an image.
const (
	AsIntended Seen = "as-intended"
	Elsewhere  Seen = "elsewhere"
	NotDone    Seen = "not-done"
)

// Imaging is a record of the imaging after an infusion. Nothing is worked out from
// it.
type Imaging struct {
	For      string    `must:"for" id:"order" label:"Order"`
	Result   Seen      `must:"result" label:"The activity is"`
	Modality Modality  `may:"modality" label:"Modality"`
	Text     string    `may:"text" label:"Where, or why it was not done"`
	By       string    `may:"by" label:"Judged by"`
	At       time.Time `must:"at" label:"When"`
}

func (i *Imaging) is() (string, time.Time) { return "imaging", i.At }
