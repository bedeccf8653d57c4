package web

import (
	"strings"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/people"
	"vialwright/procedure"
	"vialwright/web/view"
)

// lift begins the word of a form that lifts a finding; its code follows.
const lift = "lift-"

// otherWords are the forms of an order that may be used at any time, in the
// order in which they are shown.
func otherWords(b *bench) []string {
	out := []string{"shaken", "reading"}
	switch {
	case b.prep.Given && !b.prep.Closed:
		out = []string{"reading", "parts"}
	case b.prep.Cancelled != "" || b.prep.Given:
		out = nil
	}
	for _, h := range b.prep.Holds {
		if !procedure.ByCorrection(h.Code) {
			out = append(out, lift+string(h.Code))
		}
	}
	out = append(append(ownWords(b), out...), "note", "deviation")
	if b.held() {
		out = append(out, "give-back")
	}
	if b.inLab() && len(b.otherOrders()) > 0 {
		out = append(out, "reassign")
	}
	if b.prep.Cancelled == "" && !b.prep.Given {
		out = append(out, "cancel")
	}
	return out
}

// other is a form that may be used at any time; nil for what is none.
func (b *bench) other(word string) *entryForm {
	if code, ok := strings.CutPrefix(word, lift); ok {
		return b.lift(word, dispensing.Code(code))
	}
	maker := map[string]func() *entryForm{
		"shaken": b.agitated, "reading": b.reading, "parts": b.residualParts, "note": b.note, "deviation": b.deviation, "cancel": b.cancel, "give-back": b.giveBack,
		"reassign": b.reassign, signWord: b.signOrder, takeOverWord: b.takeOver, figuresWord: b.seeFigures,
	}[word]
	if maker == nil {
		return nil
	}
	e := maker()
	e.id, e.action, e.to = word, b.href()+"/step/"+word, b.href()
	return e
}

func (b *bench) forOrder() map[string]any { return map[string]any{"for": b.order.ID} }

func (b *bench) agitated() *entryForm {
	of := chosen("of", "What was shaken", b.vials())
	if p := b.out.Plan; p != nil {
		of.value = p.From
	}
	return &entryForm{
		title: "Resuspended at another time", button: "Record the resuspension", act: people.ReadMeter, said: "Clock started.",
		parts: []part{{kind: "agitate", inputs: []input{of, now}}},
	}
}

// reading is a further reading of anything, such as the syringe itself.
func (b *bench) reading() *entryForm {
	parts := b.assay()
	parts[0].inputs[0] = input{name: "of", label: "Container", kind: "id", value: b.prep.Container, must: true}
	parts[0].inputs[2].focus = false
	return &entryForm{
		title: "A further reading", button: "Record the reading", act: people.ReadMeter, said: "The reading is recorded.", parts: parts,
		permit: b.open, aid: b,
	}
}

// residualParts is a reading of what stayed behind apart from the vial. Its unit
// has to be chosen: it is seldom that of the readings before.
func (b *bench) residualParts() *entryForm {
	e := b.reading()
	e.title, e.button, e.said = "Read residual parts", "Record the reading", "The reading of the parts is recorded."
	p := &e.parts[0]
	p.fixed = b.forOrder()
	p.inputs[0].value = b.free("R")
	p.inputs[2].unit = ""
	p.inputs = append([]input{{name: "holds", label: "What is in it", kind: "text", must: true, hint: "Such as line, catheter, swabs."}}, p.inputs...)
	return e
}

func (b *bench) note() *entryForm {
	return &entryForm{
		title: "Write a note", button: "Record the note", act: people.Note, said: "The note is recorded.",
		parts: []part{{kind: "note", inputs: []input{{name: "text", hint: "Never a patient's name."}, now}}},
	}
}

func (b *bench) deviation() *entryForm {
	return &entryForm{
		title: "Report a deviation", button: "Report it", act: people.Deviate, said: "The deviation is recorded.",
		parts: []part{{kind: "deviation", fixed: b.forOrder(), inputs: []input{
			{name: "text"}, now,
		}}},
	}
}

// inLab tells that there is a dose, and that it is still in the laboratory.
func (b *bench) inLab() bool {
	return b.prep.Container != "" && !b.prep.Given && b.prep.Step(procedure.HandOver).State != procedure.Done
}

// held tells that there is a dose of a preparation that goes on in the
// laboratory.
func (b *bench) held() bool { return b.inLab() && b.prep.Cancelled == "" }

