package web

import (
	"vialwright/fact"
	"vialwright/people"
	"vialwright/procedure"
	"vialwright/web/view"
)

// The words of the forms with which a person signs for something themselves,
// beside that of the order.
const (
	takeOverWord = "take-over"
	figuresWord  = "see-figures"
)

// ownWords are the forms of an order with which this person can sign now.
func ownWords(b *bench) []string {
	var out []string
	if procedure.MaySign(b.q.who.Person, b.prep) == nil {
		out = append(out, signWord)
	}
	if procedure.MayTakeOver(b.q.who.Person, b.prep) == nil {
		out = append(out, takeOverWord)
	}
	if b.blind() {
		out = append(out, figuresWord)
	}
	return out
}

// seeFigures ends the blindness of who would rather prepare than check.
func (b *bench) seeFigures() *entryForm {
	return &entryForm{
		title: "Show figures (you will not be able to check this dose)", button: "Show figures", act: people.SeeFigures, done: true,
		said:  "The figures are shown. Somebody else does the second check.",
		parts: []part{{kind: "see-figures", fixed: b.forOrder(), inputs: []input{now}}}, permit: b.open,
	}
}

// ownLinks lead to the forms with which this person can sign now: they stand
// further down, open.
func (b *bench) ownLinks() []view.Link {
	var out []view.Link
	for _, word := range ownWords(b) {
		out = append(out, view.Link{Text: b.other(word).title, Href: "#" + word})
	}
	return out
}

// signOrder is the signature of the authorised physician under the order as it
// is.
func (b *bench) signOrder() *entryForm {
	q, id := b.q, b.order.ID
	fixed := b.forOrder()
	if b.order.Version != "" {
		fixed["version"] = b.order.Version
	}
	lines := b.orderFacts()
	if b.order.Allowed() > 0 {
		lines = append(lines, view.Pair{Name: "Expected to stay behind", Value: b.order.AllowedText()})
	}
	return &entryForm{
		title: "Sign this order", button: "Sign the order", act: people.SignOrder, said: "The order is signed.", done: true, lines: lines,
		notes: []view.Notice{{Kind: "note", Word: "For you", Text: "This order waits for the signature of an authorised physician."}},
		parts: []part{{kind: "sign-order", fixed: fixed, inputs: []input{now}}},
		permit: func(now *state, _ []fact.Fact) error {
			x, ok := q.bench(now, id)
			if !ok {
				return &procedure.Error{Code: procedure.CodeUnknownStep, Msg: "the order is gone", Hint: "go to the board"}
			}
			return procedure.MaySign(q.who.Person, x.prep)
		},
	}
}

// takeOver is the take-over of a dose by its taker, in a session of their own.
func (b *bench) takeOver() *entryForm {
	q, id := b.q, b.order.ID
	lines := []view.Pair{{Name: "Handed over to", Value: b.prep.Untaken}, {Name: "Patient", Value: b.prep.Expect.Patient}}
	if l := b.prep.Expect.Label; !l.IsZero() {
		lines = append(lines, view.Pair{Name: "Label expected on it", Value: l.String()})
	}
	var notes []view.Notice
	if b.prep.Untaken == q.who.ID {
		notes = []view.Notice{{Kind: "note", Word: "For you", Text: "This dose was handed over to you."}}
	}
	return &entryForm{
		notes: notes,
		title: "Take this dose over", button: "I have taken it", act: people.TakeOver, said: "The dose is taken over.", done: true, lines: lines,
		parts: []part{{kind: "take-over", fixed: b.forOrder(), inputs: []input{now}}},
		permit: func(now *state, _ []fact.Fact) error {
			x, ok := q.bench(now, id)
			if !ok {
				return &procedure.Error{Code: procedure.CodeUnknownStep, Msg: "the order is gone", Hint: "go to the board"}
			}
			return procedure.MayTakeOver(q.who.Person, x.prep)
		},
	}
}

// unsigned says that the order waits for its signature; nothing where it does
// not.
func (b *bench) unsigned() []view.Notice {
	why := b.prep.Signature.Why()
	if why == "" || b.prep.Given || b.prep.Over() {
		return nil
	}
	return []view.Notice{{
		Kind: b.pending(procedure.Release), Word: "Not signed", Text: "For the release: " + why + ".",
		Hint: "An authorised physician signs it at the bench of this order.",
	}}
}

// untaken says that a dose was handed over and nobody has it; nothing where
// somebody has, or where it was given.
func (b *bench) untaken() []view.Notice {
	if b.prep.Untaken == "" || b.prep.Given || b.prep.Closed {
		return nil
	}
	return []view.Notice{{
		Kind: "note", Word: "Not taken over", Text: "The dose was handed over to " + b.prep.Untaken + ", who has not taken it over.",
		Hint: "Who holds it takes it over at the bench of this order, in a session of their own.",
	}}
}

// signature is who signed the order, for the facts of the bench.
func (b *bench) signature() []view.Pair {
	s := b.prep.Signature
	if s.By == "" {
		return nil
	}
	return []view.Pair{{Name: "Order signed", Value: s.By + ", " + b.zone.clock(s.At)}}
}

// taker signs for the dose on the form of the hand-over, where they stand
// beside who gives it; else they do so in a session of their own.
func taker() *second {
	return &second{
		who: control(0, "to"), act: people.TakeOver, label: "Who takes it: their PIN, if they are here",
		hint: "Left empty, the bench shows that the dose is not taken over until they take it over in a session of their own.",
		mark: func(facts []fact.Fact, id string) {
			for _, f := range facts {
				if h, ok := f.(*fact.HandOver); ok {
					h.Countersigned = id
				}
			}
		},
	}
}

// confirmer signs the time-out beside who records it.
func confirmer() *second {
	return &second{
		who: control(0, "with"), act: people.TimeOut, label: "Who takes part with you: their PIN signs too", must: true,
		mark: func(facts []fact.Fact, id string) {
			for _, f := range facts {
				if t, ok := f.(*fact.TimeOut); ok {
					t.Countersigned = id
				}
			}
		},
	}
}
