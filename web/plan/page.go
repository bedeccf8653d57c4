package plan

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"html/template"
	"net/http"
	"slices"
	"strings"
	"time"

	"vialwright/dayplan"
	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/people"
	"vialwright/procedure"
	"vialwright/quantity"
	"vialwright/web/kit"
	"vialwright/web/view"
	"vialwright/web/words"
)

// Plan is the page of the day plan.
type Plan struct {
	view.Page
	Heading string
	// Number are the odds that the vials suffice; empty where an order is not served or a sphere window broken.
	Number string
	// Verdict is the one sentence that matters; more are the others.
	Verdict view.Notice
	More    []view.Notice
	Picture template.HTML
	Rows    []Row
	// On is the order that the buttons act on; Buttons are none where there is none.
	On      string
	Buttons []Button
	Says    []view.Pair
	// Offers are what can be ordered.
	Offers []view.Pair
	// Until is to when each dose and vial still serves; Why what the plan is as it is for.
	Until, Why []view.Pair
	// Ask leads to what is only worked out when it is asked for.
	Ask   view.Link
	Links []view.Link
	Form  *view.Form
}

// Row is one order of the plan.
type Row struct {
	ID, Href                  string
	From, Draw, Infuse, Words string
	Current, Moved            bool
	at                        time.Time
}

// Button moves the order that is picked; Key is its access key.
type Button struct{ Text, Href, Key string }

// searchSteps are those of one search on the page: mostly below a second on one core;
// 8 s as measured for 14 orders that may each be infused within 8 h by steps of 5 min.
const searchSteps = 60000

// steps are those of one search: of the coming days, which are larger, fewer.
func (a *asked) steps() int {
	if a.ahead {
		return searchSteps / 10
	}
	return searchSteps
}

// asked is a day as it is looked at: the books, the moves, and what they come to.
type asked struct {
	st    *kit.State
	setup *fact.DaySetup
	taken *fact.RePlan
	day   dayplan.Day
	moves moves
	says  []string
	plan  dayplan.Plan
	err   error
	// serves are whom each drawn dose could serve.
	serves []dayplan.Serves
	comes
	// ahead tells that the coming days are planned, and not today alone.
	ahead bool
	// beyond tells that the plan goes beyond what the meter was tested for.
	beyond bool
	// blind: the person may still check a dose of the day. What a plan serves, and until
	// when, follows from the doses, so that only the plan in force is shown.
	blind bool
}

// ask plans so many days from now on; one with the moves of the address.
func (q *request) ask(n int) (*asked, error) {
	st, err := q.CaseState()
	if err != nil {
		return nil, err
	}
	a := &asked{st: st, blind: q.BlindAnywhere(st), ahead: n > 1}
	if !a.blind && !a.ahead {
		a.moves = readMoves(q.R.URL.Query().Get("moves"))
	}
	today := q.Now.In(st.Zone.Loc())
	a.setup, a.taken = q.inForce(today)
	if a.setup == nil {
		return a, nil
	}
	if a.day, a.comes, err = q.day(st, a.setup, a.taken, daysFrom(today, n)); err != nil {
		return nil, err
	}
	suites(a.day.Orders, a.setup.Suites, a.setup.Infusion.Value)
	a.says = a.moves.apply(&a.day)
	switch {
	case a.blind && a.taken != nil && !a.ahead:
		for _, r := range a.taken.Rows {
			a.plan.Rows = append(a.plan.Rows, dayplan.Planned{Row: dayplan.Row{Order: r.Order, From: r.Source, Draw: r.Draw, Infuse: r.Infuse}})
		}
	case !a.blind && len(a.day.Orders) > 0:
		a.day.MeterLeast, a.day.MeterMost = q.tested(st.Zone)
		a.serves = a.day.Serve()
		a.solve()
	}
	return a, nil
}

// solve keeps within what the meter was tested for where every order can be served so,
// and goes beyond it where more are, since the bench warns of that and lets the work go on.
func (a *asked) solve() {
	if a.plan, a.err = dayplan.Solve(a.day, a.steps()); a.err != nil || len(a.plan.Unserved) == 0 || a.day.MeterLeast+a.day.MeterMost == 0 {
		return
	}
	wide := a.day
	wide.MeterLeast, wide.MeterMost = 0, 0
	if p, err := dayplan.Solve(wide, a.steps()); err == nil && len(p.Unserved) < len(a.plan.Unserved) {
		a.plan, a.beyond, a.day = p, true, wide
	}
}

// mark tells one plan from another: what was shown is what is taken.
func (a *asked) mark() string {
	h := sha256.New()
	for _, r := range a.plan.Rows {
		fmt.Fprintln(h, r.Order, r.From, r.Draw.Unix(), r.Infuse.Unix())
	}
	return hex.EncodeToString(h.Sum(nil)[:8])
}

