package forms

import (
	"cmp"
	"slices"
	"time"

	"vialwright/fact"
	"vialwright/identity"
	"vialwright/paper"
	"vialwright/procedure"
	"vialwright/quantity"
	"vialwright/web/books"
	"vialwright/web/clock"
	"vialwright/web/kit"
	"vialwright/web/view"
)

// stepForm is what the bench declares of the form of a step: what it asks, what
// differs from the forms of most steps, and the section of the sheet
// that works the number of the step out, where that is not the decision.
type stepForm struct {
	asks   func(*Bench) []kit.Part
	set    func(*Bench, *kit.Form)
	worked paper.Step
}

func stepForms() map[procedure.Key]stepForm {
	done := func(_ *Bench, e *kit.Form) { e.Done = true }
	taken := func(b *Bench, e *kit.Form) { e.Aid = b.Taker() }
	drawn := func(b *Bench, e *kit.Form) { e.Amend, e.Ask = b.Clock().Say, b.askDraw }
	return map[procedure.Key]stepForm{
		procedure.Readiness: {asks: (*Bench).readiness},
		procedure.Receipt: {asks: (*Bench).receipt, set: func(b *Bench, e *kit.Form) {
			e.Also = b.Lessons.WithExperience(b.Q)
			e.Ask = func(st *kit.State, facts []fact.Fact) (*kit.Doubt, error) { return books.AskParcel(b.Q, st, facts) }
		}},
		procedure.Assay:       {asks: (*Bench).assay, set: taken},
		procedure.Draw:        {asks: (*Bench).draw, set: drawn, worked: paper.PlanStep},
		procedure.Remainder:   {asks: (*Bench).assay, set: taken},
		procedure.Adjust:      {asks: (*Bench).adjust, set: drawn},
		procedure.MakeUp:      {asks: (*Bench).makeUp, worked: paper.MakeUpStep},
		procedure.Transfer:    {asks: (*Bench).transfer, worked: paper.TransferStep},
		procedure.Baseline:    {asks: (*Bench).baseline},
		procedure.SecondCheck: {asks: (*Bench).check, set: (*Bench).setCheck},
		procedure.Label:       {asks: (*Bench).label, set: (*Bench).setLabel},
		procedure.Release: {asks: scanned("release"), set: func(_ *Bench, e *kit.Form) {
			e.Done, e.Button = true, "Release this dose"
		}},
		procedure.HandOver: {asks: (*Bench).handOver, set: func(_ *Bench, e *kit.Form) { e.Done, e.Second = true, taker() }},
		procedure.TimeOut: {asks: (*Bench).timeOut, set: func(b *Bench, e *kit.Form) {
			e.Done, e.Action, e.To, e.Second = true, b.Href()+"/time-out", b.Href()+"/time-out", confirmer()
		}},
		procedure.Infusion: {asks: (*Bench).infusion},
		procedure.Residual: {asks: (*Bench).residual},
		procedure.Survey:   {asks: (*Bench).survey, worked: paper.ResidualStep},
		procedure.Close:    {asks: (*Bench).close, set: done, worked: paper.ResidualStep},
	}
}

// WorkedUnder is the section of the sheet that works the number of a step out;
// without a step, at the end, that of what was delivered. The steps after the draw
// rest on the decision.
func WorkedUnder(key procedure.Key) paper.Step {
	if key == "" {
		return paper.ResidualStep
	}
	return cmp.Or(stepForms()[key].worked, paper.DecisionStep)
}

// Step is the form of a step; nil for what is no step.
func (b *Bench) Step(key procedure.Key) *kit.Form {
	is, ok := stepForms()[key]
	if !ok {
		return nil
	}
	e := &kit.Form{
		ID: "step", Title: key.Title(), Action: b.Href() + "/step/" + string(key), Button: "Record", Act: key.Act(),
		Parts: is.asks(b), To: b.Href(), Said: key.Title() + ": recorded.", Permit: b.permit(key), Refused: b.refusedScan,
	}
	if is.set != nil {
		is.set(b, e)
	}
	if s := b.Q.Sheet(); s != nil && !b.Prep.Expect.Label.IsZero() {
		return s.Form(e, b.Prep.Expect.Label.String())
	}
	return e
}

