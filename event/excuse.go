package event

import (
	"strings"

	"vialwright/quantity"
	"vialwright/rules"
)

// excused asks whether the reason takes too little out of the events.
func (d *decider) excused() {
	d.out.Outcome = IsEvent
	switch d.Reason.Reason {
	case PatientIntervention:
		if v, ok := d.excuse(rules.PatientIntervention); ok {
			d.out.Outcome = ByPatient
			d.because("It ended by what the patient did, which %s sets apart.", v.Source())
		}
	case Stasis:
		d.stasis()
	case EmergentCondition:
		d.emergent()
	default:
		d.because("The reason is %s, which excuses nothing.", d.Reason.Reason)
	}
	if d.out.Outcome != IsEvent && len(d.memory) > 0 {
		d.hold()
	}
}

// hold leaves it an event where what would take it out is from memory: its clocks run
// until a person has judged. What the exception still waits for is asked for beside.
func (d *decider) hold() {
	d.out.Outcome, d.out.Remembered = IsEvent, strings.ReplaceAll(string(d.Reason.Reason), "-", " ")
	if len(d.out.Missing) > 0 {
		d.question("Still to be entered: %s.", strings.Join(d.out.Missing, "; "))
	}
	var all []string
	for _, v := range d.memory {
		all = append(all, v.Key.Says()+": "+v.Figure+", by "+v.Source())
	}
	d.question("What would take it out of the events is from memory, and decides nothing alone: %s. Read it, and record that it was judged to be no event, or write it into the profile of the site as it was read.", strings.Join(all, "; "))
}

func (d *decider) excuse(k rules.Key) (rules.Value, bool) {
	v, ok, why := d.Rules.Get(k)
	if !ok || !d.Rules.Yes(k) {
		d.because("The reason %s excuses nothing: %s.", d.Reason.Reason, why)
		return v, false
	}
	d.recall(v)
	return v, true
}

// recall notes an exception that is from memory.
func (d *decider) recall(v rules.Value) {
	if v.Mark == rules.Memory {
		d.memory = append(d.memory, v)
	}
}

func (d *decider) stasis() {
	v, ok := d.excuse(rules.ExceptStasis)
	if !ok {
		return
	}
	switch {
	case d.OrStasis == nil:
		d.missing("whether the order says \"or at stasis\"")
	case !*d.OrStasis:
		d.because("The reason is stasis, and the order does not say \"or at stasis\", which %s asks for.", v.Source())
		return
	}
	if d.Reason.Evidence == "" {
		d.missing("who saw stasis, and what they saw")
	}
	if d.PathFree == nil {
		d.missing("whether tap, clamp, needle and line were seen to be free")
	}
	switch {
	case len(d.out.Missing) > 0:
		d.out.Outcome = CannotSay
	case !*d.PathFree:
		d.because("The way of the dose was not free, so it is a blockage, whatever it was called.")
	default:
		d.out.Outcome = AtStasis
		d.because("It ended at stasis, which the order allows; by %s what was given is then what was ordered.", v.Source())
	}
}

func (d *decider) emergent() {
	v, ok := d.excuse(rules.ExceptEmergent)
	if !ok {
		return
	}
	within, ok, why := d.Rules.Get(rules.ReviseWithin)
	switch {
	case !ok:
		d.missing("the time to revise the order: %s", why)
	case d.End.IsZero():
		d.missing("when the procedure ended")
	default:
		d.recall(within)
		by := d.End.Add(within.Span().Duration())
		if d.Revised.After(by) {
			d.because("The order was revised at %s, after the %s that %s allows.", quantity.ShowTime(d.Revised.In(d.Zone)), within.Figure, within.Source())
			return
		}
		d.out.ReviseBy = by
	}
	if d.Reason.Evidence == "" {
		d.missing("who saw the emergent condition, and what they saw")
	}
	if len(d.out.Missing) > 0 {
		d.out.Outcome = CannotSay
		return
	}
	d.out.Outcome = Emergent
	if !d.Revised.IsZero() {
		d.out.Outcome = Revised
		d.because("The order was revised at %s.", quantity.ShowTime(d.Revised.In(d.Zone)))
	}
	d.because("It ended for an emergent condition, which %s takes out where the order is revised within %s of the end, by %s.", v.Source(), within.Figure, within.Source())
}