func planPage(q *request) error {
	a, err := q.ask(1)
	if err != nil {
		return err
	}
	return q.planShow(a, http.StatusOK, nil)
}

func planDo(q *request) error {
	a, err := q.ask(1)
	if err != nil {
		return err
	}
	switch {
	case a.blind:
		return &kit.Refusal{Status: http.StatusForbidden, Heading: "Blind", Text: "you may do the second check of a dose of today, and a new plan would say what that dose can serve", Hint: "do the check first, or let another person plan", Back: "/plan"}
	case a.setup == nil || len(a.plan.Rows) == 0:
		return &kit.Refusal{Status: http.StatusConflict, Heading: "There is no plan to take", Text: "no order of today can be planned", Hint: "look at the day plan", Back: "/plan"}
	}
	if q.R.URL.Query().Get("mark") != a.mark() { // the plan in the record is the one that was looked at
		f := q.FormOf(q.takeForm(a), a.st.File.Taken, q.R.PostForm, kit.Faults{"": {Text: "the plan has changed since it was shown", Way: "look at it again, and take it"}})
		return q.planShow(a, http.StatusConflict, &f)
	}
	return q.Enter(q.takeForm(a), a.st, func(status int, f view.Form) error {
		now, err := q.ask(1)
		if err != nil {
			return err
		}
		return q.planShow(now, status, &f)
	})
}

func (q *request) planShow(a *asked, status int, sent *view.Form) error {
	today := q.Now.In(a.st.Zone.Loc())
	title, heading, other := "Day plan", "Day plan, "+today.Format("Monday 2 January"), view.Link{Text: "Coming days", Href: "/plan/ahead"}
	if a.ahead {
		title, heading, other = "Coming days", "Coming days, to "+today.AddDate(0, 0, aheadDays-1).Format("Monday 2 January"), view.Link{Text: "Day plan", Href: "/plan"}
	}
	p := Plan{Page: q.Page(title), Heading: heading, On: q.R.URL.Query().Get("on"), Links: []view.Link{{Text: "Board", Href: "/"}, other, {Text: "Calendar", Href: "/plan/calendar"}}}
	enters := "It is entered once. Who may do this: " + words.Titles(people.SetPolicy.Roles()) + "."
	if people.May(q.Who.Person, people.SetPolicy) == nil {
		enters = "Enter it once, under Set-up of the day."
		p.Links = append(p.Links, view.Link{Text: "Set-up of the day", Href: "/plan/setup"})
	}
	switch {
	case a.setup == nil:
		p.Verdict = view.Notice{Kind: "note", Word: "Not set up", Text: "Nobody has entered bench, suites and times for the day plan.", Hint: enters}
		return q.Show(status, pages, p)
	case len(a.day.Orders) == 0:
		p.Verdict = view.Notice{Kind: "note", Word: "Nothing", Text: "No order of " + a.which() + " is open."}
		return q.Show(status, pages, p)
	case a.err != nil:
		p.Verdict = view.Notice{Kind: "stop", Word: "Stop", Text: "The day cannot be planned: " + a.err.Error() + ".", Hint: "Put it right where it was entered."}
		return q.Show(status, pages, p)
	}
	p.Picture = a.picture(q.Mark())
	p.Rows = a.rows(p.On)
	if a.ahead {
		p.shows(a, q.Who.Person)
	}
	if a.blind {
		p.Verdict = view.Notice{Kind: "note", Word: "Plan in force", Text: "No new plan is made for you before your second check.", Hint: "It would say what the doses that are drawn can serve."}
		return q.Show(status, pages, p)
	}
	drawn, held, why := a.standing()
	if a.ahead { // what the bench waits for today is said there
		held, why = nil, nil
	}
	p.Verdict, p.More = a.verdict(drawn, held), append(why, a.more()...)
	if a.plan.InOrder() { // odds beside a stop would sound as if all were well
		p.Number = dispensing.Chance(a.plan.Odds)
	}
	p.Why, p.Offers = a.why(), a.toOrder()
	if a.ahead {
		p.Why = append(p.Why, a.notLookedAt()...)
		return q.Show(status, pages, p)
	}
	p.Buttons, p.Says, p.Until = a.buttons(p.On), a.figures(), a.until()
	if q.R.URL.Query().Has("why") {
		p.Why = append(p.Why, a.explained()...)
	} else {
		p.Ask = view.Link{Text: "What binds, and what more would bring", Href: a.moves.asking(p.On)}
	}
	p.Why = append(p.Why, a.notLookedAt()...)
	switch {
	case sent != nil:
		p.Form = sent
	case people.May(q.Who.Person, people.Draw) == nil && a.changed():
		f := q.FormOf(q.takeForm(a), a.st.File.Taken, nil, nil)
		p.Form = &f
	}
	if p.Form != nil {
		p.Form.Quiet = true // its button says it
	}
	return q.Show(status, pages, p)
}