// permit asks the procedure, with the case as it is when it is recorded.
func (b *Bench) permit(key procedure.Key) func(*kit.State, []fact.Fact) error {
	who := b.Q.Who.Person
	return func(now *kit.State, facts []fact.Fact) error {
		x, err := b.in(now)
		if err != nil {
			return err
		}
		if err := procedure.Permit(who, key, x.Prep, x.Prep.Deeds); err != nil {
			return err
		}
		for _, f := range facts {
			if err := x.allows(f); err != nil {
				return err
			}
		}
		return books.BinsTake(b.Q, 0, facts...)
	}
}

// allows asks what a scan has to be asked.
func (b *Bench) allows(f fact.Fact) error {
	switch x := f.(type) {
	case *fact.Release:
		return procedure.Scanned(b.Prep, procedure.Release, x.Serial)
	case *fact.HandOver:
		return procedure.Scanned(b.Prep, procedure.HandOver, x.Serial)
	}
	return nil
}

// vials are the shipping vials that something can still be done with, as choices.
func (b *Bench) vials() []view.Choice {
	var ids []string
	for _, v := range b.Case.Vials {
		if (!b.Case.Gone(v.ID, b.Q.Now) || b.Q.Sheet() != nil) && !b.Finished(v.ID) {
			ids = append(ids, v.ID)
		}
	}
	return kit.IDs(ids...)
}

func (b *Bench) meter() kit.Input {
	return kit.Chosen("meter", "", kit.IDs(kit.MeterIDs(b.File)...))
}

// testsOf asks for background and constancy of a meter of the meter book as it shows
// them; nil for one that the book does not have.
func (b *Bench) testsOf(meter, text, at string) []kit.Part {
	if b.Q.Instruments == nil {
		return nil
	}
	book := b.Q.Instruments(b.Q.Now)
	if _, _, known := book.Daily(meter, b.Q.Now); !known {
		return nil
	}
	part := func(test string, inputs ...kit.Input) kit.Part {
		units := []string{"MBq", "kBq", "GBq", "mCi"}
		inputs = append(inputs,
			kit.Input{Name: "readings.1.gross", Label: "Meter " + meter + ": " + test + " as displayed", Kind: "amount", Units: units, Unit: "MBq", Small: true},
			kit.Input{Name: "text", Small: true, Incidental: true, Collapsible: true, SharedWith: text}, kit.Input{Name: "at", Kind: "time", Must: true, SharedWith: at})
		return kit.Part{Kind: "meter-test", Fixed: map[string]any{"of": meter, "test": test}, Optional: true, Inputs: inputs}
	}
	with := kit.Chosen("with", "Check source", kit.IDs(book.Usable(b.Q.Now)...))
	with.Small, with.Incidental = true, true
	return []kit.Part{
		part("background"),
		part("constancy", with, kit.Input{Name: "setting", Label: "Setting for the source", Small: true, Incidental: true, Kind: "text", Hint: "Such as Cs-137."},
			kit.Input{Name: "readings.1.background", Label: "Background beside it", Kind: "amount", Units: []string{"MBq", "kBq"}, Unit: "MBq", Small: true, Incidental: true}),
	}
}

