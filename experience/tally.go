package experience

import (
	"reflect"
	"slices"
	"strings"
	"sync"
	"sync/atomic"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/journal"
	"vialwright/learning"
	"vialwright/meterbook"
	"vialwright/quantity"
)

// Tally holds what the cases of a site have taught, and takes one more as it
// comes. It is not safe for concurrent use.
type Tally struct {
	zones fact.Zones
	cases map[string]*held  // by the first id of each group
	names []string          // in the order in which they were first taken
	in    map[string]string // the group that each order is in
	site  *learning.Site
	// yields and residuals say where the cases of the models come from, in the
	// order of the models.
	yields, residuals []string
	// refused are those that the models could not take.
	refused []Left
	stale   bool // a case has changed that is in already
	changes int
	texts   map[string]string
}

// own gives a text that is part of no record, the same for the same text: a part of one
// would keep the whole record in memory.
func (t *Tally) own(s string) string {
	if _, known := t.texts[s]; !known {
		s = strings.Clone(s)
		t.texts[s] = s
	}
	return t.texts[s]
}

// detach has what was taken hold nothing of the records that it comes from.
func (t *Tally) detach(h held) {
	for i := range h.preps {
		p := &h.preps[i]
		p.Order, p.Kind, p.Lot, p.Person, p.Catheter = t.own(p.Order), t.own(p.Kind), t.own(p.Lot), t.own(p.Person), t.own(p.Catheter)
		for k := range p.Draws {
			d := &p.Draws[k]
			d.Kind, d.Lot, d.Person = t.own(d.Kind), t.own(d.Lot), t.own(d.Person)
		}
	}
	for i := range h.assays {
		h.assays[i].Meter = t.own(h.assays[i].Meter)
	}
	for i := range h.uses {
		h.uses[i].Of = t.own(h.uses[i].Of)
	}
}

// held is one case as it was taken last.
type held struct {
	records int
	preps   []Preparation
	assays  []meterbook.Assay
	uses    []meterbook.Use
	err     error
}

// Left is what could not be taken, and why. Order is that of a preparation, or the
// first id of a group that could not be reckoned at all.
type Left struct{ Order, Why string }

// New gives a tally of no case. zones must not be nil.
func New(zones fact.Zones) *Tally {
	return &Tally{zones: zones.Kept(), cases: map[string]*held{}, in: map[string]string{}, site: learning.NewSite(), texts: map[string]string{}}
}

// Changes counts how often what was taken has changed anything finished: while
// it stays the same, so does all that the tally tells.
func (t *Tally) Changes() int { return t.changes }

// Take takes a group as it is now, all of its records; it takes the place of what
// was taken of it before, and of the groups that it has grown from. It tells
// whether anything finished has changed.
func (t *Tally) Take(records []journal.Record) bool {
	name := nameOf(records)
	if old := t.cases[name]; name == "" || old != nil && old.records == len(records) {
		return false
	}
	return t.put(name, of(records, t.zones), records)
}

// nameOf is the id of the first order of a group, or else of its first vial.
func nameOf(records []journal.Record) string {
	vial := ""
	for _, r := range records {
		switch x := r.Fact.(type) {
		case *fact.Order:
			return x.ID
		case *fact.Receive:
			if vial == "" {
				vial = x.Vial
			}
		}
	}
	return vial
}

// TakeAll is Take for many groups, which are gone through by so many workers at
// once; the outcome is the same for any number.
func (t *Tally) TakeAll(cases [][]journal.Record, workers int) {
	all := make([]held, len(cases))
	var next atomic.Int64
	var wait sync.WaitGroup
	for range max(1, workers) {
		wait.Go(func() {
			for i := int(next.Add(1)) - 1; i < len(cases); i = int(next.Add(1)) - 1 {
				if len(cases[i]) > 0 {
					all[i] = of(cases[i], t.zones)
				}
			}
		})
	}
	wait.Wait()
	for i, c := range cases {
		if name := nameOf(c); name != "" {
			t.put(name, all[i], c)
		}
	}
}

// leave takes out the groups that a group has grown from.
func (t *Tally) leave(name string, records []journal.Record) {
	for _, r := range records {
		o, ok := r.Fact.(*fact.Order)
		if !ok {
			continue
		}
		if was := t.in[o.ID]; was != "" && was != name {
			delete(t.cases, was)
			t.names = slices.DeleteFunc(t.names, func(n string) bool { return n == was })
			t.stale = true
		}
		t.in[t.own(o.ID)] = name
	}
}

