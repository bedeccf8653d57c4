package meterbook

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"vialwright/fact"
	"vialwright/fold"
)

// Use is a reading by an instrument, by the entry Entry.
type Use struct {
	Of    string
	At    time.Time
	Entry int
}

// Uses are the readings among entries, in their order.
func Uses(entries []fold.Entry) (out []Use) {
	for _, e := range entries {
		ids, at := usedBy(e.Fact)
		for _, id := range ids {
			if id != "" {
				out = append(out, Use{id, at, e.Number})
			}
		}
	}
	return out
}

// usedBy are the instruments that something was read or tested with, and when.
func usedBy(f fact.Fact) (ids []string, at time.Time) {
	switch x := f.(type) {
	case *fact.MeterTest:
		return []string{x.Of}, x.At
	case *fact.Read, *fact.SecondCheck, *fact.SettlingTest:
		id, at := fact.MeterOf(f)
		return []string{id}, at
	case *fact.PointReading:
		return []string{x.Meter}, x.At
	case *fact.ParcelSurvey:
		return []string{x.Meter, x.Counter}, x.At
	case *fact.BinReading:
		return []string{x.Meter}, x.At
	case *fact.ReleaseBin:
		return []string{x.Meter}, x.At
	}
	return nil, time.Time{}
}

// WasWithdrawn tells that an instrument was withdrawn at some time.
func (i *Instrument) WasWithdrawn() bool {
	return slices.ContainsFunc(i.Versions, func(v Version[fact.Instrument]) bool { return v.Fact.State == fact.Withdrawn })
}

// With are the findings of the book in the order of time, and the use of what was withdrawn
// among some uses that it was not drawn with.
func (b *Book) With(uses []Use) []Finding {
	out := append(slices.Clone(b.Findings), b.withdrawn(uses)...)
	sortFindings(out)
	return out
}

func sortFindings(all []Finding) {
	slices.SortStableFunc(all, func(x, y Finding) int { return cmp.Or(x.At.Compare(y.At), cmp.Compare(x.Of, y.Of)) })
}

// withdrawn finds uses of instruments that were withdrawn then: of each the first of a day,
// which need not be its first use on that day.
func (b *Book) withdrawn(uses []Use) (out []Finding) {
	for _, u := range uses {
		i := b.Find(u.Of)
		if i == nil {
			continue
		}
		if x := i.As(u.At); x != nil && x.State == fact.Withdrawn {
			out = append(out, Finding{"withdrawn-used", Stop, u.Of, u.At, u.Entry, fmt.Sprintf("%s was used on %s (entry %d); it was withdrawn on %s.", u.Of, b.On(u.At), u.Entry, b.On(x.At)), "Read again with an instrument in use."})
		}
	}
	sortFindings(out)
	seen := map[[2]string]bool{}
	return slices.DeleteFunc(out, func(f Finding) bool {
		key := [2]string{f.Of, b.day(f.At)}
		was := seen[key]
		seen[key] = true
		return was
	})
}
