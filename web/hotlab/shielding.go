package hotlab

import (
	"fmt"
	"strconv"
	"strings"

	"vialwright/protection"
	"vialwright/quantity"
	"vialwright/rules"
	"vialwright/web/kit"
	"vialwright/web/view"
	"vialwright/web/words"
)

// shieldingPage answers whether a wall is thick enough, and what a thing reads at a
// distance: an order of magnitude, with what is in print.
func shieldingPage(q *request) error {
	p := view.FormPage{
		Page: q.Page("Walls and distances"), Heading: "Walls and distances", Back: view.Link{Text: "Surveys", Href: "/surveys"},
		Intro: "An order of magnitude, from published figures and transport calculations of ours. It replaces no measurement.",
	}
	if wall := q.R.FormValue("wall"); wall != "" {
		p.Cautions = append(p.Cautions, notice(Wall(wall, q.R.FormValue("thick"))))
	}
	if thing := q.R.FormValue("thing"); thing != "" {
		holds, err := q.holding(q.R.FormValue("holds"))
		var a Answer
		if err == nil {
			a, err = Distance(thing, holds, q.R.FormValue("distance"))
		}
		p.Cautions = append(p.Cautions, notice(a, err))
	}
	if holds := q.R.FormValue("prepared"); holds != "" {
		p.Cautions = append(p.Cautions, q.fingerAnswer(holds, q.R.FormValue("cases"))...)
	}
	var walls, things []string
	for _, m := range protection.Materials {
		walls = append(walls, m.Name)
	}
	for _, t := range protection.Things {
		things = append(things, string(t))
	}
	ask := kit.PlainForm("wall", "Is this wall thick enough?", "/shielding", "Answer",
		view.Field{Kind: "choice", Name: "wall", Label: "Material", Choices: picked(walls, q.R.FormValue("wall")), Required: true},
		view.Field{Kind: "text", Name: "thick", Label: "Thickness, such as 10 mm", Value: q.R.FormValue("thick"), Required: true, Small: true})
	ask2 := kit.PlainForm("distance", "What does it read?", "/shielding", "Answer",
		view.Field{Kind: "choice", Name: "thing", Label: "What", Choices: picked(things, q.R.FormValue("thing")), Required: true},
		view.Field{Kind: "text", Name: "holds", Label: "Activity, such as 3.0 GBq", Value: q.R.FormValue("holds"), Required: true, Small: true, Hint: "Or the id of a vial, a parcel or a patient of the inventory."},
		view.Field{Kind: "text", Name: "distance", Label: "Distance, such as 30 cm", Value: q.R.FormValue("distance"), Required: true, Small: true})
	ask3 := kit.PlainForm("fingers", "What do the fingers get?", "/shielding", "Answer",
		view.Field{Kind: "text", Name: "prepared", Label: "Activity each, such as 3.3 GBq", Value: q.R.FormValue("prepared"), Required: true, Small: true},
		view.Field{Kind: "text", Name: "cases", Label: "Preparations in a year", Value: q.R.FormValue("cases"), Required: true, Small: true})
	p.Forms = []view.Form{ask, ask2, ask3}
	return q.show(p)
}

func picked(values []string, value string) []view.Choice {
	out := make([]view.Choice, len(values))
	for i, v := range values {
		out[i] = view.Choice{Value: v, Text: v, Picked: v == value}
	}
	return out
}

func problem(err string) view.Notice {
	return view.Notice{Kind: "warn", Word: "Not answered", Text: err, Hint: "Write a number with its unit."}
}

// Answer is one of the questions answered: in a word, in a sentence, and from where.
type Answer struct{ Kind, Word, Text, Hint string }

func notice(a Answer, err error) view.Notice {
	if err != nil {
		return problem(words.Sentence(err.Error()) + ".")
	}
	n := view.Notice{Kind: a.Kind, Word: a.Word, Text: a.Text, Hint: a.Hint}
	if a.Kind == "note" { // the word of a notice is in capitals, where µSv is read as mSv
		n.Word, n.Text = "Estimate", a.Word+". "+a.Text
	}
	return n
}

// Wall answers whether a wall stops the betas of Y-90, and what it lets through of photons,
// each figure with its source.
func Wall(material, thick string) (Answer, error) {
	m, ok := protection.MaterialOf(material)
	if !ok {
		return Answer{}, fmt.Errorf("no material is called %q; known are %s", material, listed(protection.Materials, func(m protection.Material) string { return m.Name }))
	}
	t, err := quantity.Parse[quantity.Length](thick)
	if err != nil {
		return Answer{}, err
	}
	if t.Value <= 0 {
		return Answer{}, fmt.Errorf("%s is no thickness of a wall", t.Text)
	}
	stops := quantity.FormatDigits(m.Stops(), 3, "mm")
	a := Answer{"done", "Yes", t.Text + " of " + m.Name + " stop all betas of Y-90: " + stops + " are enough (NIST ESTAR).", ""}
	if t.Value < m.Stops() {
		a = Answer{"warn", "No", t.Text + " of " + m.Name + " let betas of Y-90 through: it takes " + stops + " (NIST ESTAR).", ""}
	}
	for _, e := range []float64{0.2, 0.5, 1} {
		if pass, ok := m.Transmission(e, t.Value); ok {
			a.Text += " Of photons of " + strconv.FormatFloat(e, 'g', -1, 64) + " MeV " + quantity.FormatDigits(quantity.Fraction(pass), 2, "%") + " pass without a reaction (" + protection.AttenuationSource(e) + ")."
		}
	}
	a.Hint = "Scattered photons come beside them: measure behind it."
	if m.Density > 10 {
		a.Hint = "Put plastic first: in heavy metal " + strconv.FormatFloat(m.Yield/protection.Materials[1].Yield, 'f', 0, 64) + " times as much beta energy becomes photons as in acrylic (NIST ESTAR). " + a.Hint
	}
	return a, nil
}