func (b *Bench) readiness() []kit.Part {
	ids := kit.MeterIDs(b.File)
	last := 2*len(ids) + 3 // the part that asks for the time and the remark, for all
	var out []kit.Part
	passed := b.passed()
	outcome := func(what, label, of string) {
		fixed := map[string]any{"what": what}
		if of != "" {
			fixed["of"] = of
		}
		p := kit.Part{Kind: "check", Fixed: fixed, Optional: true, Inputs: []kit.Input{
			{Name: "result", Label: label, Small: true},
			{Name: "text", Small: true, Incidental: true, Collapsible: true},
			kit.At,
		}}
		if len(out) < last {
			p.Inputs[1].SharedWith, p.Inputs[2].SharedWith = kit.Control(last, "text"), kit.Control(last, "at")
		}
		if answer := kit.Control(len(out), "result"); passed[what+" "+of] && b.Q.R.PostForm.Get(answer) == "" {
			p.Inputs = p.Inputs[1:] // an answer from a page that is older is taken, and never dropped
		}
		out = append(out, p)
	}
	for _, m := range ids {
		if tests := b.testsOf(m, kit.Control(last, "text"), kit.Control(last, "at")); tests != nil {
			out = append(out, tests...)
			continue
		}
		outcome("meter-background", "Meter "+m+": background", m)
		outcome("meter-constancy", "Meter "+m+": constancy", m)
	}
	outcome("survey-meter", "Survey meter", "")
	outcome("area-clear", "Area clear", "")
	outcome("consumables", "Consumables at hand", "")
	outcome("people", "People trained, present", "")
	return out
}

// passed are the checks of today that passed, while another is still missing or failed:
// that one alone is asked for again. Once all of them passed any may be entered as it is
// found.
func (b *Bench) passed() map[string]bool {
	if b.Prep.Step(procedure.Readiness).State == procedure.Done || b.Prep.Container != "" || b.Q.Sheet() != nil {
		return nil
	}
	return b.Prep.Passed
}

func (b *Bench) receipt() []kit.Part {
	return []kit.Part{books.ReceivePart(b.Free("S")), books.SurveyPart("package", true)}
}

// assay reads the vial, before or after the draw.
func (b *Bench) assay() []kit.Part {
	vials := b.vials()
	again := b.Out.Withheld != "" && b.Out.Read != ""
	if again && !slices.ContainsFunc(vials, func(c view.Choice) bool { return c.Value == b.Out.Read }) {
		vials = append(vials, view.Choice{Value: b.Out.Read, Text: b.Out.Read})
	}
	of := kit.Chosen("of", "Container", vials)
	if p := b.Out.Plan; p != nil {
		of.Value = p.From
	}
	if again {
		of.Value = b.Out.Read
	}
	gross, background := b.lastUnits()
	return []kit.Part{{Kind: "read", Inputs: append([]kit.Input{
		of, b.meter(),
		{Name: "gross", Unit: gross, Focus: true},
		{Name: "background", Unit: background},
		kit.At,
	}, b.setUp()...)}}
}

// setUp asks how the meter was set, among what the calibrations hold for: once of each
// person on a day, and proposed from then on until somebody notes another. It asks nothing
// where no calibration says.
func (b *Bench) setUp() (out []kit.Input) {
	if b.Q.Instruments == nil {
		return nil
	}
	settings, inserts := b.Q.Instruments(b.Q.Now).SetUps(b.Q.Now)
	var mine, none fact.SetUp // what this person noted last today, if nobody noted another since
	day := func(t time.Time) string { return t.In(b.Zone.Loc()).Format(time.DateOnly) }
	for _, r := range b.File.Records {
		set := none
		switch x := r.Fact.(type) {
		case *fact.Read:
			set = x.SetUp
		case *fact.SecondCheck:
			set = x.SetUp
		}
		switch {
		case set == none || day(r.Recorded) != day(b.Q.Now):
		case r.By == b.Q.Who.ID:
			mine = set
		case set != mine:
			mine = none
		}
	}
	ask := func(name string, words []string, proposed string) {
		if len(words) > 0 {
			out = append(out, kit.Input{Name: name, Kind: "choice", Choices: kit.IDs(words...), Must: mine == none, Value: proposed, Small: true})
		}
	}
	ask("setting", settings, mine.Setting)
	ask("insert", inserts, mine.Insert)
	return out
}

