package forms

import (
	"slices"
	"strings"

	"vialwright/fact"
	"vialwright/people"
	"vialwright/procedure"
	"vialwright/web/books"
	"vialwright/web/kit"
	"vialwright/web/view"
)

// The words of the forms with which a person signs for something themselves,
// beside that of the order.
const (
	TakeOverWord = "take-over"
	FiguresWord  = "see-figures"
)

// OwnWords are the forms of an order with which this person can sign now.
func (b *Bench) OwnWords() []string {
	var out []string
	if procedure.MaySign(b.Q.Who.Person, b.Prep) == nil {
		out = append(out, books.SignWord)
	}
	if procedure.MayComplete(b.Q.Who.Person, b.Prep) == nil && b.Out.Delivered != nil {
		out = append(out, books.CompleteWord)
	}
	if procedure.MayTakeOver(b.Q.Who.Person, b.Prep) == nil {
		out = append(out, TakeOverWord)
	}
	if b.Blind() {
		out = append(out, FiguresWord)
	}
	return out
}

// SeeFigures ends the blindness of who would rather prepare than check, for each order
// whose dose follows from the figures that are then shown.
func (b *Bench) SeeFigures() *kit.Form {
	orders := b.Q.GivesAway(b.State, b.Order.ID)
	what := "this dose"
	if !slices.Equal(orders, []string{b.Order.ID}) && len(orders) > 0 {
		what = strings.Join(orders, ", ")
	}
	f := &kit.Form{
		Title: "Show figures (you will not be able to check " + what + ")", Button: "Show figures", Act: people.SeeFigures, Done: true,
		Said: "The figures are shown. Another person does the second check.", Permit: b.open,
	}
	if len(orders) == 0 {
		orders = []string{b.Order.ID}
	}
	for _, order := range orders {
		f.Parts = append(f.Parts, kit.Part{Kind: "see-figures", Fixed: map[string]any{"for": order}, Inputs: []kit.Input{kit.At}})
	}
	return f
}

// signOrder is the signature of the authorised physician under the order as it
// is.
func (b *Bench) signOrder() *kit.Form {
	fixed := b.forOrder()
	if b.Order.Version != "" {
		fixed["version"] = b.Order.Version
	}
	lines := b.OrderFacts()
	if b.Order.FromDose != "" {
		fixed["activity"] = b.Order.Written
		lines = append(lines, b.Followed()...)
	}
	if b.Order.Allowed() > 0 {
		lines = append(lines, view.Pair{Name: "Expected residual", Value: b.Order.AllowedText()})
	}
	return &kit.Form{
		Title: "Sign this order", Button: "Sign the order", Act: people.SignOrder, Said: "The order is signed.", Done: true, Lines: lines,
		Notes: []view.Notice{{Kind: "note", Word: "For you", Text: "This order waits for the signature of an authorised physician."}},
		Parts: []kit.Part{{Kind: "sign-order", Fixed: fixed, Inputs: []kit.Input{kit.At}}}, Permit: b.permits(procedure.MaySign),
	}
}

// takeOver is the take-over of a dose by its taker, in a session of their own.
func (b *Bench) takeOver() *kit.Form {
	lines := []view.Pair{{Name: "Handed over to", Value: b.Prep.Untaken}, {Name: "Patient", Value: b.Patient()}}
	if l := b.Prep.Expect.Label; !l.IsZero() {
		lines = append(lines, view.Pair{Name: "Label expected on it", Value: l.String()})
	}
	var notes []view.Notice
	if b.Prep.Untaken == b.Q.Who.ID {
		notes = []view.Notice{{Kind: "note", Word: "For you", Text: "This dose was handed over to you."}}
	}
	return &kit.Form{
		Notes: notes,
		Title: "Take this dose over", Button: "I have taken it", Act: people.TakeOver, Said: "The dose is taken over.", Done: true, Lines: lines,
		Parts: b.entry("take-over", kit.At), Permit: b.permits(procedure.MayTakeOver),
	}
}

// Taker signs for the dose on the form of the hand-over, where they stand
// beside who gives it; else they do so in a session of their own.
func taker() *kit.Second {
	return &kit.Second{
		Who: kit.Control(0, "to"), Act: people.TakeOver, Label: "Their PIN, if they are here",
		Hint: "Left empty, the bench shows that the dose is not taken over until they take it over in a session of their own.",
		Mark: func(facts []fact.Fact, id string) {
			for _, h := range fact.Of[*fact.HandOver](facts) {
				h.Countersigned = id
			}
		},
	}
}

func confirmer() *kit.Second {
	return &kit.Second{
		Who: kit.Control(0, "with"), Act: people.TimeOut, Label: "Their PIN signs too", Must: true,
		Mark: func(facts []fact.Fact, id string) {
			for _, t := range fact.Of[*fact.TimeOut](facts) {
				t.Countersigned = id
			}
		},
	}
}
