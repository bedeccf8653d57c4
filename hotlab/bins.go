package hotlab

import (
	"math"
	"slices"
	"strings"
	"time"

	"vialwright/counting"
	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/fold"
	"vialwright/nuclide"
	"vialwright/protection"
	"vialwright/quantity"
	"vialwright/rules"
)

// Bin is a waste bin.
type Bin struct {
	ID string
	// Parts are what was put in, with where it came from.
	Parts []Part
	// Closed, Released and Readings are nil or empty where there are none.
	Closed   *fact.CloseBin
	Released *fact.ReleaseBin
	Readings []fact.BinReading
	// Impure are the long-lived nuclides that are known to be in it.
	Impure []fact.Impurity
	// Activity is what is in it now, with U.
	Activity, U quantity.Activity
	// Ready are the times by the rules in force; At zero for never.
	Ready []Ready
	// Expected is what its surface should read now, by its last reading, in the unit Family;
	// Seen is false without one.
	Expected quantity.MeterRate
	Family   string
	Seen     bool
	// Slow says by its own readings that it decays more slowly than Y-90.
	Slow *protection.Decay

	releasedAt int
	// atClosing is the Y-90 that was in it when it was closed.
	atClosing quantity.Activity
}

// Part is something in a bin: where it came from, when, and the Entry that put it there.
type Part struct {
	From  string
	At    time.Time
	Entry int
}

// Ready is when a bin may be surveyed for release, by one rule.
type Ready struct {
	At  time.Time
	Why string
	// Hold tells that no time can be given: it never is ready by decay alone, or it cannot be
	// said, as Why has it.
	Hold bool
}

// Keeps tells that by this rule a bin is not ready at a time.
func (x Ready) Keeps(at time.Time) bool { return x.Hold || at.Before(x.At) }

// ByDecay tells of a route that only a bin that is ready may take.
func ByDecay(route fact.Route) bool { return route != fact.SentBack && route != fact.Handed }

// ReadyAt is the latest of the times; false where one is never, or none is known.
func (b Bin) ReadyAt() (at time.Time, ok bool) {
	for _, x := range b.Ready {
		if x.Hold {
			return time.Time{}, false
		}
		if x.At.After(at) {
			at = x.At
		}
	}
	return at, !at.IsZero() && b.Slow == nil
}

// Shut says how a bin takes nothing more at a time, that it "was closed" or "left", and since
// when; empty while it is open.
func (b Bin) Shut(at time.Time) (how string, since time.Time) {
	switch {
	case b.Released != nil && b.Released.At.Before(at):
		return "left", b.Released.At
	case b.Closed != nil && b.Closed.At.Before(at):
		return "was closed", b.Closed.At
	}
	return "", time.Time{}
}

// Held says why no time can be given; empty where one can, or no rule is in force.
func (b Bin) Held() string {
	for _, x := range b.Ready {
		if x.Hold {
			return x.Why
		}
	}
	return ""
}

// bins reads what was put into bins, and what became of them.
func (r *reader) bins() {
	all, idOf := &r.out.Bins, func(b *Bin) *string { return &b.ID }
	each(r, r.groups, func(x *fact.Discard, n int) {
		b := put(all, x.Into, idOf)
		b.Parts = append(b.Parts, Part{x.From, x.At, n})
	})
	known := func(id string, n int) *Bin {
		there := slices.ContainsFunc(*all, func(b Bin) bool { return b.ID == id })
		if !there && !slices.Contains(r.World.Bins, id) { // else what went in is of groups that are left out
			r.find(Finding{Code: BinUnknown, Severity: dispensing.Warn, Page: Waste, About: id, Entry: n, Do: "Correct the id of the bin."}, "Nothing was ever put into bin %s", id)
		}
		return put(all, id, idOf)
	}
	for _, x := range fold.Versions[*fact.CloseBin](r.Books.Entries, r.At) {
		b := known(x.Fact.Bin, x.Entry)
		b.Closed = x.Fact
	}
	for _, x := range fold.Versions[*fact.Impurity](r.Books.Entries, r.At) {
		b := known(x.Fact.Bin, x.Entry)
		b.Impure = append(b.Impure, *x.Fact)
	}
	for _, x := range fold.Versions[*fact.BinReading](r.Books.Entries, r.At) {
		b := known(x.Fact.Bin, x.Entry)
		b.Readings = append(b.Readings, *x.Fact)
		r.meter(x.Fact.Meter, x.Fact.At, Waste, x.Fact.Bin, x.Entry)
	}
	for _, x := range fold.Versions[*fact.ReleaseBin](r.Books.Entries, r.At) {
		b := known(x.Fact.Bin, x.Entry)
		if b.Released == nil {
			b.Released, b.releasedAt = x.Fact, x.Entry
		}
	}
	for i := range *all {
		b, at := &(*all)[i], r.At
		if b.Released != nil {
			at = b.Released.At
		}
		r.heldOn(at, func() { r.bin(b) })
	}
	slices.SortFunc(*all, func(a, b Bin) int { return strings.Compare(a.ID, b.ID) })
}

