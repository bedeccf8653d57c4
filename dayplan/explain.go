package dayplan

import (
	"fmt"
	"slices"
	"time"

	"vialwright/quantity"
)

// Effect is what a plan would be if something of the day were different.
type Effect struct {
	// What says the difference, Gain what it brings; both in words.
	What, Gain string
	Score      Score
}

// Explanation says why a plan is as it is.
type Explanation struct {
	// Binding are the limits without which there is a better plan.
	Binding []Effect
	// More are what one more vial of each kind, and half an hour more, would bring;
	// those that bring nothing are left out.
	More []Effect
}

const halfHour = 30 * time.Minute

// Explain solves the day again with each limit let go, one at a time, and with a
// little more of each thing; each time with at most so many steps.
func Explain(d Day, p Plan, steps int) Explanation {
	var out Explanation
	ask := func(into *[]Effect, what string, m *model) {
		score := m.solve(steps).best.score()
		if gain := Gain(p.Score, score); gain != "" {
			*into = append(*into, Effect{what, gain, score})
		}
	}
	for _, l := range d.limits() {
		if l.Kind != Stock && l.Kind != Time && l.Kind != Serve {
			ask(&out.Binding, "Without "+l.String(), compile(d, gone{l: true}))
		}
	}
	var kinds []Vial
	for _, v := range d.Vials {
		kind := v
		kind.ID, kind.Opened, kind.InHand, kind.OrderBy, kind.CancelUntil, kind.Offer, kind.Closed = "", false, true, time.Time{}, time.Time{}, "", ""
		if slices.Contains(kinds, kind) {
			continue
		}
		kinds = append(kinds, kind)
		more := d
		kind.ID = v.ID + "+"
		more.Vials = append(slices.Clone(d.Vials), kind)
		ask(&out.More, "One more vial like "+v.ID, compile(more, nil))
	}
	longer := d
	longer.Bench.Hours = slices.Clone(d.Bench.Hours)
	for i := range longer.Bench.Hours {
		longer.Bench.Hours[i].From = longer.Bench.Hours[i].From.Add(-halfHour)
	}
	ask(&out.More, "The bench half an hour earlier", compile(longer, nil))
	for i, o := range d.Orders {
		wider := d
		wider.Orders = slices.Clone(d.Orders)
		wider.Orders[i].Earliest, wider.Orders[i].Latest = o.Earliest.Add(-halfHour), o.Latest.Add(halfHour)
		if wider.Orders[i].Latest.After(d.Ends) {
			continue // what is left is counted at another time, and cannot be compared
		}
		ask(&out.More, "Half an hour more either way for "+o.ID, compile(wider, nil))
	}
	return out
}

// Gain says in words the first objective in which a score is better than another;
// empty where it is not better.
func Gain(from, to Score) string {
	n := func(k int, one, more string) string {
		if k == 1 {
			return "one " + one
		}
		return fmt.Sprintf("%d %s", k, more)
	}
	for _, x := range []struct {
		less      int
		one, more string
	}{
		{from.Unserved - to.Unserved, "order more is served", "orders more are served"},
		{from.Broken - to.Broken, "sphere window less is broken", "sphere windows less are broken"},
		{from.Vials - to.Vials, "vial less is opened", "vials less are opened"},
		{from.Changes - to.Changes, "change less", "changes less"},
	} {
		switch {
		case x.less > 0:
			return n(x.less, x.one, x.more)
		case x.less < 0:
			return ""
		}
	}
	switch {
	case to.Left < from.Left:
		return quantity.Show(from.Left-to.Left, 0).String() + " less is left"
	case to.Left == from.Left && to.Hand < from.Hand:
		return quantity.Show(from.Hand-to.Hand, 0).String() + " less hand dose"
	}
	return ""
}
