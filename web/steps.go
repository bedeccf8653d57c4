package web

import (
	"slices"

	"vialwright/fact"
	"vialwright/identity"
	"vialwright/ledger"
	"vialwright/people"
	"vialwright/procedure"
	"vialwright/quantity"
	"vialwright/web/view"
)

// bench is one order at its bench.
type bench struct {
	*orderView
	q *request
}

// bench is that of an order; false for an order that is not in the books.
func (q *request) bench(st *state, id string) (*bench, bool) {
	o, ok := q.orderView(st, id)
	return &bench{o, q}, ok
}

// stepForm is the form of a step; nil for a step that has none or a page of
// its own.
func (b *bench) stepForm(key procedure.Key) *entryForm {
	makers := map[procedure.Key]func() []part{
		procedure.Readiness: b.readiness, procedure.Receipt: b.receipt, procedure.Assay: b.assay, procedure.Draw: b.draw,
		procedure.Remainder: b.assay, procedure.Adjust: b.adjust, procedure.MakeUp: b.makeUp, procedure.Transfer: b.transfer,
		procedure.Baseline: b.baseline, procedure.SecondCheck: b.check, procedure.Label: b.label, procedure.Release: b.scanned("release"),
		procedure.HandOver: b.handOver, procedure.TimeOut: b.timeOut, procedure.Infusion: b.infusion, procedure.Residual: b.residual,
		procedure.Survey: b.survey, procedure.Close: b.close,
	}
	parts := makers[key]
	if parts == nil {
		return nil
	}
	e := &entryForm{
		id: "step", title: key.Title(), action: b.href() + "/step/" + string(key), button: "Record", act: key.Act(),
		parts: parts(), to: b.href(), said: key.Title() + ": recorded.", permit: b.permit(key), refused: b.q.refusedScan,
	}
	switch key {
	case procedure.Label, procedure.Release, procedure.HandOver, procedure.TimeOut, procedure.Close:
		e.done = true
	}
	switch key {
	case procedure.Draw, procedure.Adjust:
		e.amend, e.ask = b.clockSaid, b.askDraw
	case procedure.Assay, procedure.Remainder:
		e.aid = b
	case procedure.SecondCheck:
		e.aid = b
		e.action, e.to, e.amend, e.after = b.href()+"/check", b.href()+"/check", b.share, b.checkable
	case procedure.TimeOut:
		e.action, e.to, e.second = b.href()+"/time-out", b.href()+"/time-out", confirmer()
	case procedure.Label:
		e.amend, e.button, e.said = b.toPrint, "Print a label", "The label is recorded, and opens now to be printed. It is also below the steps."
		e.prints, _ = e.parts[0].fixed["serial"].(string)
		if b.printed() {
			e.act = people.ReprintLabel // it takes the place of one
		}
	case procedure.Receipt:
		e.also = b.q.past.withExperience(b.q)
	case procedure.HandOver:
		e.second = taker()
	case procedure.Release:
		e.button = "Release this dose"
	}
	if s := b.q.sheet(); s != nil && !b.prep.Expect.Label.IsZero() {
		return s.form(e, b.prep.Expect.Label.String())
	}
	return e
}

// permit asks the procedure, with the case as it is when it is recorded.
func (b *bench) permit(key procedure.Key) func(*state, []fact.Fact) error {
	who, id, q := b.q.who.Person, b.order.ID, b.q
	return func(now *state, facts []fact.Fact) error {
		x, ok := q.bench(now, id)
		if !ok {
			return &procedure.Error{Code: procedure.CodeUnknownStep, Msg: "the order is gone", Hint: "go to the board"}
		}
		if err := procedure.Permit(who, key, x.prep, x.prep.Deeds); err != nil {
			return err
		}
		for _, f := range facts {
			if err := x.allows(f); err != nil {
				return err
			}
		}
		return nil
	}
}

// allows asks what a scan has to be asked.
func (b *bench) allows(f fact.Fact) error {
	switch x := f.(type) {
	case *fact.Release:
		return procedure.Scanned(b.prep, procedure.Release, x.Serial)
	case *fact.HandOver:
		return procedure.Scanned(b.prep, procedure.HandOver, x.Serial)
	}
	return nil
}

func (b *bench) printed() bool {
	return slices.ContainsFunc(b.prep.Labels, func(l procedure.Printed) bool { return l.Of == b.prep.Container })
}

// vials are the shipping vials, as choices.
func (b *bench) vials() []view.Choice {
	var out []view.Choice
	for _, v := range b.Case.Vials {
		out = append(out, view.Choice{Value: v.ID, Text: v.ID})
	}
	return out
}

func (b *bench) meter() input { return chosen("meter", "Activity meter", words(meters(b.file)...)) }

