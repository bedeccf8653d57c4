package meterbook

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/quantity"
)

// daily are the tests of an activity meter on each day that it is used.
var daily = []fact.TestOf{fact.BackgroundTest, fact.ConstancyTest}

// due is what has to be done of an instrument in use.
func (b *Book) due(i *Instrument) {
	if i.Now == nil || i.Now.State == fact.Withdrawn {
		return
	}
	add := func(what string, last, at time.Time, source string) {
		i.Due = append(i.Due, Due{Instrument: i.ID, What: what, Last: last, At: at, Overdue: !b.At.Before(at), Source: source})
	}
	test := func(t fact.TestOf, what, source string, next func(time.Time) time.Time) {
		last, failed := i.passed(t, b.At)
		if add(what, last, next(last), source); !failed.IsZero() {
			d := &i.Due[len(i.Due)-1]
			d.At, d.Overdue, d.Failed = failed, true, true
		}
	}
	if i.Now.What == fact.ActivityMeter {
		for _, t := range daily {
			test(t, string(t)+" of the day", "the calendar day of the site ("+common+")", b.nextDay)
		}
		for _, t := range []fact.TestOf{fact.LinearityTest, fact.AccuracyTest} {
			if every := b.Rules.Due[t]; every.Every > 0 {
				test(t, "test of "+string(t), every.Source, func(last time.Time) time.Time { return after(last, every.Every) })
			}
		}
	}
	switch {
	case !i.Now.Due.IsZero():
		add("calibration", i.Now.Calibrated, i.Now.Due, "its certificate")
	case i.Now.What != fact.ActivityMeter && b.Rules.Calibration.Every > 0:
		add("calibration", i.Now.Calibrated, after(i.Now.Calibrated, b.Rules.Calibration.Every), b.Rules.Calibration.Source)
	}
	for _, kind := range fact.Containers() {
		if d, ends := b.lapse(i, i.Calibration(kind, 0, "", b.At)); ends {
			i.Due = append(i.Due, d)
		}
	}
}

// lapse is when a calibration lapses; false for none, or one without an end.
func (b *Book) lapse(i *Instrument, c *fact.Calibration) (Due, bool) {
	if c == nil || c.Due.IsZero() {
		return Due{}, false
	}
	what := "calibration for the " + plain(c.Container)
	return Due{Instrument: i.ID, What: what, Container: c.Container, Last: c.From, At: c.Due, Overdue: !b.At.Before(c.Due), Source: "the calibration"}, true
}

// after is a moment so long after another; what was never done is due from the
// beginning of time.
func after(last time.Time, every quantity.Span) time.Time {
	if last.IsZero() {
		return time.Time{}
	}
	return last.Add(every.Duration())
}

// nextDay is the beginning of the day after one, in the zone of the site.
func (b *Book) nextDay(last time.Time) time.Time {
	if last.IsZero() {
		return time.Time{}
	}
	return quantity.EndOfDay(last, 0, b.Zone)
}

// passed is when a test was passed last, up to a moment, zero for never, and when it
// failed after that. A test of linearity by sleeves is one of linearity.
func (i *Instrument) passed(of fact.TestOf, at time.Time) (last, failed time.Time) {
	for _, t := range i.Tests {
		same := t.Test == of || of == fact.LinearityTest && t.Test == fact.SleevesTest
		switch {
		case !same || t.At.After(at) || t.series == "" || t.Verdict == Unjudged:
		case t.Verdict == Bad:
			failed = t.At
		default:
			last, failed = t.At, time.Time{}
		}
	}
	return last, failed
}

// lapses finds calibrations that ended before the next began, or before the moment of the
// book, and days of work without a test.
func (b *Book) lapses(i *Instrument) {
	for n, v := range i.Versions {
		end := b.At
		if n+1 < len(i.Versions) {
			end = i.Versions[n+1].Fact.At
		}
		if x := v.Fact; x.State != fact.Withdrawn && !x.Due.IsZero() && x.Due.Before(end) {
			b.lapsed(i.ID, "calibration", x.Due, end, v.Entry)
		}
	}
	for n, v := range i.Calibrations {
		end := b.At
		for _, next := range i.Calibrations[n+1:] {
			if next.Fact.Container == v.Fact.Container {
				end = next.Fact.From
				break
			}
		}
		if !v.Fact.Due.IsZero() && v.Fact.Due.Before(end) {
			b.lapsed(i.ID, "calibration for the "+plain(v.Fact.Container), v.Fact.Due, end, v.Entry)
		}
	}
}

// lapsed says that something ended, and until when nothing took its place.
func (b *Book) lapsed(of, what string, due, end time.Time, entry int) {
	until := "and nothing has taken its place"
	if end.Before(b.At) {
		until = "and the next began on " + b.On(end)
	}
	b.found(Finding{"calibration-lapsed", dispensing.Stop, of, due, entry, fmt.Sprintf("The %s of %s lapsed on %s, %s.", what, of, b.On(due), until), "Calibrate it, and look which readings rest on it."})
}

// bases finds days on which tests of one instrument were made on two scales.
func (b *Book) bases(i *Instrument) {
	seen := map[string]*Test{}
	for n := range i.Tests {
		t := &i.Tests[n]
		if t.Basis == "" {
			continue
		}
		if x := seen[b.day(t.At)]; x == nil {
			seen[b.day(t.At)] = t
		} else if x.Basis != t.Basis {
			b.finds(i, t, dispensing.Stop, "two-bases", "Correct the entry that names the wrong scale.",
				"On %s %s was tested on the %s and on the %s basis (entries %d and %d): the two are never compared.", b.On(t.At), i.ID, x.Basis, t.Basis, x.Entry, t.Entry)
		}
	}
}

func (b *Book) leaks() {
	for _, id := range slices.Sorted(maps.Keys(b.Sources)) {
		s := b.Source(id, b.At)
		if s == nil || s.State == fact.Withdrawn || s.LeakDue.IsZero() {
			continue
		}
		b.DueSources = append(b.DueSources, Due{Instrument: id, What: "leak test", Last: s.LeakTested, At: s.LeakDue, Overdue: !b.At.Before(s.LeakDue), Source: "its entry"})
	}
}

// Ready is what stands against using an instrument at a moment: what is overdue then,
// and what of the day failed. known is false for an instrument that the book does not
// have. The book is one drawn as of that moment, or later on the same day.
func (b *Book) Ready(id string) (against []string, known bool) {
	i := b.Find(id)
	if i == nil || i.Now == nil {
		return nil, false
	}
	if i.Now.State == fact.Withdrawn {
		return []string{id + " is withdrawn"}, true
	}
	for _, d := range i.Due {
		if d.Overdue {
			against = append(against, strings.TrimSuffix(d.Text(b.Zone), "."))
		}
	}
	return against, true
}