// changed tells that the plan is not the one that was taken.
func (a *asked) changed() bool {
	if a.taken == nil || len(a.taken.Rows) != len(a.plan.Rows) {
		return true
	}
	return slices.ContainsFunc(a.plan.Rows, func(r dayplan.Planned) bool {
		return !slices.ContainsFunc(a.taken.Rows, func(t fact.PlannedDose) bool {
			return t.Order == r.Order && t.Source == r.From && t.Infuse.Equal(r.Infuse) && t.Draw.Equal(r.Draw)
		})
	})
}

func (a *asked) verdict(drawn, held []string) view.Notice {
	waiting := ""
	if len(drawn) > 0 {
		waiting = " Drawn, and not given yet: " + strings.Join(drawn, ", ") + "."
	}
	switch p := a.plan; {
	case len(p.Unserved) > 0:
		return view.Notice{Kind: "stop", Word: "Stop", Text: strings.Join(p.Unserved, ", ") + " cannot be served.", Hint: "Move or cancel an order, or open another vial. Below is why."}
	case p.Score.Broken > 0:
		return view.Notice{Kind: "stop", Word: "Stop", Text: "A sphere window is broken. The physician decides.", Hint: "Look at the row of the order."}
	case len(held) > 0:
		return view.Notice{Kind: "warn", Word: "Held", Text: "Held at the bench, and not served yet: " + strings.Join(held, ", ") + ".", Hint: "Every other order is planned. Below is why these are held."}
	case !p.Proven:
		return view.Notice{Kind: "note", Word: "Plan", Text: "Every order is planned. A better plan may exist." + waiting, Hint: "The search ran out of steps."}
	default:
		return view.Notice{Kind: "done", Word: "Plan", Text: "Every order is planned, and there is no better plan." + waiting, Hint: strings.Join(a.says, "; ")}
	}
}

// standing are the orders of the plan whose dose is drawn and not given, and those that are
// held at the bench: something has to be put right first, or no figure of the dose holds.
func (a *asked) standing() (drawn, held []string, why []view.Notice) {
	for _, r := range a.plan.Rows {
		prep := a.st.Preparation(r.Order)
		step, ok := prep.Current()
		says := ""
		switch {
		case a.unknown(r.From):
			says = "the figures of its dose in " + r.From + " are held back"
		case ok && step.State == procedure.Blocked:
			says = words.Inside(step.Title) + ": " + step.Why
		case len(prep.Holds) > 0:
			says = prep.Holds[0].Text
		case r.Draw.IsZero():
			drawn = append(drawn, r.Order)
		}
		if says != "" {
			held = append(held, r.Order)
			why = append(why, view.Notice{Kind: "warn", Word: "Held", Text: r.Order + ": " + strings.TrimSuffix(says, ".") + ".", Mend: view.Link{Text: "Bench of " + r.Order, Href: kit.OrderHref(r.Order)}})
		}
	}
	return drawn, held, why
}

// more are what the plan does not keep or goes beyond, the plan in force first, and what a
// drawn dose without an order could be given to. The page shows one, and folds the rest.
func (a *asked) more() (out []view.Notice) {
	if lost := a.lost(); len(lost) > 0 {
		out = append(out, view.Notice{Kind: "warn", Word: "Plan in force", Text: "It cannot be kept for " + strings.Join(lost, ", ") + ".", Hint: "Take the plan that is shown, or move an order."})
	}
	if a.beyond {
		out = append(out, view.Notice{Kind: "warn", Word: "Meter", Text: "Within the range that the activity meter was tested for, not every order can be served. This plan goes beyond it.", Hint: "Have the meter tested over the range, or order another vial."})
	}
	for _, x := range a.overdue {
		out = append(out, view.Notice{Kind: "warn", Word: "Parcel", Text: x.Parcel + ", due " + a.wall(x.Due) + ", has not arrived. Its vials are not planned with.", Hint: "Ask the supplier, or enter its arrival.", Mend: view.Link{Text: "Parcels", Href: "/parcels"}})
	}
	for _, r := range a.plan.Rows {
		for _, o := range a.st.Case.Orders {
			if o.ID == r.Order && ((!o.NotBefore.IsZero() && r.Infuse.Before(o.NotBefore)) || (!o.NotAfter.IsZero() && r.Infuse.After(o.NotAfter))) {
				out = append(out, view.Notice{Kind: "warn", Word: "Order", Text: o.ID + " is infused outside the times of its order.", Hint: "The physician decides."})
			}
		}
		for _, x := range a.day.Doses {
			if x.ID == r.From && x.For != r.Order {
				out = append(out, view.Notice{
					Kind: "warn", Word: "Reassign", Text: "The dose in " + x.ID + ", drawn for " + x.For + ", serves " + r.Order + ".", Hint: "It is given to " + r.Order + " at the bench of " + x.For + ".",
					Mend: view.Link{Text: "Bench of " + x.For, Href: kit.OrderHref(x.For)},
				})
			}
		}
	}
	return append(out, a.couldServe()...)
}

