package dayplan

import (
	"fmt"
	"maps"
	"slices"
	"time"
)

// WeekPlan is the plan of one week of a longer file.
type WeekPlan struct {
	// Monday is the first day of the week, in the zone of the file.
	Monday time.Time
	Plan   Plan
	// ToOrder are the vials on offer that the plan opens, the earliest cut-off first.
	ToOrder []Vial
}

// Forecast plans a file week by week, each with the orders that are infused in it and
// the vials that can be had by its end and reach it. It tells which vials to order; a
// vial opened in one week serves no other.
func Forecast(f File, steps int) ([]WeekPlan, error) {
	if err := f.Day.check(months); err != nil {
		return nil, err
	}
	weeks := map[time.Time][]Order{}
	for _, o := range f.Day.Orders {
		w := monday(o.At, f.Zone)
		weeks[w] = append(weeks[w], o)
	}
	used := map[string]bool{}
	var out []WeekPlan
	for _, w := range slices.SortedFunc(maps.Keys(weeks), time.Time.Compare) {
		d := f.Day.week(w, weeks[w], used)
		p, err := Solve(d, steps)
		if err != nil {
			return nil, fmt.Errorf("week of %s: %w", w.Format(time.DateOnly), err)
		}
		x := WeekPlan{Monday: w, Plan: p}
		for _, v := range d.Vials {
			if slices.ContainsFunc(p.Vials, func(u VialUse) bool { return u.ID == v.ID }) {
				used[v.ID] = true
				if !v.InHand {
					x.ToOrder = append(x.ToOrder, v)
				}
			}
		}
		slices.SortStableFunc(x.ToOrder, func(a, b Vial) int { return a.OrderBy.Compare(b.OrderBy) })
		out = append(out, x)
	}
	return out, nil
}

// monday is the beginning of the week of a time.
func monday(t time.Time, zone *time.Location) time.Time {
	t = t.In(zone)
	back := (int(t.Weekday()) + 6) % 7
	return time.Date(t.Year(), t.Month(), t.Day()-back, 0, 0, 0, 0, zone)
}

// week is the part of a day's data that one week needs.
func (d Day) week(from time.Time, orders []Order, used map[string]bool) Day {
	until := from.AddDate(0, 0, 7)
	d.Orders, d.Ends = orders, until
	d.Bench.Hours = slices.DeleteFunc(slices.Clone(d.Bench.Hours), func(h Interval) bool { return h.From.Before(from) || h.Until.After(until) })
	d.Vials = slices.DeleteFunc(slices.Clone(d.Vials), func(v Vial) bool {
		return used[v.ID] || !v.Arrives.Before(until) || !v.InHand && v.Arrives.Before(from.AddDate(0, 0, -4))
	})
	d.InForce = slices.DeleteFunc(slices.Clone(d.InForce), func(r Row) bool {
		return !slices.ContainsFunc(orders, func(o Order) bool { return o.ID == r.Order })
	})
	return d
}