// lastUnits are the units of the last reading of the case and of its
// background; a meter seldom changes its own. They stand chosen, in sight.
// Without a reading each has to be chosen.
func (b *Bench) lastUnits() (gross, background string) {
	for _, r := range slices.Backward(b.File.Records) {
		if x, ok := r.Fact.(*fact.Read); ok {
			_, gross = x.Gross.Split()
			_, background = x.Background.Split()
			return gross, background
		}
	}
	return "", ""
}

// Free proposes an id for a new container: one that nothing of the site ever had.
func (b *Bench) Free(letter string) string { return b.Q.Lab.Free(letter) }

func (b *Bench) draw() []kit.Part {
	from := kit.Chosen("from", "From", b.vials())
	volume := kit.Input{Name: "volume", Label: "The syringe now stands at", Kind: "amount", Units: kit.VolumeUnits, Unit: "mL", Must: true, Focus: true}
	if p := b.Out.Plan; p != nil {
		from.Value = p.From
	}
	fixed := b.forOrder()
	if b.Case.Experience != nil && b.Case.Policy.LearnYield { // the yield that the plan rests on is found by who draws ever after
		fixed["by"] = b.Q.Who.ID
	}
	return []kit.Part{{Kind: "draw", Fixed: fixed, Inputs: []kit.Input{
		volume, from,
		{Name: "scanned", Label: "Scan the vial", Kind: "id", Hint: "The id on its shield, or the code of its pack. It may be left empty."},
		{Name: "into", Value: b.Free("Y")},
		clock.Asked(),
		kit.At,
	}}}
}

func (b *Bench) adjust() []kit.Part {
	if a := b.Out.Adjust; a != nil && !a.TopUp {
		return []kit.Part{{Kind: "return", Inputs: []kit.Input{
			{Name: "volume", Must: true, Focus: true, Hint: "Planned: " + quantity.ShowGraduated(a.Volume, b.Case.Policy.Graduation) + "."},
			{Name: "from", Value: b.Out.Container},
			kit.Chosen("into", "Back into", b.vials()), kit.At,
		}}}
	}
	parts := b.draw()
	for i := range parts[0].Inputs {
		in := &parts[0].Inputs[i]
		if in.Name == "into" {
			in.Value = b.Out.Container
		}
		if in.Name == "volume" {
			in.Label = "Additional volume drawn" // not what the syringe stands at now
		}
		if a := b.Out.Adjust; a != nil && in.Name == "volume" {
			in.Hint = "Planned: " + quantity.ShowGraduated(a.Volume, b.Case.Policy.Graduation) + "."
		}
	}
	return parts
}

func (b *Bench) makeUp() []kit.Part {
	return []kit.Part{{Kind: "make-up", Inputs: []kit.Input{
		{Name: "volume", Focus: true, Small: true},
		{Name: "lot", Must: true, Small: true, Practice: kit.PracticeSays("PRACTICE-W1")},
		{Name: "diluent", Kind: "choice", Choices: kit.Choices("water for injection", "5 % glucose"), Hint: "Never saline: salt frees the nuclide from the resin."},
		{Name: "of", Label: "To", Value: b.Out.Container},
		kit.At,
	}}}
}

func (b *Bench) transfer() []kit.Part {
	into := b.Free("A")
	for _, l := range b.Prep.Labels {
		if l.Void == "" && l.Into != "" {
			into = l.Into
		}
	}
	return b.entry("transfer", kit.Input{Name: "into", Value: into, Focus: true}, kit.Input{Name: "from", Value: b.Out.Container}, kit.At)
}

func (b *Bench) serial() identity.Serial {
	var r [16]byte
	b.Q.FillRandom(r[:])
	if b.Q.Practice {
		return identity.NewPractice(r)
	}
	return identity.New(r)
}