// lost are the orders of the plan in force for which it cannot be kept.
func (a *asked) lost() []string {
	if a.taken == nil {
		return nil
	}
	kept, err := dayplan.Judge(a.day, a.day.InForce)
	if err != nil {
		return nil // a.err says why
	}
	return slices.DeleteFunc(kept.Unserved, func(id string) bool { // of an order that came later it says nothing
		return !slices.ContainsFunc(a.day.InForce, func(r dayplan.Row) bool { return r.Order == id })
	})
}

// couldServe says for whom a dose that nobody gets could be, with the way to the bench
// where it is given away.
func (a *asked) couldServe() (out []view.Notice) {
	for _, x := range a.day.Doses {
		free := !slices.ContainsFunc(a.plan.Rows, func(r dayplan.Planned) bool { return r.From == x.ID })
		if says := a.within(x); free && len(says) > 0 {
			out = append(out, view.Notice{
				Kind: "note", Word: "Drawn dose", Text: x.ID + " could serve " + strings.Join(says, "; ") + ".",
				Mend: view.Link{Text: "Bench of " + x.For, Href: kit.OrderHref(x.For)},
			})
		}
	}
	return out
}

// within are the orders that a drawn dose could serve, each with until when.
func (a *asked) within(x dayplan.Dose) (says []string) {
	for _, s := range a.serves {
		if s.Dose == x.ID && s.Within {
			says = append(says, s.Order+" until "+a.wall(s.Until))
		}
	}
	return says
}

// wall is a time as the clock on the wall tells it.
func (a *asked) wall(t time.Time) string { return a.st.Zone.Wall(t, a.day.Now) }

func (a *asked) rows(on string) []Row {
	var out []Row
	for _, o := range a.day.Orders {
		r := Row{ID: o.ID, Href: address(a.moves, o.ID), Infuse: a.wall(o.At), Words: "Cannot be served.", Current: o.ID == on, at: o.At}
		if a.blind {
			r.Words = ""
		}
		for _, x := range a.plan.Rows {
			if x.Order != o.ID {
				continue
			}
			r.From, r.Draw, r.Infuse, r.Moved, r.Words, r.at = x.From, "drawn", a.wall(x.Infuse), x.Moved, "", x.Infuse
			if !x.Draw.IsZero() {
				r.Draw = a.wall(x.Draw)
			}
			if a.blind {
				continue
			}
			if a.unknown(x.From) {
				r.Words = "Its figures are held back."
				continue
			}
			if !x.Draw.IsZero() {
				r.Words = quantity.ShowGraduated(x.Volume, x.Syringe.Graduation) + ", "
			}
			r.Words += "within tolerance " + dispensing.Chance(x.Odds)
			if x.Broken {
				r.Words += "; " + x.Spheres.String() + " spheres: outside the window"
			}
		}
		out = append(out, r)
	}
	slices.SortStableFunc(out, func(a, b Row) int { return a.at.Compare(b.at) })
	return out
}

// unknown tells of a drawn dose that a plan cannot go by its figures.
func (a *asked) unknown(id string) bool {
	return slices.ContainsFunc(a.day.Doses, func(x dayplan.Dose) bool { return x.ID == id && x.Unknown })
}

func (a *asked) buttons(on string) []Button {
	if !slices.ContainsFunc(a.day.Orders, func(o dayplan.Order) bool { return o.ID == on }) {
		return nil
	}
	return []Button{
		{"Later", a.moves.with("later", on), "l"},
		{"Earlier", a.moves.with("earlier", on), "e"},
		{"Cancel", a.moves.with("cancel", on), "c"},
		{"Swap with next", a.moves.with("swap", on), "s"},
	}
}

// figures are those of the plan as a whole.
func (a *asked) figures() []view.Pair {
	s := a.plan.Score
	return []view.Pair{
		{Name: "Vials to open", Value: fmt.Sprint(s.Vials)},
		{Name: "Changes", Value: fmt.Sprint(s.Changes)},
		{Name: "Left at the end of the day", Value: quantity.Show(max(s.Left, 0), 0).String()},
		{Name: "Hand dose", Value: quantity.Show(s.Hand, 0).String()},
	}
}
