package preparation

import (
	"cmp"
	"errors"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/ledger"
	"vialwright/nuclide"
	"vialwright/people"
	"vialwright/procedure"
	"vialwright/quantity"
	"vialwright/web/forms"
	"vialwright/web/kit"
	"vialwright/web/view"
)

func (b *bench) checkPage() error { return b.checkShow(http.StatusOK, nil) }

func (b *bench) checkDo() error {
	if first := b.Q.CheckFirst(b.State, b.Order.ID); len(first) > 0 {
		return &kit.Refusal{Status: http.StatusForbidden, Heading: "Check " + first[0] + " first", Text: checkFirst(first), Hint: checkFirstWay, Back: kit.OrderHref(first[0]) + "/check"}
	}
	return b.enter(b.Step(procedure.SecondCheck), (*bench).checkShow)
}

// checkShow is the page of the second check. Who may still check is given what
// package procedure lists, and no figure of the dose, nor the prescription.
// Once a check is there it says what was found, and asks for no other.
func (b *bench) checkShow(status int, sent *view.Form) error {
	q := b.Q
	p := b.page(procedure.SecondCheck)
	p.Title, p.Here = "Second check, "+b.Order.ID, b.Href()+"/check"
	step, err := b.Prep.Step(procedure.SecondCheck), b.MayStep(procedure.SecondCheck)
	first := q.CheckFirst(b.State, b.Order.ID)
	var says []view.Notice
	if sent == nil && len(b.Prep.Checks) > 0 {
		says, p.Links = b.verdict()
		p.Outcome = b.checkFacts()
	}
	switch {
	case sent != nil:
		p.Form, sent.Quiet = sent, true
	case step.State == procedure.Done:
		p.Main = []view.Link{{Text: "What is next", Href: b.Href(), Main: true}}
	case len(b.Prep.Checks) > 0 && step.State == procedure.Blocked:
		p.Main = []view.Link{{Text: "Bench of " + b.Order.ID, Href: b.Href(), Main: true}}
	case err != nil:
		says = append(says, p.turnTo(kit.PlainNotice(b.withoutFigures(err))))
	case len(first) > 0:
		says = append(says, view.Notice{Kind: "note", Word: "Blind", Text: checkFirst(first), Hint: checkFirstWay})
		p.Main = []view.Link{{Text: "Check " + first[0], Href: kit.OrderHref(first[0]) + "/check", Main: true}}
		for _, order := range first {
			p.Links = append(p.Links, view.Link{Text: "See figures of " + order, Href: kit.OrderHref(order) + "#" + forms.FiguresWord})
		}
	default:
		f := q.FormOf(b.Step(procedure.SecondCheck), b.File.Taken, nil, nil)
		f.Quiet = true
		p.Form = &f
	}
	if err == nil && step.State != procedure.Done && p.Form != nil {
		says = append(says, view.Notice{Kind: "note", Word: "Blind", Text: "Read it yourself, and work out the dose from the data on this page. No other figure is shown before yours."})
		p.Given, p.Folds, p.Clock = b.given(), b.tables(), b.Clock().Show(procedure.SecondCheck)
	}
	b.judge(&p, step, says)
	return q.Show(status, pages, p)
}

// checkFirst says why orders are checked before this one.
func checkFirst(first []string) string {
	return "the reading before the draw of this dose gives the dose of " + strings.Join(first, ", ") + " away, which you may still check"
}

const checkFirstWay = "check that first, or choose to see its figures: then another person checks it"

