package forms

import (
	"maps"
	"slices"
	"strings"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/people"
	"vialwright/procedure"
	"vialwright/web/books"
	"vialwright/web/kit"
	"vialwright/web/view"
	"vialwright/web/words"
)

// OverrideWord begins the word of a form that lifts a finding; its code follows.
const OverrideWord = "lift-"

// OtherWords are the forms of an order that may be used at any time, in the
// order in which they are shown.
func (b *Bench) OtherWords() []string {
	out := []string{"resuspend", "reading"}
	switch {
	case b.Prep.Given && !b.Prep.Closed:
		out = []string{"reading", "parts"}
	case b.Prep.Cancelled != "" || b.Prep.Given:
		out = nil
	}
	for _, h := range b.Prep.Holds {
		if !procedure.ByCorrection(h.Code) {
			out = append(out, OverrideWord+string(h.Code))
		}
	}
	out = append(append(append(b.OwnWords(), out...), b.aftercareWords()...), "note", "deviation")
	if b.held() {
		out = append(out, "give-back")
	}
	if b.inLab() && people.May(b.Q.Who.Person, people.Reassign) == nil && len(b.waiting()) > 0 {
		out = append(out, "reassign")
	}
	if b.Prep.Cancelled == "" && !b.Prep.Given {
		out = append(out, "cancel")
	}
	return out
}

// Other is a form that may be used at any time; nil for what is none.
func (b *Bench) Other(word string) *kit.Form {
	if code, ok := strings.CutPrefix(word, OverrideWord); ok {
		return b.lift(word, dispensing.Code(code))
	}
	maker := map[string]func() *kit.Form{
		"resuspend": b.agitated, "reading": b.reading, "parts": b.residualParts, "note": b.note, "give-back": b.giveBack,
		"reassign": b.reassign, books.SignWord: b.signOrder, TakeOverWord: b.takeOver, FiguresWord: b.SeeFigures, books.CompleteWord: b.complete,
	}[word]
	var e *kit.Form
	if s, ok := plain[word]; ok {
		s.form.Parts, e = b.entry(word, slices.Clone(s.asks)...), &s.form
		if word == "cancel" {
			e.Permit = b.open
		}
	} else if maker != nil {
		e = maker()
	}
	if e == nil {
		return nil
	}
	e.ID, e.Action, e.To = word, b.Href()+"/step/"+word, b.Href()
	return e
}

// plain are the forms of one entry of the order, by its kind, with what each asks.
var plain = map[string]struct {
	form kit.Form
	asks []kit.Input
}{
	"deviation": {kit.Form{Title: "Report a deviation", Button: "Report it", Act: people.Deviate, Said: "The deviation is recorded."}, []kit.Input{{Name: "text"}, kit.At}},
	"cancel": {
		kit.Form{Title: "Cancel preparation", Button: "Cancel it", Act: people.Draw, Said: "The preparation is cancelled.", Danger: true, Done: true}, []kit.Input{{Name: "reason"}, kit.At},
	},
	"milestone": {
		kit.Form{Title: "Procedure ended, or left recovery", Button: "Record it", Act: people.Infuse, Said: "It is recorded; the clocks go by it."}, []kit.Input{{Name: "what"}, kit.At},
	},
	"event-report": {
		kit.Form{Title: "Event reported, or judged to be none", Button: "Record it", Act: people.Deviate, Said: "It is recorded."},
		[]kit.Input{{Name: "what"}, {Name: "text", Hint: "Never a patient's name."}, kit.At},
	},
	"imaging": {
		kit.Form{
			Title: "Record imaging", Button: "Record the imaging", Act: people.Note, Said: "The imaging is recorded.",
			Lines: []view.Pair{{Name: "Record only", Value: "Nothing is worked out from an image here."}},
		},
		[]kit.Input{{Name: "result"}, {Name: "modality"}, {Name: "text", Small: true}, {Name: "by", Small: true}, kit.At},
	},
	"release-patient": {
		kit.Form{Title: "Release the patient", Button: "Release the patient", Act: people.ReleasePatient, Said: "The release is recorded.", Done: true},
		[]kit.Input{
			{Name: "basis", Hint: "Such as: estimate on the patient sheet below the limit of the profile."},
			{Name: "nursing"},
			{Name: "pregnant"},
			{Name: "given"},
			{Name: "rate", Small: true},
			{Name: "background", Small: true},
			{Name: "text", Small: true},
			kit.At,
		},
	},
}

