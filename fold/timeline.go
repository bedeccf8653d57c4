package fold

import (
	"slices"
	"strings"
	"time"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/quantity"
)

// look goes through the steps in the order of the list: it gives each its
// time, and notes what each names and what a person should look at again: times
// that run backwards and offsets that the zone did not have.
func (f *folder) look(steps []step) {
	above := &step{}
	minutes := map[time.Time]time.Time{}
	for i := range steps {
		s := &steps[i]
		s.at = sameMinute(minutes, fact.At(s.fact))
		if f.odd(s.fact) {
			f.out.OffsetOdd = append(f.out.OffsetOdd, s.entry)
		}
		if s.names != nil {
			f.out.Names[s.entry] = s.names
		}
		switch s.fact.(type) {
		case *fact.Experience, *fact.Person, *fact.FirstPassword: // learning is no work
		default:
			f.happened(s.at)
		}
		if x, ok := s.fact.(*fact.Infuse); ok {
			f.happened(x.Stop)
		}
		if s.at.IsZero() {
			continue
		}
		if s.at.Before(above.at) {
			f.out.Backwards = append(f.out.Backwards, dispensing.Backwards{Entry: s.entry, Above: above.entry})
		}
		above = s
	}
}

// sameMinute is the moment a time stands for beside those of the entries above
// it. One that is written to the minute may be any moment of that; where an
// entry above is of the same minute with its seconds, it came after that.
// minutes keeps the latest moment of each minute.
func sameMinute(minutes map[time.Time]time.Time, at time.Time) time.Time {
	minute := at.Truncate(time.Minute).UTC()
	if last := minutes[minute]; toMinute(at) && last.After(at) {
		return last
	}
	if at.After(minutes[minute]) {
		minutes[minute] = at
	}
	return at
}

// toMinute tells a time that is written without seconds.
func toMinute(t time.Time) bool { return t.Equal(t.Truncate(time.Minute)) }

// Later tells whether a time lies after another. Where one of them is written
// to the minute, minutes are compared with minutes.
func Later(a, b time.Time) bool {
	if toMinute(a) || toMinute(b) {
		a, b = a.Truncate(time.Minute), b.Truncate(time.Minute)
	}
	return a.After(b)
}

// happened moves the latest and the first moment of the case.
func (f *folder) happened(t time.Time) {
	if t.IsZero() {
		return
	}
	if t.After(f.out.Last) {
		f.out.Last = t
	}
	if f.first.IsZero() || t.Before(f.first) {
		f.first = t
	}
}

// odd tells that a time of a fact has an offset that the zone did not have at
// that moment. Those of a vial's label are the supplier's, and not of what was
// done here.
func (f *folder) odd(x fact.Fact) (odd bool) {
	fact.Times(x, func(path string, at time.Time) bool {
		label := path == "expiry" || strings.HasSuffix(path, "reference")
		odd = !label && !quantity.OffsetMatchesZone(at, f.out.Zone)
		return !odd
	})
	return odd
}

// inTime puts the steps in the order of their times; those without a time
// come first, and those of one time keep the order of the list. A dose that
// only a residual tells of is given last of what has its time.
func (f *folder) inTime(steps []step) []*step {
	all := make([]*step, len(steps), len(steps)+len(f.listed))
	for i := range steps {
		all[i] = &steps[i]
	}
	byTime := func(a, b *step) int { return a.at.Compare(b.at) } // the zero time is before all
	if !slices.IsSortedFunc(all, byTime) {
		slices.SortStableFunc(all, byTime)
	}
	if implied := f.implied(all); len(implied) > 0 {
		all = append(all, implied...)
		slices.SortStableFunc(all, byTime)
	}
	for _, s := range all {
		if o, ok := fact.Opens(s.fact); ok && o.Kind == fact.AboutContainer && f.born[o.ID] == nil {
			f.born[o.ID] = s
		}
	}
	return all
}

// epoch is the instant all activities are carried to: the earliest reference
// time of a vial; without a vial the earliest time in the case, planned ones
// included.
func epoch(steps []step) time.Time {
	var reference, other time.Time
	earliest := func(t *time.Time, x time.Time) {
		if !x.IsZero() && (t.IsZero() || x.Before(*t)) {
			*t = x
		}
	}
	for i := range steps {
		earliest(&other, steps[i].at)
		switch x := steps[i].fact.(type) {
		case *fact.Receive:
			earliest(&reference, x.Reference)
		case *fact.Order:
			earliest(&other, x.At)
		}
	}
	if reference.IsZero() {
		return other
	}
	return reference
}

// implied makes a step for the giving of each dose that has a whole residual
// and no infusion. It was given between the two readings and not before it was
// in its last container; of that stretch the moment nearest to the planned one
// is taken:
//
//	t = min(max(planned, before, last arrival), after)
func (f *folder) implied(inTime []*step) []*step {
	var out []*step
	for _, o := range f.listed {
		if o.before == nil || o.after == nil || o.infused != nil {
			continue
		}
		t := quantity.Later(o.At, o.before.At)
		t = quantity.Later(t, arrival(inTime, o.ID, o.after.At))
		if t.After(o.after.At) {
			t = o.after.At
		}
		out = append(out, &step{
			entry: o.afterStep.entry, written: o.afterStep.written, fact: o.afterStep.fact,
			at: t, implied: true,
		})
	}
	return out
}

// arrival is the last moment, not after until, at which something came into a
// container of an order; zero if nothing did.
func arrival(inTime []*step, order string, until time.Time) (last time.Time) {
	serves := map[string]string{}
	for _, s := range inTime {
		if s.at.After(until) {
			break
		}
		var into, of string
		switch x := s.fact.(type) {
		case *fact.Draw:
			into, of = x.Into, x.For
		case *fact.Transfer:
			if into, of = x.Into, x.For; of == "" {
				of = serves[x.From]
			}
		}
		if into != "" {
			serves[into] = of
		}
		if of == order {
			last = s.at
		}
	}
	return last
}