func (b *bench) readiness() []part {
	ids := meters(b.file)
	last := 2*len(ids) + 3 // the part that asks for the time and the remark, for all
	var out []part
	outcome := func(what, label, of string) {
		fixed := map[string]any{"what": what}
		if of != "" {
			fixed["of"] = of
		}
		p := part{kind: "check", fixed: fixed, optional: true, inputs: []input{
			{name: "result", label: label, small: true},
			{name: "text", small: true, aside: true, fold: true},
			now,
		}}
		if len(out) < last {
			p.inputs[1].same, p.inputs[2].same = control(last, "text"), control(last, "at")
		}
		out = append(out, p)
	}
	for _, m := range ids {
		outcome("meter-background", "Meter "+m+": background", m)
		outcome("meter-constancy", "Meter "+m+": constancy", m)
	}
	outcome("survey-meter", "Survey meter", "")
	outcome("area-clear", "Area clear", "")
	outcome("consumables", "Consumables at hand", "")
	outcome("people", "People trained, present", "")
	return out
}

func (b *bench) receipt() []part {
	return []part{receivePart(b.free("S")), surveyPart("package", true)}
}

// assay reads the vial, before or after the draw.
func (b *bench) assay() []part {
	vials := b.vials()
	again := b.out.Withheld != "" && b.out.Read != ""
	if again && !slices.ContainsFunc(vials, func(c view.Choice) bool { return c.Value == b.out.Read }) {
		vials = append(vials, view.Choice{Value: b.out.Read, Text: b.out.Read})
	}
	of := chosen("of", "Container", vials)
	if p := b.out.Plan; p != nil {
		of.value = p.From
	}
	if again {
		of.value = b.out.Read
	}
	gross, background := b.lastUnits()
	return []part{{kind: "read", inputs: []input{
		of, b.meter(),
		{name: "gross", unit: gross, focus: true},
		{name: "background", unit: background},
		now,
	}}}
}

// lastUnits are the units of the last reading of the case and of its
// background; a meter seldom changes its own. They stand chosen, in sight.
// Without a reading each has to be chosen.
func (b *bench) lastUnits() (gross, background string) {
	for _, r := range slices.Backward(b.file.Records) {
		if x, ok := r.Fact.(*fact.Read); ok {
			_, gross = x.Gross.Split()
			_, background = x.Background.Split()
			return gross, background
		}
	}
	return "", ""
}

// free proposes an id for a new container: one that nothing of the site ever had.
func (b *bench) free(letter string) string { return b.q.lab.Free(letter) }

func (b *bench) draw() []part {
	from := chosen("from", "From", b.vials())
	volume := input{name: "volume", label: "The syringe now stands at", kind: "amount", units: volumeUnits, unit: "mL", must: true, focus: true}
	if p := b.out.Plan; p != nil {
		from.value = p.From
	}
	return []part{{kind: "draw", fixed: b.drawnBy(), inputs: []input{
		volume, from,
		{name: "scanned", label: "Scan the vial", kind: "id", hint: "The id on its shield, or the code of its pack. It may be left empty."},
		{name: "into", value: b.free("Y")},
		b.shakenOther(),
		now,
	}}}
}

func (b *bench) adjust() []part {
	if a := b.out.Adjust; a != nil && !a.TopUp {
		return []part{{kind: "return", inputs: []input{
			{name: "volume", must: true, focus: true, hint: "Planned: " + quantity.ShowGraduated(a.Volume, b.Case.Policy.Graduation) + "."},
			{name: "from", value: b.out.Container},
			chosen("into", "Back into", b.vials()), now,
		}}}
	}
	parts := b.draw()
	for i := range parts[0].inputs {
		in := &parts[0].inputs[i]
		if in.name == "into" {
			in.value = b.out.Container
		}
		if in.name == "volume" {
			in.label = "Volume drawn in addition" // not what the syringe stands at now
		}
		if a := b.out.Adjust; a != nil && in.name == "volume" {
			in.hint = "Planned in addition: " + quantity.ShowGraduated(a.Volume, b.Case.Policy.Graduation) + "."
		}
	}
	return parts
}

func (b *bench) makeUp() []part {
	return []part{{kind: "make-up", inputs: []input{
		{name: "volume", focus: true, small: true},
		{name: "lot", must: true, small: true, practice: practiceSays("PRACTICE-W1")},
		{name: "diluent", kind: "choice", choices: words("water for injection", "5 % glucose"), hint: "Never saline: salt frees the nuclide from the resin."},
		{name: "of", label: "To", value: b.out.Container},
		now,
	}}}
}

func (b *bench) transfer() []part {
	into := b.free("A")
	for _, l := range b.prep.Labels {
		if l.Void == "" && l.Into != "" {
			into = l.Into
		}
	}
	return []part{{kind: "transfer", fixed: map[string]any{"for": b.order.ID}, inputs: []input{
		{name: "into", value: into, focus: true},
		{name: "from", value: b.out.Container},
		now,
	}}}
}

// holds tells the kind of a container; empty for none.
func (b *bench) kindOf(id string) ledger.Kind {
	for _, k := range b.Result.Containers {
		if k.Container.ID == id {
			return k.Container.Kind
		}
	}
	return ""
}

// serial draws the serial of a new label.
func (q *request) serial() identity.Serial {
	var b [16]byte
	q.random(b[:])
	if q.Practice {
		return identity.NewPractice(b)
	}
	return identity.New(b)
}
