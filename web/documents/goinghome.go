package documents

import (
	"net/http"
	"strings"
	"time"

	"vialwright/dose"
	"vialwright/paper"
	"vialwright/quantity"
	"vialwright/rules"
	"vialwright/web/books"
	"vialwright/web/kit"
	"vialwright/web/words"
)

func goingHomePDF(q *request) error {
	b, err := books.Here(q.Request)
	if err != nil {
		return err
	}
	d := b.Out.Delivered
	if b.Blind() || d == nil {
		return &kit.Refusal{Status: http.StatusNotFound, Heading: "There is no such sheet yet", Text: "what the patient was given is not known yet", Hint: "read the residual first", Back: b.Href()}
	}
	o, a := b.Order, b.Prep.After
	g := paper.GoingHome{
		Zone: b.Zone.Loc(), Made: q.Now, Order: o.ID, Patient: b.Prep.Expect.Patient, Second: b.Prep.Expect.Second,
		Site: o.Site, Territory: o.Territory, Delivered: d.Activity, U: d.U, At: d.At, HalfLife: b.Case.HalfLife.Value, UrineFrom: dose.UrineFrom,
	}
	if n := len(b.File.Records); n > 0 {
		g.Head = q.Lab.Hash(b.File.Records[n-1].N).String()
	}
	if r := a.Release; r != nil {
		g.Released, g.Basis = r.At, r.Basis
		g.Nursing, g.Pregnant, g.Given = strings.ReplaceAll(string(r.Nursing), "-", " "), string(r.Pregnant), string(r.Given)
		g.Rate = quantity.Shown(r.Rate.Text)
		if g.Rate != "" && !r.Background.IsZero() {
			g.Rate += ", background " + quantity.Shown(r.Background.Text)
		}
	}
	for _, c := range dose.Contacts(d.Activity, b.Case.HalfLife.Value) {
		g.Near = append(g.Near, paper.Words(c.Who, quantity.FormatDigits(c.Dose, 2, "uSv")))
	}
	u := dose.UrineOf(d.Activity)
	kBq := func(a quantity.Activity) string { return quantity.FormatDigits(a, 2, "kBq") }
	g.Urine = kBq(u.First) + ", from " + kBq(u.Least) + " to " + kBq(u.Most) + "; on the second day " + kBq(u.Second) + "; about " + kBq(u.HalfDay) + " in all in the first 12 h"
	g.Limits = append([]string{"The estimates go by " + dose.NearbyFrom + "."}, q.releaseLimits(g)...)
	return books.SendSheet(q.Request, "patient-"+o.ID+".pdf", g.Sheet(), nil)
}

// releaseLimits are what the profile of the site says of a release, with paragraph and
// mark; where it says nothing, that. A limit of a release goes by the day of the release,
// since that is what the rule allows or forbids, and not by the day of the infusion;
// until then by the day on which the sheet is made.
func (q *request) releaseLimits(g paper.GoingHome) (out []string) {
	if q.Rules == nil {
		return []string{"The site has named no rule profile: no limit of a release stands here."}
	}
	day, says := g.Released, "the day of the release"
	if day.IsZero() {
		day, says = g.Made, "today, since no release is recorded yet"
	}
	day = day.In(g.Zone)
	on := q.Rules.On(day)
	out = []string{"Limits in force on " + day.Format(time.DateOnly) + ", " + says + "."}
	for _, x := range []struct {
		key rules.Key
		ask string
	}{{rules.ReleaseLimit, "Released where no other person is likely to get %, by "}, {rules.ReleaseInstructions, "Written instructions where another person may get %, by "}} {
		v, ok, why := on.Get(x.key)
		if !ok {
			out = append(out, words.Sentence(why)+".")
			continue
		}
		out = append(out, strings.Replace(x.ask, "%", v.Bound(), 1)+v.Source()+".")
	}
	return out
}
