package forms

import (
	"fmt"
	"slices"
	"strings"

	"vialwright/dispensing"
	"vialwright/event"
	"vialwright/fact"
	"vialwright/people"
	"vialwright/procedure"
	"vialwright/quantity"
	"vialwright/web/kit"
	"vialwright/web/view"
)

// aftercareWords are the forms for what follows an infusion, also once the record is
// closed; none before.
func (b *Bench) aftercareWords() []string {
	if !b.Prep.Given {
		return nil
	}
	out := []string{"milestone", "imaging"}
	if people.May(b.Q.Who.Person, people.ReleasePatient) == nil && b.Prep.After.Release == nil {
		out = append(out, "release-patient")
	}
	if _, e, ok := b.Event(); ok && e.Unfinished() && slices.Contains([]event.Outcome{event.IsEvent, event.Emergent, event.CannotSay}, e.Outcome) {
		out = append(out, "event-report")
	}
	return out
}

// complete is the completion of the order, filled in with what was delivered, the
// probability of being beyond the limit, the paragraph and the reason. Only a
// revision is asked for.
func (b *Bench) complete() *kit.Form {
	d := b.Out.Delivered
	if d == nil {
		return nil
	}
	fixed := b.forOrder()
	fixed["delivered"], fixed["reason"] = quantity.FormatDigits(d.Activity, 4, "GBq"), b.givenReason() // signed to four digits
	lines := []view.Pair{{Name: "Prescribed", Value: b.Prescribed()}, {Name: "Delivered", Value: dispensing.Said(d.Activity, d.U) + ", known by " + d.KnownBy()}, {Name: "Reason", Value: b.givenReason()}}
	add := func(field, name, value string) {
		if value != "" {
			fixed[field] = value
			lines = append(lines, view.Pair{Name: name, Value: value})
		}
	}
	if d.U > 0 {
		fixed["delivered-u"] = quantity.FormatDigits(d.U, 2, "GBq")
	}
	if b.Order.Version != "" {
		fixed["version"] = b.Order.Version
	}
	revision := kit.Input{Name: "revision", Hint: "Only where the order is revised: what, and why.", Collapsible: true}
	late := ""
	if c, e, ok := b.Event(); ok {
		add("outcome", "By profile "+c.Rules.Profile.ID, e.Headline(c.Zone))
		if len(e.Because) > 0 {
			add("paragraph", "Paragraph", shortened(strings.Join(e.Because, " ")))
		}
		if p := e.Beyond; p != nil {
			fixed["beyond"] = fmt.Sprintf("%.2f %%", 100*float64(*p))
			lines = append(lines, view.Pair{Name: "Probability of being beyond the limit", Value: dispensing.Chance(float64(*p))})
		}
		if !e.ReviseBy.IsZero() {
			revision.Must, revision.Collapsible, revision.Focus, revision.Hint = true, false, true, "By the profile the order is revised: say how, and why."
		}
		for _, k := range e.Clocks {
			if k.Runs() {
				lines = append(lines, view.Pair{Name: k.What, Value: k.Says(c.Zone) + " (" + k.Left(b.Q.Now) + ")"})
			}
		}
		late = e.LateBy(b.Q.Now)
	}
	var notes []view.Notice
	if late != "" {
		notes = []view.Notice{{Kind: "warn", Word: "Late", Text: "The order is completed " + late + ".", Hint: "The entry will say so."}}
	}
	return &kit.Form{
		Title: "Complete this order", Button: "Complete the order", Act: people.CompleteOrder, Said: "The order is completed.", Done: true, Lines: lines, Notes: notes,
		Parts: []kit.Part{{Kind: "complete-order", Fixed: fixed, Inputs: []kit.Input{revision, kit.At}}},
		Amend: b.lateness, Permit: b.permits(procedure.MayComplete),
	}
}

// lateness writes into a completion how long after its deadline it was signed.
func (b *Bench) lateness(_ *kit.State, facts []fact.Fact) error {
	_, e, ok := b.Event()
	for _, c := range fact.Of[*fact.CompleteOrder](facts) {
		if ok {
			c.Late = e.LateBy(c.At)
		}
	}
	return nil
}

func shortened(s string) string {
	const most = 480
	if r := []rune(s); len(r) > most {
		return strings.TrimSpace(string(r[:most])) + " ..."
	}
	return s
}

func (b *Bench) givenReason() string {
	if i := slices.IndexFunc(b.Case.Infusions, func(i dispensing.Infusion) bool { return i.For == b.Order.ID }); i >= 0 {
		return b.Case.Infusions[i].Reason
	}
	return ""
}