func (t *Tally) put(name string, now held, records []journal.Record) bool {
	name = t.own(name)
	t.detach(now)
	t.leave(name, records)
	preps, err := now.preps, now.err
	old := t.cases[name]
	if old == nil {
		old = &held{}
		t.cases[name] = old
		t.names = append(t.names, name)
	}
	changed := err != nil || old.err != nil
	for i, p := range preps {
		if i < len(old.preps) && !reflect.DeepEqual(p, old.preps[i]) {
			t.stale, changed = true, true
		}
		if i >= len(old.preps) {
			t.add(p)
			changed = true
		}
	}
	if len(preps) < len(old.preps) {
		t.stale, changed = true, true
	}
	now.records = len(records)
	*old = now
	if changed {
		t.changes++
	}
	return changed
}

// Assays are the first readings of all vials over their labels, in no order.
func (t *Tally) Assays() (out []meterbook.Assay) {
	for _, name := range t.names {
		out = append(out, t.cases[name].assays...)
	}
	return out
}

// Uses are the readings of all cases, in no order.
func (t *Tally) Uses() (out []meterbook.Use) {
	for _, name := range t.names {
		out = append(out, t.cases[name].uses...)
	}
	return out
}

// add gives a preparation to the models. What they refuse is named.
func (t *Tally) add(p Preparation) {
	for _, d := range p.Draws {
		if err := t.site.AddDraw(learning.Draw{Kind: d.Kind, Person: d.Person, Lot: d.Lot, Yield: d.Yield, U: d.U, At: d.At}); err != nil {
			t.refused = append(t.refused, Left{p.Order, err.Error()})
			continue
		}
		t.yields = append(t.yields, p.Order)
	}
	r := p.Residual
	if r == nil {
		return
	}
	err := t.site.AddResidual(learning.Residual{
		Kind: p.Kind, Person: p.Person, Lot: p.Lot, At: p.At,
		Activity: r.Activity, ActivityU: r.ActivityU, Fraction: r.Fraction, FractionU: r.FractionU,
	})
	if err != nil {
		t.refused = append(t.refused, Left{p.Order, err.Error()})
		return
	}
	t.residuals = append(t.residuals, p.Order)
}

// Site gives the models with all that was taken. After the correction of a
// finished case they are made again.
func (t *Tally) Site() *learning.Site {
	if t.stale {
		t.site, t.yields, t.residuals, t.refused, t.stale = learning.NewSite(), nil, nil, nil, false
		for p := range t.each {
			t.add(p)
		}
	}
	return t.site
}

// each goes through the preparations, by case in the order in which the cases
// were first taken.
func (t *Tally) each(yield func(Preparation) bool) {
	for _, name := range t.names {
		for _, p := range t.cases[name].preps {
			if !yield(p) {
				return
			}
		}
	}
}

// Preparations gives the finished orders of all cases, in the order of the
// times at which they were drawn.
func (t *Tally) Preparations() []Preparation {
	out := slices.Collect(t.each)
	slices.SortStableFunc(out, func(a, b Preparation) int { return a.At.Compare(b.At) })
	return out
}

// Left gives what could not be taken of finished orders, and the cases that
// could not be reckoned at all, with the reason of each.
func (t *Tally) Left() []Left {
	t.Site()
	var out []Left
	for _, name := range t.names {
		h := t.cases[name]
		if h.err != nil {
			out = append(out, Left{name, h.err.Error()})
		}
		for _, p := range h.preps {
			for _, why := range p.Left {
				out = append(out, Left{p.Order, why})
			}
		}
	}
	return append(out, t.refused...)
}

// Unusual is a case that does not fit the others.
type Unusual struct {
	Order string
	// What is "draw yield", "residual fraction" or "residual activity".
	What string
	// Z is its normalised predictive residual, Sentence says what is unusual.
	Z        float64
	Sentence string
}

// falseAlarm is the probability that any case is named where all is well.
const falseAlarm quantity.Fraction = 0.01

// Unusual names the cases that do not fit the others, at most five of each
// quantity; see learning.Model.Unusual. None is left out of what is learned.
func (t *Tally) Unusual() []Unusual {
	s := t.Site()
	out := named("draw yield", s.Yields, t.yields)
	out = append(out, named("residual fraction", s.Fractions, t.residuals)...)
	return append(out, named("residual activity", s.Activities, t.residuals)...)
}

func named[Q learning.Quantity](what string, m *learning.Model[Q], from []string) []Unusual {
	found, err := m.Unusual(falseAlarm)
	if err != nil {
		return nil // with fewer than three cases none can be called unusual
	}
	var out []Unusual
	for _, u := range found {
		out = append(out, Unusual{from[u.Number], what, u.Z, u.Sentence()})
	}
	return out
}

// Jar is what full doses have read on a survey meter for each GBq.
func (t *Tally) Jar() dispensing.JarUsual {
	var each []float64
	for _, p := range t.Preparations() {
		if p.PerGBq > 0 {
			each = append(each, p.PerGBq)
		}
	}
	return dispensing.JarUsualOf(each, "uSv/h")
}
