package meterbook

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/fold"
	"vialwright/quantity"
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
		if !uses(e.Fact) {
			continue
		}
		for _, s := range fact.Subjects(e.Fact) {
			if s.Kind == fact.AboutMeter {
				out = append(out, Use{s.ID, fact.At(e.Fact), e.Number})
			}
		}
	}
	return out
}

// uses tells of an entry that something was read or tested for it with an instrument.
func uses(f fact.Fact) bool {
	switch f.(type) {
	case *fact.MeterTest, *fact.Read, *fact.SecondCheck, *fact.SettlingTest, *fact.PointReading, *fact.ParcelSurvey, *fact.BinReading, *fact.ReleaseBin:
		return true
	}
	return false
}

// WasWithdrawn tells that an instrument was withdrawn at some time.
func (i *Instrument) WasWithdrawn() bool {
	return slices.ContainsFunc(i.Versions, func(v fold.Version[*fact.Instrument]) bool { return v.Fact.State == fact.Withdrawn })
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
			out = append(out, Finding{"withdrawn-used", dispensing.Stop, u.Of, u.At, u.Entry, fmt.Sprintf("%s was used on %s (entry %d); it was withdrawn on %s.", u.Of, b.On(u.At), u.Entry, b.On(x.At)), "Read again with an instrument in use."})
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

// Assays are the first readings of the vials of a case by each meter, before anything was
// drawn from them, over the activity on the label at that time:
//
//	ratio = (gross - background)/(A_label 2^(-t/T))
func Assays(c dispensing.Case) (out []Assay) {
	for _, v := range c.Vials {
		seen := map[string]bool{}
		for _, r := range c.Readings { // in the order of time
			if r.Of != v.ID || seen[r.Meter] || drawnBefore(c, v.ID, r.At) {
				continue
			}
			seen[r.Meter] = true
			label, err := c.HalfLife.Carry(v.Labelled, v.Reference, r.At)
			if err == nil && label > 0 {
				out = append(out, Assay{Meter: r.Meter, Basis: r.Basis, At: r.At, Ratio: quantity.Fraction((r.Gross - r.Background) / label)})
			}
		}
	}
	return out
}

func drawnBefore(c dispensing.Case, vial string, at time.Time) bool {
	return slices.ContainsFunc(c.Draws, func(d dispensing.Draw) bool { return d.From == vial && !d.At.After(at) })
}

// Witnesses are those of every meter and basis of some assays, by meter.
func Witnesses(all []Assay, zone *time.Location) (out []Witness) {
	seen := map[[2]string]bool{}
	for _, a := range all {
		if key := [2]string{a.Meter, string(a.Basis)}; !seen[key] {
			seen[key] = true
			out = append(out, WitnessOf(all, a.Meter, a.Basis, zone))
		}
	}
	return out
}
