package main

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"vialwright/calendar"
	"vialwright/dayplan"
	"vialwright/dispensing"
	"vialwright/quantity"
)

// planCmd plans the day.
type planCmd struct {
	File string `arg:"" help:"The plan file, YAML or JSON; - reads standard input."`
	JSON bool   `name:"json" help:"Print the answer as JSON, numbers unrounded." xor:"form"`
	// Calendar is for the calendars of others.
	Calendar bool   `help:"Print deliveries, cut-offs, draws, infusions and tests due as an iCalendar feed." xor:"form"`
	Forecast bool   `help:"Plan a longer file week by week, and list the vials to order." xor:"form"`
	Steps    int    `default:"400000" help:"Steps of the search at most; beyond, the plan comes with a bound instead of a proof."`
	At       string `placeholder:"TIME" help:"When the question is asked, where the file does not say now; otherwise it is asked now."`
}

func (planCmd) Help() string {
	return `Finds which vial serves which order and when: all orders with the odds wanted, then no sphere window broken, fewest vials, fewest changes, least left, least hand dose. It proves that there is no better plan, or says how much better one could be; and says which limits bind, and which of them exclude one another.

  vialwright plan examples/week.yaml

docs/plan.md has the fields of the file.`
}

func (c *planCmd) Run(e *edge) error {
	data, err := e.readFile(c.File, dayplan.MaxBytes)
	if err != nil {
		return err
	}
	now, err := momentOf("--at", c.At, nil, e.now())
	if err != nil {
		return err
	}
	f, err := dayplan.Read(data, loadZone, now)
	if err != nil {
		return usageError("%s: %v", c.File, err)
	}
	if c.Forecast {
		return c.forecast(e, f)
	}
	p, err := dayplan.Solve(f.Day, c.Steps)
	if err != nil {
		return usageError("%s: %v", c.File, err)
	}
	if c.Calendar {
		return stoppedIf(!p.InOrder(), writeCalendar(e.out, f, p, e.now()))
	}
	why := c.why(f, p)
	return e.answer(c.JSON, planJSON(f, p, why), f.Zone, func(to *page) { to.plan(f, p, why) }, !p.InOrder())
}

// why is what is said of a plan beside its rows.
type why struct {
	explained dayplan.Explanation
	conflicts []dayplan.Conflict
	whole     bool
	serves    []dayplan.Serves
	holds     []dayplan.Holding
}

func (c *planCmd) why(f dayplan.File, p dayplan.Plan) why {
	w := why{whole: true, serves: f.Day.Serve(), holds: f.Day.Hold(p)}
	w.explained = dayplan.Explain(f.Day, p, c.Steps/20)
	if !p.InOrder() {
		w.conflicts, w.whole, _ = dayplan.Conflicts(f.Day, c.Steps) // the day was checked when it was read
	}
	return w
}

func (c *planCmd) forecast(e *edge, f dayplan.File) error {
	weeks, err := dayplan.Forecast(f, c.Steps)
	if err != nil {
		return usageError("%s: %v", c.File, err)
	}
	stopped := slices.ContainsFunc(weeks, func(x dayplan.WeekPlan) bool { return len(x.Plan.Unserved) > 0 })
	return e.answer(false, nil, f.Zone, func(p *page) { p.forecast(weeks) }, stopped)
}

func (p *page) forecast(weeks []dayplan.WeekPlan) {
	p.line("VIALS TO ORDER, week by week; a proposal, checked at the bench")
	for _, x := range weeks {
		p.section("Week of " + x.Monday.Format("Mon 2 Jan 2006") + ": " + things(len(x.Plan.Rows), "order", "orders") + ", " + things(x.Plan.Score.Vials, "vial", "vials"))
		for _, v := range x.ToOrder {
			p.row(v.ID, "%s at %s; order by %s, arrives %s", quantity.Show(v.Activity, 0), p.time(v.Reference), p.time(v.OrderBy), p.time(v.Arrives))
		}
		for _, id := range x.Plan.Unserved {
			p.row("STOP", "%s cannot be served.", id)
		}
		if !x.Plan.Proven {
			p.row("bound", "%s", bound(x.Plan))
		}
	}
}

