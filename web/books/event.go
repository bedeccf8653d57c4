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
		Signed: p.Signature.At, Confirmed: p.Step(procedure.TimeOut).State == procedure.Done, Identifiers: p.Identifiers,
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

// Unfinished tells that a rule profile still asks for something after the infusion of
// an order.
func (b *Bench) Unfinished(p *rules.Profile) bool {
	_, d, ok := b.Event(p)
	return ok && d.Unfinished()
}

// Event is what a rule profile says of the infusion of the order; ok is false
// without a profile, and before the residual was read.
func (b *Bench) Event(p *rules.Profile) (c event.Case, d event.Decision, ok bool) {
	if p == nil || b.Prep.Step(procedure.Residual).State != procedure.Done {
		return c, d, false
	}
	c, ok = event.Of(b.Case, b.Out, *p, EventRecord(b.Prep))
	if !ok {
		return c, d, false
	}
	return c, event.Decide(c), true
}
