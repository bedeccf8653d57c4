package preparation

import (
	"net/http"
	"slices"
	"strings"

	"vialwright/fact"
	"vialwright/procedure"
	"vialwright/web/forms"
	"vialwright/web/kit"
	"vialwright/web/view"
	"vialwright/web/words"
)

// refusesGiving refuses what would show a person figures from which a dose follows that
// they may still check, until they chose.
func (b *bench) refusesGiving() error {
	orders := b.Elsewhere()
	if len(orders) == 0 {
		return nil
	}
	return &kit.Refusal{
		Status: http.StatusForbidden, Heading: "Blind", Text: "the dose of " + strings.Join(orders, ", ") + " follows from the figures of this order, and you may still check it",
		Hint: "check it first, or choose to see the figures: then another person checks it", Back: b.Href() + "#" + forms.FiguresWord,
	}
}

// ownLinks lead to the forms with which this person can sign now: they stand
// further down. That to see the figures is offered there alone, and once: it is not
// the work.
func (b *bench) ownLinks() []view.Link {
	var out []view.Link
	for _, word := range b.OwnWords() {
		if word == forms.FiguresWord {
			continue
		}
		out = append(out, view.Link{Text: b.Other(word).Title, Href: "#" + word})
	}
	return out
}

// unsigned says that the order waits for its signature; nothing where it does
// not.
func (b *bench) unsigned() []view.Notice {
	why := b.Prep.Signature.Why()
	if why == "" || b.Prep.Given || b.Prep.Over() {
		return nil
	}
	if b.revisedAfterRelease() {
		return []view.Notice{{
			Kind: "stop", Word: "Revised", Text: "The order was revised after the dose was released. That release is no longer valid: give nothing.",
			Hint: "First the physician signs it as it is now; then check, label and release it again, or take it back to its vial.",
		}}
	}
	if b.revisionHolds() {
		return []view.Notice{{Kind: "stop", Word: "Not signed", Text: words.Sentence(b.Prep.Signature.Waits()) + ".", Hint: "An authorised physician signs it at the bench of this order."}}
	}
	return []view.Notice{{
		Kind: b.pending(procedure.Release), Word: "Not signed", Text: "For the release: " + why + ".",
		Hint: "An authorised physician signs it at the bench of this order.",
	}}
}

// revisionHolds tells that the step that is due is held until a revision is signed.
func (b *bench) revisionHolds() bool {
	due, _ := b.Prep.Current()
	return due.Why != "" && due.Why == b.Prep.Signature.Waits()
}

// revisedAfterRelease tells that the dose was released before the order was changed.
func (b *bench) revisedAfterRelease() bool {
	for _, e := range b.File.Entries() {
		if x, ok := e.Fact.(*fact.Release); ok && x.For == b.Order.ID {
			return b.Prep.Signature.Changed && b.Prep.Step(procedure.Release).State != procedure.Done
		}
	}
	return false
}

// untaken says that a dose was handed over and nobody has it; nothing where
// somebody has, or where it was given.
func (b *bench) untaken() []view.Notice {
	if b.Prep.Untaken == "" || b.Prep.Given || b.Prep.Closed {
		return nil
	}
	return []view.Notice{{
		Kind: "note", Word: "Not taken over", Text: "The dose was handed over to " + b.Prep.Untaken + ", who has not taken it over.",
		Hint: "The person who holds it takes it over at the bench of this order, in a session of their own.",
	}}
}

// timeOutLinks lead to the time-out or, while the dose is not taken over and the
// site asks for that, first to the form of the person who takes it over.
func (b *bench) timeOutLinks() []view.Link {
	switch {
	case b.Prep.Untaken == "" || b.MayStep(procedure.TimeOut) == nil:
		return []view.Link{{Text: "Hold the time-out", Href: b.Href() + "/time-out", Main: true}}
	case slices.Contains(b.OwnWords(), forms.TakeOverWord):
		return []view.Link{{Text: b.Other(forms.TakeOverWord).Title, Href: "#" + forms.TakeOverWord, Main: true}}
	}
	return nil
}

// signature is who signed the order, for the facts of the bench.
func (b *bench) signature() []view.Pair {
	s := b.Prep.Signature
	if s.By == "" {
		return nil
	}
	return []view.Pair{{Name: "Order signed", Value: s.By + ", " + b.Zone.Clock(s.At)}}
}