// given is what the checker works with: the label, the volumes, the times, the
// reading before the draw, and nothing that came after it.
func (b *bench) given() []view.Pair {
	out := []view.Pair{{Name: "Infusion planned", Value: b.OnDay(b.Order.At)}, {Name: "Territory", Value: b.Order.Territory}, {Name: "Patient", Value: b.Patient()}}
	for _, d := range b.Case.Draws {
		if d.For != b.Order.ID {
			continue
		}
		for _, v := range b.Case.Vials {
			if v.ID == d.From {
				out = append(out, view.Pair{Name: "Label of " + v.ID, Value: v.Lot + ", " + quantity.Both(v.Labelled, 0) + " at " + b.OnDay(v.Reference) + ", " + quantity.Show(v.Volume, 0).String()})
			}
		}
		out = append(out, view.Pair{Name: "Drawn from " + d.From + " into " + d.Into, Value: quantity.ShowGraduated(d.Volume, b.Case.Policy.Graduation) + ", " + b.OnDay(d.At)})
	}
	for _, m := range b.Case.MakeUps {
		if b.Case.Serves[m.Of] == b.Order.ID {
			out = append(out, view.Pair{Name: "Diluent into " + m.Of, Value: quantity.ShowGraduated(m.Volume, b.Case.Policy.Graduation) + ", " + b.OnDay(m.At)})
		}
	}
	for _, e := range b.File.Entries() {
		if r, ok := e.Fact.(*fact.Return); ok && b.Case.Serves[r.From] == b.Order.ID {
			out = append(out, view.Pair{Name: "Returned from " + r.From + " into " + r.Into, Value: cmp.Or(r.Volume.Text, "all of it") + ", " + b.OnDay(r.At)})
		}
	}
	for _, w := range b.Out.Second {
		for _, n := range w.Shared {
			out = append(out, view.Pair{Name: "Reading of " + w.Of + " before the draw, entry " + strconv.Itoa(n), Value: b.readAs(n)})
		}
	}
	return out
}

// readAs is a reading as it was entered.
func (b *bench) readAs(entry int) string {
	e, _ := b.File.Entry(entry)
	x, ok := e.Fact.(*fact.Read)
	if !ok {
		return ""
	}
	return x.Gross.Text + ", background " + x.Background.Text + ", " + b.OnDay(x.At) + ", " + x.Meter
}

// decayMinutes are the rows of the decay table.
var decayMinutes = []int{5, 10, 15, 20, 30, 40, 50, 60, 120, 180, 240, 300, 360, 480, 600, 720, 1440, 2880}

// tables are the factors of the meters and the decay table.
func (b *bench) tables() []Fold {
	factors := Fold{Title: "Factors of the meters (reading = factor · activity)"}
	_, _, all := fact.Settings(b.File.Facts())
	for _, m := range all {
		for _, kind := range []ledger.Kind{ledger.ShippingVial, ledger.Syringe, ledger.AdministrationVial} {
			for _, g := range m.Geometry.For(string(kind)) {
				name := m.ID + ", " + strings.ReplaceAll(string(kind), "-", " ")
				if g.Fill != nil {
					name += ", " + g.Fill.Min.Text + " to " + g.Fill.Max.Text
				}
				factors.Pairs = append(factors.Pairs, view.Pair{Name: name, Value: g.Factor.Text + ", " + string(g.Basis) + " basis"})
			}
		}
	}
	decay := Fold{Title: "Decay table, half-life " + quantity.FormatDigits(b.Result.HalfLife, 6, "h") + " (later = factor · now)"}
	for _, m := range decayMinutes {
		name := strconv.Itoa(m) + " min"
		if m%60 == 0 {
			name = strconv.Itoa(m/60) + " h"
		}
		decay.Pairs = append(decay.Pairs, view.Pair{Name: name, Value: strconv.FormatFloat(nuclide.Factor(b.Result.HalfLife, quantity.Span(60*m)), 'f', 5, 64)})
	}
	return []Fold{factors, decay}
}

// shown tells whether the figures of the second checks are shown: once they
// confirm the record to everybody, until then to who may decide.
func (b *bench) shown() bool {
	return b.Prep.ShowsChecks(b.Q.Who.Person)
}

// checkElsewhere leads from an order whose figures are withheld to the check that comes
// first; while that cannot be done, to the figures.
func (b *bench) checkElsewhere() view.Link {
	for _, order := range b.Elsewhere() {
		if step, _ := b.State.Preparation(order).Current(); step.Key == procedure.SecondCheck {
			return view.Link{Text: "Do the second check of " + order, Href: kit.OrderHref(order) + "/check", Main: true}
		}
	}
	return view.Link{Text: b.SeeFigures().Title, Href: "#" + forms.FiguresWord, Main: true}
}

