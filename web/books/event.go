package books

import (
	"vialwright/event"
	"vialwright/procedure"
	"vialwright/rules"
)

// Event is what a rule profile says of the infusion of the order; ok is false
// without a profile, and before the residual was read.
func (b *Bench) Event(p *rules.Profile) (c event.Case, d event.Decision, ok bool) {
	if p == nil || b.Prep.Step(procedure.Residual).State != procedure.Done {
		return c, d, false
	}
	c, ok = event.Of(b.Case, b.Out, *p, event.Record{
		Signed: b.Prep.Signature.At, Confirmed: b.Prep.Step(procedure.TimeOut).State == procedure.Done,
		Identifiers: []string{b.Prep.Expect.Patient, b.Prep.Expect.Second},
	})
	if !ok {
		return c, d, false
	}
	return c, event.Decide(c), true
}
