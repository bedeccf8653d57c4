package experience

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"net/http"

	"vialwright/dispensing"
	"vialwright/experience"
	"vialwright/fact"
	"vialwright/journal"
	"vialwright/learning"
	"vialwright/people"
	"vialwright/quantity"
	"vialwright/web/books"
	"vialwright/web/kit"
	"vialwright/web/lessons"
	"vialwright/web/view"
	"vialwright/web/words"
)

// experiencePage puts what was believed before any case and what is expected now
// side by side.
func experiencePage(q *request) error {
	p := Experience{Page: q.Page("Site experience")}
	var preps []experience.Preparation
	var rows []experience.Row
	var unusual []experience.Unusual
	var left []experience.Left
	var jar dispensing.JarUsual
	q.lessons.Taught(func(x *lessons.Lessons) {
		x.Look()
		preps, rows, unusual, left = x.Tally.Preparations(), x.Rows, x.Unusual, x.Left
		jar = x.Tally.Jar()
	})
	hidden := q.hidden(preps)
	for _, u := range unusual {
		if !hidden[u.Order] {
			p.Unusual = append(p.Unusual, CaseLine{Case: u.Order, Href: kit.OrderHref(u.Order), Text: u.What + ": " + u.Sentence})
		}
	}
	for _, l := range left {
		if !hidden[l.Order] {
			p.Left = append(p.Left, CaseLine{Case: l.Order, Href: kit.OrderHref(l.Order), Text: l.Why + "."})
		}
	}
	p.Intro = words.Plural(len(preps), "finished order") + ". Open preparations are not in it."
	if jar.Cases > 0 {
		p.Intro += " The dose rate of a full dose is " + jar.String() + ": a baseline that contradicts it is asked about."
	}
	p.Plan = q.planTakes()
	if len(preps) > 0 {
		p.Tables = experienceTables(rows)
	}
	p.Links = []view.Link{{Text: "Control charts", Href: "/charts"}}
	return q.Show(http.StatusOK, pages, p)
}

func (q *request) planTakes() string {
	const stated = "Site experience is updated with each vial that is received. It can also be updated from the board, with a reason."
	st, err := q.Reckon(q.Lab.File(), q.Now)
	if err != nil || st.Case.Experience == nil {
		return stated
	}
	policy := books.Percents(quantity.Fraction(st.Case.Policy.Yield.Value), quantity.Fraction(st.Case.Policy.Yield.U))
	if st.Case.Policy.LearnYield {
		return "Draws are planned with site experience, instead of " + policy + ". " + stated
	}
	return "The settings state a draw yield of " + policy + ", which takes precedence. Set learn: yes to use the site's own draws. " + stated
}

func experienceTables(rows []experience.Row) []ExperienceTable {
	tables := []ExperienceTable{
		{ID: "yield", Title: "Draw yield", Intro: "Activity share per volume share, from the readings before and after each draw."},
		{ID: "fraction", Title: "Residual, share of the dose", Intro: "By dose rate in one geometry. The uncertainty of that geometry is not included. For information: a draw aims higher for it only if the physician orders that."},
		{ID: "activity", Title: "Residual, activity", Intro: "At the infusion time."},
	}
	for _, r := range rows {
		tables[0].Rows = append(tables[0].Rows, experienceRow(r, r.Yield, r.YieldCases))
		tables[1].Rows = append(tables[1].Rows, experienceRow(r, r.Fraction, r.FractionCases))
		tables[2].Rows = append(tables[2].Rows, experienceRow(r, r.Activity, r.FractionCases))
	}
	return tables
}

func experienceRow[Q learning.Quantity](r experience.Row, s learning.Shown[Q], cases int) ExperienceRow {
	out := ExperienceRow{
		Vial: r.Kind, Who: r.Person, Cases: fmt.Sprint(cases), Found: "–",
		Before: show(s.Prior), BeforeRange: between(s.Prior), Now: show(s.Predictive), NowRange: between(s.Predictive),
	}
	switch {
	case r.Kind == "":
		out.Vial, out.Who, out.Head = "Any other vial", "", true
	case r.Person == "":
		out.Who, out.Head = "anybody else", true
	}
	switch {
	case s.Data.N == 1:
		out.Found = quantity.Show(s.Data.Mean, s.Predictive.SD).Value + " " + quantity.Show(s.Data.Mean, s.Predictive.SD).Unit
	case s.Data.N > 1:
		f := quantity.Show(s.Data.Mean, s.Data.SD)
		out.Found = f.Value + " " + f.Unit + ", " + cmp.Or(f.U, "0") + " " + f.Unit
	}
	return out
}

func show[Q learning.Quantity](p learning.Predictive[Q]) string {
	return quantity.Show(p.Mean, p.SD).String()
}

func between[Q learning.Quantity](p learning.Predictive[Q]) string {
	low, high := quantity.Show(p.Low, p.SD), quantity.Show(p.High, p.SD)
	if low.Unit == high.Unit {
		return low.Value + " to " + high.Value + " " + high.Unit
	}
	return low.Value + " " + low.Unit + " to " + high.Value + " " + high.Unit
}

// hidden are the orders of which a person may still do the second check, so
// that no page shows a figure of them. Whose record is closed is not asked.
func (q *request) hidden(preps []experience.Preparation) map[string]bool {
	out := map[string]bool{}
	for _, p := range preps {
		if p.Closed {
			continue
		}
		st, err := q.Reckon(q.Lab.File(p.Order), q.Now)
		if err != nil || q.Blind(st, p.Order) {
			out[p.Order] = true
		}
	}
	return out
}

// takeOverForms is the form that takes over what was learned since, where there
// is something.
func (q *request) takeOverForms(st *kit.State) map[string]*kit.Form {
	if people.May(q.Who.Person, people.SetPolicy) != nil {
		return nil
	}
	if !q.lessons.Ready() && q.R.PathValue("form") == "" {
		return nil // the board does not wait for the years after a start
	}
	x := q.lessons.News(q.Now, st.Case)
	if x == nil {
		return nil
	}
	fixed, err := fixedOf(x)
	if err != nil {
		q.Logger.Error("experience", "error", err)
		return nil
	}
	return map[string]*kit.Form{"experience": {
		Title: "Use current site experience", Button: "Use it", Act: people.SetPolicy,
		Said: "The current site experience is in use from now on.", Lines: words.ExperiencePairs(x, st.Zone),
		Parts: []kit.Part{{Kind: fact.Word(x), Fixed: fixed, Inputs: []kit.Input{
			{Name: "reason", Label: "Reason for the update", Kind: "text", Must: true, Hint: "Earlier draws do not change."},
		}}},
	}}
}

// fixedOf are the fields of a fact as a form fixes them.
func fixedOf(f fact.Fact) (fixed map[string]any, err error) {
	body, err := journal.Encode(f)
	if err != nil {
		return nil, err
	}
	d := json.NewDecoder(bytes.NewReader(body))
	d.UseNumber()
	return fixed, d.Decode(&fixed)
}
