package main

import (
	"io"
	"time"

	"vialwright/calendar"
	"vialwright/dayplan"
)

// writeCalendar writes a plan as a feed: deliveries, draws, infusions, tests due, and the
// cut-offs of what is to be ordered. There is no patient in it, only ids.
func writeCalendar(w io.Writer, f dayplan.File, p dayplan.Plan, stamp time.Time) error {
	var events []calendar.Event
	add := func(id, summary string, from, until time.Time) {
		events = append(events, calendar.Event{ID: id, Summary: summary, From: from, Until: until})
	}
	span := func(s float64) time.Duration { return time.Duration(s * float64(time.Second)) }
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
			add("draw-"+r.Order, "Draw for "+r.Order+" from "+r.From, r.Draw, r.Draw.Add(span(float64(f.Day.Bench.Takes))))
		}
		add("infusion-"+r.Order, "Infusion of "+r.Order, r.Infuse, r.Infuse.Add(span(float64(f.Day.Infusion))))
	}
	for _, t := range f.Tests {
		add("test-"+t.What+"-"+t.Due.UTC().Format("20060102T1504"), "Test due: "+t.What, t.Due, t.Due)
	}
	return calendar.Write(w, events, stamp)
}