// Distance answers what a thing with an activity reads at a distance, with what else is in
// print and its source.
func Distance(what, holds, distance string) (Answer, error) {
	t, ok := protection.ThingOf(what)
	if !ok {
		return Answer{}, fmt.Errorf("no one thing is called %q; known are %s", what, listed(protection.Things, func(t protection.Thing) string { return string(t) }))
	}
	a, err := quantity.Parse[quantity.Activity](holds)
	if err != nil {
		return Answer{}, err
	}
	d, err := quantity.Parse[quantity.Length](distance)
	if err != nil {
		return Answer{}, err
	}
	if a.Value <= 0 {
		return Answer{}, fmt.Errorf("%s is no activity of something that reads", a.Text)
	}
	x, ok := protection.Expect(t, a.Value, d.Value)
	if !ok {
		return Answer{}, fmt.Errorf("nothing is known for %s: 10 cm is the nearest", d.Text)
	}
	show := func(r quantity.DoseRate) string { return quantity.FormatDigits(r, 2, "uSv/h") }
	return Answer{"note", "About " + show(x.PerGBq), "At " + d.Text + " it reads between " + show(x.Low) + " and " + show(x.High) + ": " + string(t) + " with " + a.Text + ".", "Source: " + x.Source + "."}, nil
}

func listed[T any](all []T, name func(T) string) string {
	out := make([]string, len(all))
	for i, x := range all {
		out[i] = name(x)
	}
	return strings.Join(out, ", ")
}

// holding is an activity as it was typed, or that of a container or a parcel of the inventory
// now by its id.
func (q *request) holding(typed string) (string, error) {
	b, err := q.read()
	if err != nil {
		return "", err
	}
	for _, i := range b.Inventory.Whole() {
		if i.ID == strings.TrimSpace(typed) {
			if q.blind() {
				return "", fmt.Errorf("what is in %s is %s; write an activity", i.ID, notYet)
			}
			return quantity.Show(i.Activity, 0).String(), nil
		}
	}
	return typed, nil
}

// mostCases is more preparations than anybody makes in a year.
const mostCases = 100_000

// fingerAnswer says what the fingers get of a year of preparations, beside the limit of the
// skin where a rule is in force.
func (q *request) fingerAnswer(prepared, cases string) []view.Notice {
	a, err := quantity.Parse[quantity.Activity](prepared)
	n, err2 := strconv.Atoi(strings.TrimSpace(cases))
	if err != nil || err2 != nil || a.Value <= 0 || n < 1 || n > mostCases {
		return []view.Notice{problem("The activity or the number of preparations cannot be read.")}
	}
	low, high := protection.Fingers(a.Value, float64(n))
	out := view.Notice{
		Kind: "note", Word: "Estimate", Text: "About " + sieverts(low) + " to " + sieverts(high) + ". That is what the fingers get of " + words.Plural(n, "preparation") + " of " + a.Text + ", of a trained person and of a novice.",
		Hint: "Source: EJNMMI 2016, hal-01255872 (0.0975 and 0.2951 mSv/GBq, means). Single cases lie far outside: wear a fingertip dosemeter once.",
	}
	held := view.Notice{Kind: "note", Word: "Never hold it bare", Hint: "Source: Barber et al., NUREG/CR-6493, 1997 (over 1 cm²)."}
	if limit, ok := q.skinLimit(); ok {
		all := quantity.DoseEquivalent(limit.Number())
		for _, of := range []struct {
			says string
			part quantity.DoseEquivalent
		}{{"A tenth of the limit", 0.1}, {"Three tenths", 0.3}, {"The limit of " + limit.Figure, 1}} {
			few, many := protection.FingerCases(a.Value, of.part*all)
			out.Text += " " + of.says + " is not passed by " + words.Plural(few, "preparation") + " of a novice and " + strconv.Itoa(many) + " of a trained person."
		}
		out.Hint += " " + limit.Source() + "."
		held.Text = "The bare wall of a syringe with " + a.Text + " gives the skin " + limit.Figure + " in " + quantity.ShowSpan(protection.SyringeTime(a.Value, all)) + "."
		return []view.Notice{out, held}
	}
	return []view.Notice{out}
}

// skinLimit is the limit of the skin in force; false without a profile that has one.
func (q *request) skinLimit() (rules.Value, bool) {
	if q.rules == nil {
		return rules.Value{}, false
	}
	v, ok, _ := q.rules.On(q.Now.In(q.Location())).Get(rules.SkinLimit)
	return v, ok
}

func sieverts(d quantity.DoseEquivalent) string { return quantity.FormatDigits(d, 2, "mSv") }
