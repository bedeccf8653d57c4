package event

import (
	"math"
	"time"

	"vialwright/quantity"
	"vialwright/rules"
)

// Clock is something to be done by a time.
type Clock struct {
	What string
	// Due is the end of the time for it; zero where it hangs on a moment that is
	// not recorded, which Before names.
	Due    time.Time
	Before string
	// EndOfDay tells that Due is the midnight that ends a calendar day.
	EndOfDay bool
	Source   string
	// Key is the value of the profile that it goes by, Done when it was recorded as
	// done; zero for not yet.
	Key  rules.Key
	Done time.Time
}

// Runs tells that it has an end and is not recorded as done.
func (c Clock) Runs() bool { return c.Done.IsZero() && !c.Due.IsZero() }

// Says says until when: "by the end of 2027-03-05", "by 2027-03-05 15:20 ...".
func (c Clock) Says(zone *time.Location) string {
	switch {
	case !c.Done.IsZero() && !c.Due.IsZero() && c.Done.After(c.Due):
		return "done at " + quantity.ShowTime(c.Done.In(zone)) + ", " + over(c.Due, c.Done) + " too late"
	case !c.Done.IsZero():
		return "done at " + quantity.ShowTime(c.Done.In(zone))
	case c.Due.IsZero():
		return c.Before
	case c.EndOfDay:
		return "by the end of " + c.Due.In(zone).Add(-time.Second).Format(time.DateOnly)
	}
	return "by " + quantity.ShowTime(c.Due.In(zone))
}

// Left says how long there is yet, or since when it is over.
func (c Clock) Left(now time.Time) string {
	switch left := quantity.Span(math.Floor(c.Due.Sub(now).Seconds())); {
	case !c.Runs():
		return ""
	case left < 0:
		return quantity.ShowSpan(-left) + " over"
	default:
		return quantity.ShowSpan(left) + " left"
	}
}

// over is how long after a deadline something was done.
func over(due, done time.Time) string {
	return quantity.ShowSpan(quantity.Span(done.Sub(due).Seconds()))
}

// LateBy says how long after its deadline the order would be completed at a moment;
// empty where in time. Who leaves recovery leaves the first deadline behind, and the
// second one runs on.
func (d Decision) LateBy(at time.Time) (late string) {
	for _, c := range d.Clocks {
		switch {
		case c.Due.IsZero() || !at.After(c.Due):
		case c.Key == rules.CompleteInRecovery:
			late = over(c.Due, at) + " after the patient left recovery"
		case c.Key == rules.CompleteWithin:
			late = over(c.Due, at) + " after the time allowed from the end of the procedure"
		}
	}
	return late
}

// done is when what a value of the profile asks for was recorded as done.
func (d *decider) done(k rules.Key) time.Time {
	switch k {
	case rules.CompleteInRecovery, rules.CompleteWithin:
		return d.Completed
	case rules.ReviseWithin:
		return d.Revised
	}
	return d.Told[k]
}

// clocks are what has to be done: the order is completed after every infusion,
// and an event is reported.
func (d *decider) clocks() {
	add := func(k rules.Key, what string, due func(rules.Value) time.Time, before string) {
		if v, ok, _ := d.Rules.Get(k); ok {
			c := Clock{What: what, Key: k, Done: d.done(k), Source: v.Source(), Before: before, EndOfDay: k == rules.NotifyAuthority || k == rules.WrittenReport}
			if due != nil {
				c.Due = due(v)
			}
			d.out.Clocks = append(d.out.Clocks, c)
		}
	}
	recovery := func(rules.Value) time.Time { return d.LeftRecovery }
	add(rules.CompleteInRecovery, "Complete the order", recovery, "before the patient leaves recovery, which is not recorded yet")
	elapsed := func(from time.Time) func(rules.Value) time.Time {
		return func(v rules.Value) time.Time {
			if from.IsZero() {
				return from
			}
			return from.Add(v.Span().Duration()) // elapsed time, whatever the clocks on the wall do meanwhile
		}
	}
	add(rules.CompleteWithin, "Complete the order at the latest", elapsed(d.End), "the end of the procedure is not recorded")
	if !d.out.ReviseBy.IsZero() {
		add(rules.ReviseWithin, "Revise the order, with the reason", elapsed(d.End), "")
	}
	if d.out.Outcome != IsEvent || !d.Judged.IsZero() {
		return
	}
	day := func(v rules.Value) time.Time {
		if d.Discovered.IsZero() {
			return time.Time{}
		}
		return quantity.EndOfDay(d.Discovered, int(math.Round(float64(v.Span()/quantity.Day))), d.Zone)
	}
	const unknown = "when it was discovered is not recorded: enter it now"
	add(rules.TellPatient, "Tell the referring physician and the patient", elapsed(d.Discovered), unknown)
	add(rules.NotifyAuthority, "Tell the authority by telephone", day, unknown)
	add(rules.WrittenReport, "Send the written report", day, unknown)
}