func (b *Bench) forOrder() map[string]any { return map[string]any{"for": b.Order.ID} }

func (b *Bench) entry(kind string, inputs ...kit.Input) []kit.Part {
	return []kit.Part{{Kind: kind, Fixed: b.forOrder(), Inputs: inputs}}
}

func (b *Bench) agitated() *kit.Form {
	of := kit.Chosen("of", "What was resuspended", b.vials())
	if p := b.Out.Plan; p != nil {
		of.Value = p.From
	}
	return &kit.Form{
		Title: "Resuspended at another time", Button: "Record the resuspension", Act: people.ReadMeter, Said: "Clock started.",
		Parts: []kit.Part{{Kind: "agitate", Inputs: []kit.Input{of, kit.At}}},
	}
}

// reading is a further reading of anything, such as the syringe itself.
func (b *Bench) reading() *kit.Form {
	parts := b.assay()
	parts[0].Inputs[0] = kit.Input{Name: "of", Label: "Container", Kind: "id", Value: b.Prep.Container, Must: true}
	parts[0].Inputs[2].Focus = false
	if b.Prep.Given { // a residual is seldom read in the unit of the dose
		parts[0].Inputs[2].Unit = ""
	}
	return &kit.Form{
		Title: "One more reading", Button: "Record the reading", Act: people.ReadMeter, Said: "The reading is recorded.", Parts: parts,
		Permit: b.open, Aid: b.Taker(),
	}
}

// residualParts is a reading of the residual outside the vial. Its unit
// has to be chosen: it is seldom that of the readings before.
func (b *Bench) residualParts() *kit.Form {
	e := b.reading()
	e.Title, e.Button, e.Said = "Read residual parts", "Record the reading", "The reading of the parts is recorded."
	p := &e.Parts[0]
	p.Fixed = b.forOrder()
	p.Inputs[0].Value = b.Free("R")
	p.Inputs[2].Unit = ""
	p.Inputs = append([]kit.Input{{Name: "holds", Label: "What is in it", Kind: "text", Must: true, Hint: "Such as line, catheter, swabs."}}, p.Inputs...)
	return e
}

func (b *Bench) note() *kit.Form {
	return &kit.Form{
		Title: "Write a note", Button: "Record the note", Act: people.Note, Said: "The note is recorded.",
		Parts: []kit.Part{{Kind: "note", Inputs: []kit.Input{{Name: "text", Hint: "Never a patient's name."}, kit.At}}},
	}
}

// inLab tells that there is a dose, and that it is still in the laboratory.
func (b *Bench) inLab() bool {
	return b.Prep.Container != "" && !b.Prep.Given && b.Prep.Step(procedure.HandOver).State != procedure.Done
}

// held tells that there is a dose of a preparation that goes on in the
// laboratory.
func (b *Bench) held() bool { return b.inLab() && b.Prep.Cancelled == "" }

// otherOrders are those that could get the dose, as choices. Each is reckoned with its
// own group: of all vials together every order would be planned from each of them.
func (b *Bench) otherOrders() []view.Choice {
	entered := map[string]int{}
	for _, f := range b.Q.OpenFiles(b.Q.Now) {
		st, err := b.Q.Standing(f, b.Q.Now)
		if err != nil {
			continue
		}
		for i, p := range st.Preparations() {
			if p.Order != b.Order.ID && p.Container == "" && !p.Given && !p.Over() {
				entered[p.Order] = st.Case.Orders[i].Entry
			}
		}
	}
	return kit.IDs(slices.SortedFunc(maps.Keys(entered), func(x, y string) int { return entered[x] - entered[y] })...)
}

