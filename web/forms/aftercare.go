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

// digits of what was delivered as it is signed, and of its uncertainty.
const (
	signedDigits = 4
	signedU      = 2
)

// delivered is what the physician signs as given, with its uncertainty.
func delivered(d *dispensing.Delivered) (a, u string) {
	a = quantity.FormatDigits(d.Activity, signedDigits, "GBq")
	if d.U > 0 {
		u = quantity.FormatDigits(d.U, signedU, "GBq")
	}
	return a, u
}

// complete is the completion of the order, filled in with what was delivered, the
// probability of being beyond the limit, the paragraph and the reason. Only a
// revision is asked for.
func (b *Bench) complete() *kit.Form {
	d := b.Out.Delivered
	if d == nil {
		return nil
	}
	a, u := delivered(d)
	fixed := b.forOrder()
	fixed["delivered"], fixed["reason"] = a, b.givenReason()
	lines := []view.Pair{{Name: "Prescribed", Value: b.Prescribed()}, {Name: "Delivered", Value: dispensing.Said(d.Activity, d.U) + ", known by " + d.KnownBy()}, {Name: "Reason", Value: b.givenReason()}}
	add := func(field, name, value string) {
		if value != "" {
			fixed[field] = value
			lines = append(lines, view.Pair{Name: name, Value: value})
		}
	}
	if u != "" {
		fixed["delivered-u"] = u
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
	for _, f := range facts {
		if c, is := f.(*fact.CompleteOrder); is && ok {
			c.Late = e.LateBy(c.At)
		}
	}
	return nil
}

// shortened is a sentence as long as an entry can hold.
func shortened(s string) string {
	const most = 480
	if r := []rune(s); len(r) > most {
		return strings.TrimSpace(string(r[:most])) + " ..."
	}
	return s
}

// givenReason is why the infusion ended, as it was recorded.
func (b *Bench) givenReason() string {
	for _, i := range b.Case.Infusions {
		if i.For == b.Order.ID {
			return i.Reason
		}
	}
	return ""
}

func (b *Bench) milestone() *kit.Form {
	return &kit.Form{
		Title: "Procedure ended, or left recovery", Button: "Record it", Act: people.Infuse, Said: "It is recorded; the clocks go by it.",
		Parts: b.entry("milestone", kit.Input{Name: "what"}, kit.At),
	}
}

func (b *Bench) eventReport() *kit.Form {
	return &kit.Form{
		Title: "Event reported, or judged to be none", Button: "Record it", Act: people.Deviate, Said: "It is recorded.",
		Parts: b.entry("event-report", kit.Input{Name: "what"}, kit.Input{Name: "text", Hint: "Never a patient's name."}, kit.At),
	}
}

func (b *Bench) imaging() *kit.Form {
	return &kit.Form{
		Title: "Record imaging", Button: "Record the imaging", Act: people.Note, Said: "The imaging is recorded.",
		Lines: []view.Pair{{Name: "Record only", Value: "Nothing is worked out from an image here."}},
		Parts: b.entry("imaging", kit.Input{Name: "result"}, kit.Input{Name: "modality"}, kit.Input{Name: "text", Small: true}, kit.Input{Name: "by", Small: true}, kit.At),
	}
}

func (b *Bench) releasePatient() *kit.Form {
	return &kit.Form{
		Title: "Release the patient", Button: "Release the patient", Act: people.ReleasePatient, Said: "The release is recorded.", Done: true,
		Parts: []kit.Part{{Kind: "release-patient", Fixed: b.forOrder(), Inputs: []kit.Input{
			{Name: "basis", Hint: "Such as: estimate on the patient sheet below the limit of the profile."},
			{Name: "nursing"},
			{Name: "pregnant"},
			{Name: "given"},
			{Name: "rate", Small: true},
			{Name: "background", Small: true},
			{Name: "text", Small: true},
			kit.At,
		}}},
	}
}