// bin reckons one bin, and says what is wrong with it.
func (r *reader) bin(b *Bin) {
	for _, i := range r.out.Inventory.Bins {
		if i.ID == b.ID {
			b.Activity, b.U = i.Activity, i.U
		}
	}
	if b.Closed != nil { // what is left now follows from then, and after years not the other way about
		left := quantity.Activity(nuclide.Factor(r.Books.HalfLife, nuclide.Elapsed(b.Closed.At, r.At)))
		b.atClosing, b.Activity, b.U = b.Activity, b.Activity*left, b.U*left
	}
	r.slow(b)
	r.ready(b)
	f := Finding{Severity: dispensing.Warn, Page: Waste, About: b.ID, Entry: b.releasedAt}
	for _, p := range b.Parts {
		if how, since := b.Shut(p.At); how != "" {
			f.Code, f.Entry, f.Do = BinAddedAfter, p.Entry, "Correct the id of the bin, or close it again with the later time."
			r.find(f, "%s was put into bin %s on %s, and it %s on %s", p.From, b.ID, r.clock(p.At), how, r.clock(since))
		}
	}
	for _, x := range b.Impure {
		limit, ok := r.rule(rules.WasteHalfLife)
		t, known := protection.HalfLifeOf(x.Nuclide)
		if !ok || known && !limit.Reached(float64(t)) {
			continue
		}
		why := "waste with a half-life of " + limit.Bound() + " is not held for decay (" + limit.Source() + ")"
		b.hold("never ready by decay alone: " + x.Nuclide + " is in it, and " + why)
		f.Code, f.Entry, f.Do = BinImpurity, 0, "Do not hold it for decay: it goes another way."
		r.find(f, "Bin %s holds %s of %s, and %s", b.ID, x.Content.Text, x.Nuclide, why)
	}
	if b.Slow != nil {
		f.Code, f.Entry, f.Do = BinSlow, 0, "Hold it, and have it measured for what is in it."
		r.find(f, "The last %d readings of bin %s decay with a half-life of %s (at least %s): more than Y-90 is in it", b.Slow.Readings, b.ID, longSpan(b.Slow.HalfLife), longSpan(b.Slow.Low))
	}
	if b.Released != nil {
		r.release(b)
	}
}

func longSpan(s quantity.Span) string {
	if math.IsInf(float64(s), 0) || s > 10*quantity.Year {
		return "more than ten years"
	}
	return quantity.ShowSpan(s)
}

// readingU is what a dose rate repeats to (common practice, no source).
const readingU = 0.05

// slow looks at how fast the readings of a bin decay.
func (r *reader) slow(b *Bin) {
	var row []protection.Net
	for _, x := range b.Readings {
		if slices.ContainsFunc(b.Parts, func(p Part) bool { return p.At.After(x.At) }) {
			continue // something still came in
		}
		if family := quantity.Family(x.Rate); family != b.Family {
			b.Family, row = family, nil // one unit does not turn into another
		}
		net, back := float64(x.Rate.Value-x.Background.Value), float64(x.Background.Value)
		u := math.Hypot(readingU*float64(x.Rate.Value), readingU*back)
		row = append(row, protection.Net{At: x.At, Value: net, U: u})
		b.Expected = quantity.MeterRate(max(0, net) * nuclide.Factor(r.Books.HalfLife, nuclide.Elapsed(x.At, r.At)))
		b.Seen = true
	}
	if d, slow := protection.Slow(row, r.Books.HalfLife); slow {
		b.Slow = &d
	}
}

// ready works out the times by the rules in force.
func (r *reader) ready(b *Bin) {
	if b.Closed == nil {
		return
	}
	if v, ok, _ := r.rules.Get(rules.WasteHalfLives); ok {
		b.from(protection.HalfLives(b.Closed.At, r.Books.HalfLife, v.Number()), v.Figure+" from its closing ("+v.Source()+")")
	}
	if v, ok, _ := r.rules.Get(rules.WasteLevel); ok {
		all := r.content(b, func(string) (quantity.Activity, bool) { return quantity.Activity(v.Number()), true })
		r.decayed(b, all, 1, v.Figure+" ("+v.Source()+")")
	}
	r.clearance(b)
}

// content is what is in a bin at its closing, each nuclide with the level that is asked for
// it; nil where one has none, and then it is held.
func (r *reader) content(b *Bin, level func(nuclide string) (quantity.Activity, bool)) []protection.Content {
	all := []protection.Content{{Nuclide: string(nuclide.Y90), Activity: b.atClosing, HalfLife: r.Books.HalfLife}}
	for _, x := range b.Impure {
		y := x.Content.Value
		t, known := protection.HalfLifeOf(x.Nuclide)
		if known { // it was more when the bin was closed, or less
			y *= quantity.Activity(nuclide.Factor(t, nuclide.Elapsed(x.At, b.Closed.At)))
		}
		all = append(all, protection.Content{Nuclide: x.Nuclide, Activity: y, HalfLife: t})
	}
	for i := range all {
		l, ok := level(all[i].Nuclide)
		if !ok {
			b.hold("cannot say: the profile has no concentration for " + all[i].Nuclide)
			return nil
		}
		all[i].Level = l
	}
	return all
}