// things counts: "1 vial", "2 vials".
func things(n int, one, more string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, more)
}

// bound says how much better a plan could be.
func bound(p dayplan.Plan) string {
	if p.Proven {
		return "proven: there is no better plan"
	}
	gain := dayplan.Gain(p.Score, p.Bound)
	if gain == "" {
		return "not proven; no better plan was found"
	}
	return "not proven; a better plan cannot bring more than this: " + gain
}

func (p *page) plan(f dayplan.File, plan dayplan.Plan, why why) {
	p.line("DAY PLAN, a proposal: each draw is read, checked and released at the bench")
	p.line("asked for %s", p.time(f.Day.Now))
	for _, id := range plan.Unserved {
		p.row("STOP", "%s cannot be served.", id)
		for _, r := range plan.Reasons[id] {
			p.row("", "%s%s", prefix(r.From), r.Text)
		}
	}
	for _, r := range plan.Rows {
		if r.Broken {
			p.row("STOP", "%s from %s: %s, outside the window of the order.", r.Order, r.From, r.Spheres)
		}
	}
	p.section("ORDERS")
	for _, r := range plan.Rows {
		p.row(r.Order, "%s", rowText(p, r))
	}
	p.section("VIALS")
	for _, v := range plan.Vials {
		p.row(v.ID, "%s; %s left to use at %s; odds %s", strings.Join(v.Orders, ", "), quantity.Show(v.Spare, 0), p.time(f.Day.Ends), dispensing.Chance(v.Odds))
	}
	for _, x := range plan.NotOffered {
		p.row(x.Vial, "not offered: %s", notOffered(p, x))
	}
	p.section("THE PLAN")
	p.row("odds", "%s that every vial suffices for all its orders; wanted %s", dispensing.Chance(plan.Odds), dispensing.Chance(float64(f.Day.Odds)))
	s := plan.Score
	p.row("objectives", "%s not served, %s broken, %s, %s, %s left, hand dose %s", things(s.Unserved, "order", "orders"), things(s.Broken, "sphere window", "sphere windows"), things(s.Vials, "vial", "vials"), things(s.Changes, "change", "changes"), quantity.Show(s.Left, 0), quantity.Show(s.Hand, 0))
	p.row("proof", "%s (%d steps)", bound(plan), plan.Steps)
	p.planWhy(why)
	p.closing()
}

func prefix(from string) string {
	if from == "" {
		return ""
	}
	return from + ": "
}

func rowText(p *page, r dayplan.Planned) string {
	from := fmt.Sprintf("from %s", r.From)
	if !r.Draw.IsZero() {
		from += fmt.Sprintf(", %s with the syringe of %s, drawn from %s", quantity.ShowGraduated(r.Volume, r.Syringe.Graduation), quantity.Show(r.Syringe.Capacity, 0), p.time(r.Draw))
	}
	text := fmt.Sprintf("%s, infusion %s; %s spheres; within tolerance %s", from, p.time(r.Infuse), r.Spheres, dispensing.Chance(r.Odds))
	if r.Moved {
		text += "; CHANGED"
	}
	return text
}

func notOffered(p *page, x dayplan.NotOffered) string {
	if x.Since.IsZero() {
		return x.Why
	}
	return x.Why + ", " + p.time(x.Since)
}

// planWhy says what binds, what more would bring, what conflicts, and what slips.
func (p *page) planWhy(w why) {
	effects := func(title string, list []dayplan.Effect) {
		if len(list) > 0 {
			p.section(title)
		}
		for _, x := range list {
			p.row("", "%s: %s.", x.What, x.Gain)
		}
	}
	effects("LIMITS THAT BIND", w.explained.Binding)
	effects("WHAT MORE WOULD BRING", w.explained.More)
	if len(w.conflicts) > 0 {
		p.section("WHAT CONFLICTS, the smallest sets first")
		for _, c := range w.conflicts {
			p.row("", "%s.", c)
		}
		if !w.whole {
			p.row("", "There may be more.")
		}
	}
	if len(w.holds)+len(w.serves) > 0 {
		p.section("IF IT SLIPS")
	}
	for _, h := range w.holds {
		p.row(h.Vial, "%s", h.Text())
	}
	for _, s := range w.serves {
		if s.Within {
			p.row(s.Dose, "can serve %s from %s to %s", s.Order, p.time(s.From), p.time(s.Until))
		}
	}
}