func (b *Bench) reassign() *kit.Form {
	q, id := b.Q, b.Order.ID
	to := kit.Chosen("to", "To order", b.waiting())
	to.Value = "" // whose dose it is is never proposed
	return &kit.Form{
		Title: "Give this dose to another order", Button: "Give it to that order", Act: people.Reassign, Danger: true, Done: true,
		Said:  "The dose is now that of the other order. Destroy its labels; it is checked and labelled for that order.",
		Parts: []kit.Part{{Kind: "reassign", Fixed: map[string]any{"container": b.Prep.Container, "from": id}, Inputs: []kit.Input{to, kit.At}}},
		Permit: func(now *kit.State, facts []fact.Fact) error {
			from, err := b.in(now)
			if err != nil {
				return err
			}
			for _, x := range fact.Of[*fact.Reassign](facts) {
				if err := procedure.MayReassign(q.Who.Person, from.Prep, now.Preparation(x.To)); err != nil {
					return err
				}
			}
			return nil
		},
	}
}

func (b *Bench) giveBack() *kit.Form {
	into := kit.Chosen("into", "Back into", b.vials())
	for _, d := range b.Case.Draws {
		if d.For == b.Order.ID {
			into.Value = d.From
		}
	}
	return &kit.Form{
		Title: "Return all to vial, and redraw", Button: "Return all to vial", Act: people.Return, Danger: true, Said: "It is back in the vial. Read the vial, then redraw.",
		Parts: []kit.Part{{Kind: "return", Fixed: map[string]any{"from": b.Prep.Container}, Inputs: []kit.Input{into, kit.At}}},
		Permit: func(now *kit.State, facts []fact.Fact) error {
			x, err := b.in(now)
			if err != nil {
				return err
			}
			if !x.held() {
				return &procedure.Error{Code: procedure.CodeNotYet, Msg: "there is no dose in the laboratory to return", Hint: "look where the dose is"}
			}
			return b.open(now, facts)
		},
	}
}

// open refuses what comes after the end of the preparation.
func (b *Bench) open(now *kit.State, _ []fact.Fact) error {
	p := now.Preparation(b.Order.ID)
	switch {
	case p.Closed:
		return &procedure.Error{Code: procedure.CodeClosed, Msg: "the record of the order is closed", Hint: "correct an entry, or write a note"}
	case p.Cancelled != "":
		return &procedure.Error{Code: procedure.CodeCancelled, Msg: "the preparation was cancelled", Hint: "strike that entry out to resume it"}
	}
	return nil
}

func (b *Bench) lift(word string, code dispensing.Code) *kit.Form {
	for _, h := range b.Prep.Holds {
		if h.Code != code || procedure.ByCorrection(code) {
			continue
		}
		q, id := b.Q, b.Order.ID
		return &kit.Form{
			ID: word, Title: "Override: " + words.TimesOnTheWall(h.Text, b.Q.Now), Action: b.Href() + "/step/" + word, To: b.Href(), Button: "Override",
			Act: h.Act, Danger: true, Done: true, Said: "The override is recorded, with its reason.",
			Parts: []kit.Part{{Kind: "override", Fixed: map[string]any{"for": id, "code": string(code)}, Inputs: []kit.Input{
				{Name: "reason", Label: "Why it is right to go on"}, kit.At,
			}}},
			Permit: func(now *kit.State, facts []fact.Fact) error {
				x, err := b.in(now)
				if err != nil {
					return err
				}
				act, reason := h.Act, ""
				if i := slices.IndexFunc(x.Prep.Holds, func(h procedure.Hold) bool { return h.Code == code }); i >= 0 {
					act = x.Prep.Holds[i].Act // what it takes as the case is now
				}
				for _, o := range fact.Of[*fact.Override](facts) {
					reason = o.Reason
				}
				return people.MayOverride(q.Who.Person, act, reason, x.Prep.Deeds)
			},
		}
	}
	return nil
}
