package hotlab

import (
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
		Intro: "An order of magnitude, from published figures. It replaces no measurement.",
	}
	if wall := q.R.FormValue("wall"); wall != "" {
		p.Cautions = append(p.Cautions, wallAnswer(wall, q.R.FormValue("thick")))
	}
	if thing := q.R.FormValue("thing"); thing != "" {
		p.Cautions = append(p.Cautions, distanceAnswer(protection.Thing(thing), q.R.FormValue("holds"), q.R.FormValue("distance")))
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
		view.Field{Kind: "text", Name: "holds", Label: "Activity, such as 3.0 GBq", Value: q.R.FormValue("holds"), Required: true, Small: true},
		view.Field{Kind: "text", Name: "distance", Label: "Distance, such as 30 cm", Value: q.R.FormValue("distance"), Required: true, Small: true})
	ask3 := kit.PlainForm("fingers", "What do the fingers get?", "/shielding", "Answer",
		view.Field{Kind: "text", Name: "prepared", Label: "Activity of one preparation, such as 3.3 GBq", Value: q.R.FormValue("prepared"), Required: true, Small: true},
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

func wallAnswer(wall, thick string) view.Notice {
	m, ok := protection.MaterialOf(wall)
	t, err := quantity.Parse[quantity.Length](thick)
	if !ok || err != nil || t.Value <= 0 {
		return problem("The material or the thickness cannot be read.")
	}
	n := view.Notice{Kind: "done", Word: "Yes", Text: t.Text + " of " + m.Name + " stop all betas of Y-90: " + quantity.FormatDigits(m.Stops(), 3, "mm") + " are enough (NIST ESTAR)."}
	if t.Value < m.Stops() {
		n = view.Notice{Kind: "warn", Word: "No", Text: t.Text + " of " + m.Name + " let betas of Y-90 through: it takes " + quantity.FormatDigits(m.Stops(), 3, "mm") + " (NIST ESTAR)."}
	}
	for _, e := range []float64{0.2, 0.5, 1} {
		if pass, ok := m.Transmission(e, t.Value); ok {
			n.Text += " Of photons of " + strconv.FormatFloat(e, 'g', -1, 64) + " MeV " + quantity.FormatDigits(quantity.Fraction(pass), 2, "%") + " pass without a reaction, and scattered ones beside them."
		}
	}
	if m.Density > 10 {
		n.Hint = "Put plastic first: in heavy metal " + strconv.FormatFloat(m.Yield/protection.Materials[1].Yield, 'f', 0, 64) + " times as much beta energy becomes photons as in acrylic."
	}
	return n
}

func distanceAnswer(what protection.Thing, holds, distance string) view.Notice {
	a, err := quantity.Parse[quantity.Activity](holds)
	d, err2 := quantity.Parse[quantity.Length](distance)
	if err != nil || err2 != nil {
		return problem("The activity or the distance cannot be read.")
	}
	x, ok := protection.Expect(what, a.Value, d.Value)
	if !ok {
		return problem("Nothing is known for that distance: 10 cm is the nearest.")
	}
	return view.Notice{Kind: "note", Word: "About " + quantity.FormatDigits(x.PerGBq, 2, "uSv/h"), Text: "At " + d.Text + " a " + x.What + " with " + a.Text + " reads between " + quantity.FormatDigits(x.Low, 2, "uSv/h") + " and " + quantity.FormatDigits(x.High, 2, "uSv/h") + ".", Hint: "Source: " + x.Source + "."}
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
		Kind: "note", Word: "About " + sieverts(low) + " to " + sieverts(high), Text: "That is what the fingers get of " + words.Plural(n, "preparation") + " of " + a.Text + ", of a trained person and of a novice.",
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