func scoreJSON(s dayplan.Score) object {
	return object{
		{"not_served", s.Unserved},
		{"sphere_windows_broken", s.Broken},
		{"vials", s.Vials},
		{"changes", s.Changes},
		{"left_MBq", s.Left.MBq()},
		{"hand_dose_uSv", s.Hand / quantity.MicroSievert},
	}
}

func planJSON(f dayplan.File, p dayplan.Plan, why why) object {
	at := func(t time.Time) string {
		if t.IsZero() {
			return ""
		}
		return quantity.FormatTime(t, f.Zone)
	}
	effect := func(x dayplan.Effect) object {
		return object{{"what", x.What}, {"gain", x.Gain}, {"objectives", scoreJSON(x.Score)}}
	}
	return object{
		{"asked", at(f.Day.Now)},
		{"in_order", p.InOrder()},
		{"orders", each(p.Rows, func(r dayplan.Planned) object {
			return object{
				{"order", r.Order},
				{"from", r.From},
				{"draw", ifAny(at(r.Draw))},
				{"infuse", at(r.Infuse)},
				{"volume_mL", ifAny(r.Volume)},
				{"spheres_million", r.Spheres.Millions},
				{"within_tolerance", r.Odds},
				{"sphere_window_broken", r.Broken},
				{"changed", r.Moved},
			}
		})},
		{"not_served", ifSome(p.Unserved)},
		{"odds", p.Odds},
		{"objectives", scoreJSON(p.Score)},
		{"bound", scoreJSON(p.Bound)},
		{"proven", p.Proven},
		{"steps", p.Steps},
		{"binding", ifSome(each(why.explained.Binding, effect))},
		{"more", ifSome(each(why.explained.More, effect))},
		{"conflicts", ifSome(each(why.conflicts, func(c dayplan.Conflict) []string { return each(c.Told(), dayplan.Limit.String) }))},
		{"not_offered", ifSome(each(p.NotOffered, func(x dayplan.NotOffered) string {
			return x.Vial + ": " + strings.TrimSpace(x.Why+" "+at(x.Since))
		}))},
	}
}

// writeCalendar writes a plan as a feed: deliveries, draws, infusions, tests due, and the
// cut-offs of what is to be ordered. There is no patient in it, only ids.
func writeCalendar(w io.Writer, f dayplan.File, p dayplan.Plan, stamp time.Time) error {
	var events []calendar.Event
	add := func(id, summary string, from, until time.Time) {
		events = append(events, calendar.Event{ID: id, Summary: summary, From: from, Until: until})
	}
	for _, v := range f.Day.Vials {
		for _, u := range p.Vials {
			if u.ID != v.ID {
				continue
			}
			if !v.Arrives.IsZero() {
				add("delivery-"+v.ID, "Delivery of vial "+v.ID, v.Arrives, v.Arrives)
			}
			if !v.InHand && !v.OrderBy.IsZero() {
				add("order-"+v.ID, "Order vial "+v.ID+" by now", v.OrderBy, v.OrderBy)
			}
		}
	}
	for _, r := range p.Rows {
		if !r.Draw.IsZero() {
			add("draw-"+r.Order, "Draw for "+r.Order+" from "+r.From, r.Draw, r.Draw.Add(f.Day.Bench.Takes.Duration()))
		}
		add("infusion-"+r.Order, "Infusion of "+r.Order, r.Infuse, r.Infuse.Add(f.Day.Infusion.Duration()))
	}
	for _, t := range f.Tests {
		add("test-"+t.What+"-"+t.Due.UTC().Format("20060102T1504"), "Test due: "+t.What, t.Due, t.Due)
	}
	return calendar.Write(w, events, stamp)
}
