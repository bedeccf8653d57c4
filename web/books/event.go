package books

import (
	"time"

	"vialwright/event"
	"vialwright/fact"
	"vialwright/procedure"
	"vialwright/rules"
)

// EventRecord is what the record of a preparation says to a rule profile.
func EventRecord(p procedure.Preparation) event.Record {
	a := p.After
	r := event.Record{
		Signed: p.Signature.At, Confirmed: a.Confirmed, Identifiers: p.Identifiers,
		LeftRecovery: a.LeftRecovery, Ended: a.Ended, Judged: a.Told[fact.NoEvent],
		Told: map[rules.Key]time.Time{
			rules.TellPatient: a.Told[fact.ToldPatient], rules.NotifyAuthority: a.Told[fact.ToldAuthority], rules.WrittenReport: a.Told[fact.SentReport],
		},
	}
	if a.Completed() {
		r.Completed = a.Completion.At
		if a.Completion.Revision != "" {
			r.Revised = a.Completion.At
		}
	}
	return r
}

// Unfinished tells that the rule profile still asks for something after the infusion of
// an order.
func (b *Bench) Unfinished() bool {
	_, d, ok := b.Event()
	return ok && d.Unfinished()
}

// decided is what a rule profile says, kept for the page.
type decided struct {
	of event.Case
	is event.Decision
	ok bool
}

// Event is what the rule profile says of the infusion of the order; ok is false
// without a profile, and while an answer has to wait for the residual.
func (b *Bench) Event() (event.Case, event.Decision, bool) {
	if b.event == nil {
		c, ok := event.Of(b.Case, b.Out, EventRecord(b.Prep))
		b.event = &decided{of: c}
		if ok {
			b.event.is = event.Decide(c)
			b.event.ok = b.Prep.Step(procedure.Residual).State == procedure.Done || b.event.is.Early(c)
		}
	}
	return b.event.of, b.event.is, b.event.ok
}