// otherOrders are those that could get the dose, as choices.
func (b *bench) otherOrders() []view.Choice {
	st, err := b.q.reckon(b.q.openFile(b.q.now), b.q.now)
	if err != nil {
		return nil
	}
	var out []view.Choice
	for _, p := range st.Preparations {
		if p.Order != b.order.ID && p.Container == "" && !p.Given && !p.Over() {
			out = append(out, view.Choice{Value: p.Order, Text: p.Order})
		}
	}
	return out
}

// reassign gives the dose to another order, which needs both orders signed.
func (b *bench) reassign() *entryForm {
	q, id := b.q, b.order.ID
	to := chosen("to", "To order", b.otherOrders())
	to.value = "" // whose dose it is is never proposed
	return &entryForm{
		title: "Give this dose to another order", button: "Give it to that order", act: people.Reassign, danger: true, done: true,
		said:  "The dose is now that of the other order. Destroy its labels; it is checked and labelled for that order.",
		parts: []part{{kind: "reassign", fixed: map[string]any{"container": b.prep.Container, "from": id}, inputs: []input{to, now}}},
		permit: func(now *state, facts []fact.Fact) error {
			from, ok := q.bench(now, id)
			for _, f := range facts {
				x, is := f.(*fact.Reassign)
				if !ok || !is {
					continue
				}
				if err := procedure.MayReassign(q.who.Person, from.prep, now.Preparation(x.To)); err != nil {
					return err
				}
			}
			return nil
		},
	}
}

// giveBack takes the whole dose back to its vial, so that it is drawn anew.
func (b *bench) giveBack() *entryForm {
	into := chosen("into", "Back into", b.vials())
	for _, d := range b.Case.Draws {
		if d.For == b.order.ID {
			into.value = d.From
		}
	}
	return &entryForm{
		title: "Return all to vial, and redraw", button: "Return all to vial", act: people.Return, danger: true, said: "It is back in the vial. Read the vial, then redraw.",
		parts: []part{{kind: "return", fixed: map[string]any{"from": b.prep.Container}, inputs: []input{into, now}}},
		permit: func(now *state, facts []fact.Fact) error {
			if x, ok := b.q.bench(now, b.order.ID); ok && !x.held() {
				return &procedure.Error{Code: procedure.CodeNotYet, Msg: "there is no dose in the laboratory to give back", Hint: "look at where it stands"}
			}
			return b.open(now, facts)
		},
	}
}

func (b *bench) cancel() *entryForm {
	return &entryForm{
		title: "Cancel preparation", button: "Cancel it", act: people.Draw, said: "The preparation is cancelled.", danger: true, done: true, permit: b.open,
		parts: []part{{kind: "cancel", fixed: b.forOrder(), inputs: []input{
			{name: "reason"}, now,
		}}},
	}
}

// open refuses what comes after the end of the preparation.
func (b *bench) open(now *state, _ []fact.Fact) error {
	p := now.Preparation(b.order.ID)
	switch {
	case p.Closed:
		return &procedure.Error{Code: procedure.CodeClosed, Msg: "the record of the order is closed", Hint: "correct an entry, or write a note"}
	case p.Cancelled != "":
		return &procedure.Error{Code: procedure.CodeCancelled, Msg: "the preparation was given up", Hint: "correct that entry to take it up again"}
	}
	return nil
}

// lift goes on in spite of a finding that holds the dose.
func (b *bench) lift(word string, code dispensing.Code) *entryForm {
	for _, h := range b.prep.Holds {
		if h.Code != code || procedure.ByCorrection(code) {
			continue
		}
		q, id := b.q, b.order.ID
		return &entryForm{
			id: word, title: "Override: " + h.Text, action: b.href() + "/step/" + word, to: b.href(), button: "Override",
			act: h.Act, danger: true, done: true, said: "It is lifted, with its reason.",
			parts: []part{{kind: "override", fixed: map[string]any{"for": id, "code": string(code)}, inputs: []input{
				{name: "reason", label: "Why it is right to go on"}, now,
			}}},
			permit: func(now *state, facts []fact.Fact) error {
				x, ok := q.bench(now, id)
				if !ok {
					return nil
				}
				return people.MayOverride(q.who.Person, x.holdAct(code, h.Act), reasonOf(facts), x.prep.Deeds)
			},
		}
	}
	return nil
}

// holdAct is what lifting a finding takes as the case is now.
func (b *bench) holdAct(code dispensing.Code, was people.Act) people.Act {
	for _, h := range b.prep.Holds {
		if h.Code == code {
			return h.Act
		}
	}
	return was
}

func reasonOf(facts []fact.Fact) string {
	for _, f := range facts {
		if o, ok := f.(*fact.Override); ok {
			return o.Reason
		}
	}
	return ""
}
