package main

import (
	"io"
	"strings"
	"time"

	ics "github.com/arran4/golang-ical"

	"vialwright/dayplan"
)

// writeCalendar writes a plan as an iCalendar feed (RFC 5545): deliveries, draws,
// infusions, tests due, and the cut-offs of what is to be ordered. Times are in UTC,
// as a calendar shows them in its own zone. There is no patient in it, only ids.
func writeCalendar(w io.Writer, f dayplan.File, p dayplan.Plan, stamp time.Time) error {
	cal := ics.NewCalendar()
	cal.SetProductId("-//vialwright//day plan//EN")
	cal.SetMethod(ics.MethodPublish)
	add := func(uid, summary string, from, until time.Time) {
		e := cal.AddEvent(strings.ReplaceAll(uid, " ", "-") + "@vialwright.invalid")
		e.SetDtStampTime(stamp)
		e.SetStartAt(from)
		if until.After(from) { // an end has to be later than the start (RFC 5545, 3.8.2.2)
			e.SetEndAt(until)
		}
		e.SetSummary(summary)
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
	return cal.SerializeTo(w, ics.WithNewLineWindows)
}