// decayed is when the content of a mass has come down to its levels. Where all that went in is
// of groups that are left out, its Y-90 has gone by now, and when is not asked any more.
func (r *reader) decayed(b *Bin, all []protection.Content, mass quantity.Mass, levels string) {
	after, ok := protection.Ready(all, mass)
	at := b.Closed.At.Add(after.Duration())
	if yesterday := r.At.AddDate(0, 0, -1); len(b.Parts) == 0 && at.Before(yesterday) {
		at = yesterday
	}
	switch {
	case !ok:
		b.hold("never ready by decay alone: it does not come down to " + levels + " within ten years")
	case len(b.Parts) > 0 || b.Released == nil:
		b.from(at, "it has come down to "+levels)
	}
}

// clearance is the time by a sum of fractions, where the profile has concentrations.
func (r *reader) clearance(b *Bin) {
	y90, ok, _ := r.rules.Get(rules.ClearanceY90)
	if !ok {
		return
	}
	if b.Closed.Mass.IsZero() {
		b.hold("cannot say: mass missing, and it is released by concentration (" + y90.Figure + " of Y-90, " + y90.Source() + "): weigh it, and close it again with its mass")
		return
	}
	levels := "1 as the sum of fractions"
	all := r.content(b, func(nuclide string) (quantity.Activity, bool) {
		v, ok, _ := r.rules.Get(rules.ClearanceOf(nuclide))
		if ok {
			levels += ", " + v.Figure + " of " + nuclide + " (" + v.Source() + ")"
		}
		return quantity.Activity(v.Number()), ok
	})
	if all != nil {
		r.decayed(b, all, b.Closed.Mass.Value, levels)
	}
}

// from lets it be surveyed from the full second on that is printed.
func (b *Bin) from(at time.Time, why string) {
	b.Ready = append(b.Ready, Ready{At: quantity.FullSecond(at), Why: why})
}

func (b *Bin) hold(why string) { b.Ready = append(b.Ready, Ready{Hold: true, Why: why}) }

// release holds the release of a bin against its times and its survey.
func (r *reader) release(b *Bin) {
	x := b.Released
	f := Finding{Severity: dispensing.Stop, Page: Waste, About: b.ID, Entry: b.releasedAt}
	r.meter(x.Meter, x.At, Waste, b.ID, b.releasedAt)
	if b.Closed == nil {
		f.Code, f.Do = BinNotClosed, "Enter when it was closed: its decay is counted from then."
		r.find(f, "Bin %s was released and never closed", b.ID)
	}
	for _, ready := range b.Ready {
		if ByDecay(x.Route) && ready.Keeps(x.At) {
			held := "would have been ready only on " + r.clock(ready.At)
			if ready.Hold {
				held = "had to be held"
			}
			f.Code, f.Do = BinReleasedEarly, "Get it back if it can be got, and tell the person who answers for the licence."
			r.find(f, "Bin %s was released on %s, and %s: %s", b.ID, r.clock(x.At), held, ready.Why)
		}
	}
	if !ByDecay(x.Route) {
		return
	}
	gross, blank, err := r.live(x.Meter, x.At, counting.Count{N: x.Gross.Value, Time: x.Time.Value}, counting.Count{N: x.Blank.Value, Time: x.BlankTime.Value})
	var net counting.Result
	if err == nil {
		net, err = counting.Method{Efficiency: 1, Wiped: 1, Area: 1}.Judge(gross, blank)
	}
	f.Code, f.Do = BinAboveBackground, "Get it back, and hold it: its surface is not at background."
	switch {
	case err != nil:
		r.find(f, "The survey of bin %s at its release cannot be used: %v", b.ID, err)
	case net.Detected:
		r.find(f, "Bin %s was released with %s in %s over %s in %s of background: more than the critical level", b.ID, x.Gross.Text, x.Time.Text, x.Blank.Text, x.BlankTime.Text)
	}
	f.Severity, f.Code, f.Do = dispensing.Warn, BinSurveyedPoorly, "Survey the next one as the rule asks, and write why this one was not."
	var poor []string
	for _, p := range []struct {
		bad  bool
		says string
	}{
		{x.Sensitive != fact.Says, "the meter was not on its most sensitive range"},
		{x.Bare != fact.Says, "a shield was between"},
		{x.Labels == fact.LabelsLeft, "its radiation labels were left"},
		{x.Labels == fact.LabelsInside && x.Route != fact.Clinical, "labels inside may stay in clinical waste only"},
	} {
		if p.bad {
			poor = append(poor, p.says)
		}
	}
	if len(poor) > 0 {
		r.find(f, "Bin %s was released, and %s", b.ID, strings.Join(poor, ", and "))
	}
}
