package meterbook

import (
	"maps"
	"slices"
	"strings"
	"time"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/ledger"
)

// Against is what the book has against the readings of a case, each said once of a
// meter and an order or vial. Of the second checks of an order the last one counts.
func (b *Book) Against(c dispensing.Case) (out []dispensing.Finding) {
	seen := map[string]bool{}
	for _, r := range append(slices.Clone(c.Readings), lastChecks(c)...) {
		at := Reading{Meter: r.Meter, At: r.At, Net: r.Gross - r.Background, Setting: r.Setting, Insert: r.Insert, Basis: r.Basis}
		if k, ok := c.Book.Container(r.Of); ok {
			at.Container = string(k.Kind)
			if k.Kind == ledger.ShippingVial && !drawnBefore(c, r.Of, r.At) {
				for _, v := range c.Vials {
					if v.ID == r.Of {
						at.Volume = v.Volume // as it came
					}
				}
			}
		}
		for _, d := range b.Doubts(at) {
			f := dispensing.Finding{Code: d.Code, Severity: d.Severity, Entry: r.Entry, Order: c.Serves[r.Of], Text: strings.TrimSuffix(d.Text, ".")}
			if f.Order == "" && at.Container == string(ledger.ShippingVial) {
				f.Vial = r.Of
			}
			if key := string(d.Code) + " " + d.Text + " " + f.Order + f.Vial; !seen[key] {
				seen[key] = true
				out = append(out, f)
			}
		}
	}
	return out
}

// lastChecks are the readings of the last second check of each order, on the basis of
// its meter's factor; on none where it had no factor.
func lastChecks(c dispensing.Case) (out []dispensing.Reading) {
	for n, k := range c.Checks {
		if !slices.ContainsFunc(c.Checks[n+1:], func(later dispensing.Check) bool { return later.For == k.For }) {
			out = append(out, dispensing.Reading{
				Entry: k.Entry, Of: k.Of, Meter: k.Meter, At: k.At, Gross: k.Gross, Background: k.Background, Basis: k.Reading.Basis, Setting: k.Setting, Insert: k.Insert,
			})
		}
	}
	return out
}

// Daily is how the background and the constancy of a meter stand on the calendar day of a
// moment, by the last test of each; known is false for a meter that the book does not
// have.
func (b *Book) Daily(id string, at time.Time) (missing, failed []string, known bool) {
	i := b.Find(id)
	if i == nil || len(i.Versions) == 0 {
		return nil, nil, false
	}
	for _, kind := range daily {
		last := i.Last(func(t *Test) bool {
			return t.Test == kind && b.day(t.At) == b.day(at) && t.Verdict != Unjudged && t.series != ""
		})
		name := string(kind) + " of " + id
		switch {
		case last == nil:
			missing = append(missing, name)
		case last.Verdict == Bad:
			failed = append(failed, name)
		}
	}
	return missing, failed, true
}

// SetUps are the settings and the inserts that the calibrations in force at a moment
// hold for, each once.
func (b *Book) SetUps(at time.Time) (settings, inserts []string) {
	add := func(to *[]string, text string) {
		if text != "" && !slices.Contains(*to, text) {
			*to = append(*to, text)
		}
	}
	for _, i := range b.Instruments {
		for _, c := range i.Calibrations {
			if !c.Fact.From.After(at) {
				add(&settings, c.Fact.Setting)
				add(&inserts, c.Fact.Insert)
			}
		}
	}
	return settings, inserts
}

// Usable are the check sources in use at a moment, sorted.
func (b *Book) Usable(at time.Time) (out []string) {
	for _, id := range slices.Sorted(maps.Keys(b.Sources)) {
		if s := b.Source(id, at); s != nil && s.State != fact.Withdrawn {
			out = append(out, id)
		}
	}
	return out
}