// checkLinks lead from the bench to the check, and who prepared a dose whose
// check differs to a further reading.
func (b *bench) checkLinks(step procedure.Step) []view.Link {
	to := view.Link{Text: "Do the second check", Href: b.Href() + "/check", Main: step.State == procedure.Now}
	if step.State == procedure.Now {
		if !b.Blind() && people.MayCheck(b.Q.Who.Person, b.Prep.Deeds) != nil {
			to.Text = "Open the page for the checker"
		}
		return []view.Link{to}
	}
	to.Text = "See the second check"
	_, own := errors.AsType[*people.Error](people.MayCheck(b.Q.Who.Person, b.Prep.Deeds))
	if step.State == procedure.Blocked && own && people.May(b.Q.Who.Person, people.ReadMeter) == nil {
		return []view.Link{{Text: "Read " + b.Prep.Container + " again", Href: "#reading", Main: true}, to}
	}
	return []view.Link{to}
}

// verdict says how the second checks of the dose stand, with the way out.
func (b *bench) verdict() ([]view.Notice, []view.Link) {
	last := b.Prep.Checks[len(b.Prep.Checks)-1]
	own := ""
	if last.By == b.Q.Who.ID {
		own = "Your figure is " + b.figure(last.Figure) + ". "
	}
	if b.Prep.Step(procedure.SecondCheck).State == procedure.Done {
		return []view.Notice{{Kind: "done", Word: "Agrees", Text: own + "The second check by " + last.By + " confirms the dose."}}, nil
	}
	var links []view.Link
	if b.Blind() && last.By != b.Q.Who.ID {
		links = append(links, view.Link{Text: b.SeeFigures().Title, Href: b.Href() + "#" + forms.FiguresWord})
	}
	for _, c := range b.Prep.Checks {
		if (c.By == b.Q.Who.ID || b.shown()) && procedure.MayStrikeCheck(b.Q.Who.Person, b.Prep, c.By, "?") == nil {
			links = append(links, view.Link{Text: "Strike out the check of " + c.By, Href: "/entry/" + strconv.Itoa(c.Entry) + "/correct"})
		}
	}
	if i := slices.IndexFunc(b.Prep.Checks, func(c procedure.Checked) bool { return !c.Agrees() }); i >= 0 {
		return []view.Notice{{Kind: "stop", Word: "Differs", Text: own + "The second check by " + b.Prep.Checks[i].By + " does not confirm the dose: " + why(b.Prep.Checks[i]), Hint: procedure.ThirdAct}}, links
	}
	return []view.Notice{{Kind: "note", Word: "Not enough", Text: "It was checked by someone who took part in the work or had seen its figures.", Hint: "Another person must check it."}}, links
}

// why says in words without a figure why a check does not confirm the record.
func why(c procedure.Checked) string {
	switch {
	case procedure.Checkable(c.CheckResult) != nil:
		return procedure.Checkable(c.CheckResult).(*procedure.Error).Msg
	case !c.InLimit():
		return "the two figures differ by more than the " + quantity.Show(c.Limit, 0).String() + " that the site allows"
	}
	return "the two figures differ by more than 3 standard uncertainties of their difference"
}

// checkFacts are both figures of each second check since the last work, for
// who is shown them.
func (b *bench) checkFacts() []view.Pair {
	if !b.shown() {
		return nil
	}
	var out []view.Pair
	for _, c := range b.Prep.Checks {
		if c.Why != "" {
			continue
		}
		way := "the remainder in " + c.Of + "; the reading before the draw is shared, entry " + c.SharedText()
		if len(c.Shared) == 0 {
			way = c.Of + ", which holds the dose; no reading is shared"
		}
		out = append(
			out, view.Pair{Name: "First figure", Value: b.figure(c.First)},
			view.Pair{Name: "Second figure, " + c.By + " " + b.Zone.Hour(c.At), Value: b.figure(c.Read) + ", worked out as " + b.figure(c.Figure)},
			view.Pair{Name: "Difference", Value: dispensing.Share(c.Ratio()) + " (" + quantity.Show(c.Difference, c.U).String() + "); allowed " + quantity.Show(c.Limit, 0).String() + " and 3 standard uncertainties"},
			view.Pair{Name: "Read", Value: way},
		)
	}
	return out
}

// figure is an activity to four digits, in the unit that the meters of the
// case show.
func (b *bench) figure(a quantity.Activity) string {
	return quantity.FormatDigits(a, 4, b.unit())
}
