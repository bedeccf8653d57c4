package plan

import (
	"fmt"
	"html/template"
	"slices"
	"time"

	"vialwright/dayplan"
	"vialwright/picture"
)

// picture draws vials, benches and suites with the orders on them.
func (a *asked) picture(mark string) template.HTML {
	l := picture.Lanes{ID: "day", Zone: a.st.Zone.Loc(), Now: a.day.Now, From: a.day.Bench.Hours[0].From, Until: a.day.Ends, Mark: mark}
	if len(a.plan.Rows) > 0 {
		l.From, l.Until = a.day.Now, a.day.Now
	}
	for _, r := range a.plan.Rows {
		first := r.Infuse
		if !r.Draw.IsZero() {
			first = r.Draw
		}
		if first.Before(l.From) {
			l.From = first
		}
		if end := r.Infuse.Add(a.day.Infusion.Duration()); end.After(l.Until) {
			l.Until = end
		}
	}
	lanes := map[string][]picture.Bar{}
	var names []string
	add := func(lane string, b picture.Bar) {
		if lanes[lane] == nil {
			names = append(names, lane)
		}
		lanes[lane] = append(lanes[lane], b)
	}
	for _, v := range a.plan.Vials {
		for _, r := range a.plan.Rows {
			if r.From == v.ID {
				add("Vial "+v.ID, picture.Bar{Text: r.Order, From: r.Draw, Until: r.Draw.Add(a.day.Bench.Takes.Duration()), Moved: r.Moved})
			}
		}
	}
	var busy []time.Time
	draws := slices.Clone(a.plan.Rows)
	slices.SortStableFunc(draws, func(x, y dayplan.Planned) int { return x.Draw.Compare(y.Draw) })
	for _, r := range draws {
		if r.Draw.IsZero() {
			continue
		}
		k := slices.IndexFunc(busy, func(t time.Time) bool { return !t.After(r.Draw) })
		if k < 0 {
			k, busy = len(busy), append(busy, time.Time{})
		}
		busy[k] = r.Draw.Add(a.day.Bench.Takes.Duration())
		add(fmt.Sprintf("Bench %d", k+1), picture.Bar{Text: r.Order, From: r.Draw, Until: busy[k], Moved: r.Moved})
	}
	for _, r := range a.plan.Rows {
		for _, o := range a.day.Orders {
			if o.ID == r.Order {
				add(o.Suite, picture.Bar{Text: r.Order, From: r.Infuse, Until: r.Infuse.Add(a.day.Infusion.Duration()), Moved: r.Moved})
			}
		}
	}
	for _, n := range names {
		l.Lanes = append(l.Lanes, picture.Lane{Name: n, Bars: lanes[n]})
	}
	return picture.DayLanes(l)
}
