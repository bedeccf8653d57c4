package experience

import (
	"maps"
	"reflect"
	"slices"
	"sync"
	"sync/atomic"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/journal"
	"vialwright/learning"
	"vialwright/meterbook"
	"vialwright/pack"
)

// Tally holds what the cases of a site have taught, and takes one more as it
// comes. It is not safe for concurrent use. Those of all years are held, so that each
// is kept in few bytes.
type Tally struct {
	zones fact.Zones
	room  pack.Room
	// cases are in the order in which they were first taken, and held is what they hold.
	cases pack.Column[taken]
	held  pack.Column[byte]
	// texts are all that cases hold; named is by the number of one the case that was taken
	// by that name, from 1; 0 for none.
	texts pack.Texts
	named pack.Column[int32]
	site  *learning.Site
	// yields and residuals say where the cases of the models come from, in the
	// order of the models, each by the number of its order.
	yields, residuals pack.Column[int32]
	// refused are those that the models could not take.
	refused []Left
	// draws and left are how many draws and residuals there are of each group.
	draws, left map[group]int
	// jars are what full doses have read on a survey meter for each GBq, by the family of
	// its units.
	jars    map[string]*pack.Column[float64]
	stale   bool // a case has changed that is in already
	changes int
}

// taken is where one case lies as it was taken last: so many bytes of what was learned, and
// behind them those of where meters were used. One that has become part of another holds
// nothing; room is how many bytes there are for it.
type taken struct {
	at                  int64
	learned, used, room int32
}

// held is what one case has taught.
type held struct {
	learned
	used
	err error
}

// learned are the finished preparations of a case, and why none could be learned from.
type learned struct {
	preps []Preparation
	why   string
}

// used are the readings of a case.
type used struct {
	assays []meterbook.Assay
	uses   []meterbook.Use
}

// take puts into few bytes what a case has taught, which hold nothing of the records that it
// comes from: where the case was before, if there is room.
func (t *Tally) take(x *taken, l learned, u used) {
	w := &pack.Writer{}
	w.Value(&l.preps, &t.texts)
	w.Value(&l.why, &t.texts)
	x.learned = pack.Int32(len(w.Buf))
	w.Value(&u.assays, &t.texts)
	w.Value(&u.uses, &t.texts)
	x.used = pack.Int32(len(w.Buf)) - x.learned
	if len(w.Buf) > int(x.room) {
		x.at, x.room = int64(t.held.Len()), x.learned+x.used
		t.held.Append(w.Buf...)
		return
	}
	for i, b := range w.Buf {
		*t.held.At(int(x.at) + i) = b
	}
}

func (t *Tally) lessons(x taken) (l learned) {
	t.unpack(x.at, x.learned, &l.preps, &l.why)
	return l
}

// unpack reads what take wrote into where some pointers point; nothing where it wrote nothing.
func (t *Tally) unpack(at int64, n int32, into ...any) {
	if n == 0 {
		return
	}
	c := pack.NewReader(t.held.Some(int(at), int(n)))
	for _, v := range into {
		c.Value(v, &t.texts)
	}
	if c.Err() != nil || c.Left() > 0 {
		panic("fault: what was taken of a case is not what can be read of it")
	}
}

// readings are those of all cases, in no order.
func (t *Tally) readings(yield func(used) bool) {
	for i := range t.cases.Len() {
		var u used
		x := t.cases.At(i)
		t.unpack(x.at+int64(x.learned), x.used, &u.assays, &u.uses)
		if !yield(u) {
			return
		}
	}
}

// by gives the case that was taken by a name, to be changed.
func (t *Tally) by(name string) *int32 {
	k := t.texts.Put(name)
	t.named.Extend(k + 1)
	return t.named.At(k)
}

// Left is what could not be taken, and why. Order is that of a preparation, or the
// first id of a group that could not be reckoned at all.
type Left struct{ Order, Why string }

// New gives a tally of no case. zones must not be nil.
func New(zones fact.Zones) *Tally {
	t := &Tally{zones: zones.Kept(), site: learning.NewSite(), jars: map[string]*pack.Column[float64]{}}
	t.clear()
	return t
}

// In has what cases have taught lie in a room, in place of the memory of the language. It is
// called before the first case is taken.
func (t *Tally) In(r pack.Room) {
	t.room = r
	t.cases.Room, t.held.Room, t.named.Room = r, r, r
	t.yields.Room, t.residuals.Room = r, r
	t.texts.In(r)
	t.site.In(r)
}

// clear has the models hold nothing.
func (t *Tally) clear() {
	t.site.Clear()
	t.yields.Clear()
	t.residuals.Clear()
	for _, perGBq := range t.jars {
		perGBq.Clear()
	}
	t.refused, t.draws, t.left, t.stale = nil, map[group]int{}, map[group]int{}, false
}

// Changes counts how often what was taken has changed anything finished: while
// it stays the same, so does all that the tally tells.
func (t *Tally) Changes() int { return t.changes }

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

// TakeAll takes groups as they are now, each with all of its records; one takes the place
// of what was taken of it before, and of the groups that it has grown from. They are gone
// through by so many workers at once; the outcome is the same for any number.
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

// leave takes out the groups that the group of a case has grown from: each was named by
// one of its orders or vials. It tells whether anything finished was of them.
func (t *Tally) leave(now int32, records []journal.Record) (changed bool) {
	for _, r := range records {
		o, _ := fact.Opens(r.Fact)
		k := t.texts.Find(o.ID)
		if k < 0 || k >= t.named.Len() || *t.named.At(k) == 0 || *t.named.At(k) == now {
			continue
		}
		x := t.cases.At(int(*t.named.At(k) - 1))
		was := t.lessons(*x)
		x.learned, x.used = 0, 0
		t.stale = t.stale || len(was.preps) > 0
		changed = changed || len(was.preps) > 0 || was.why != ""
	}
	return changed
}

func (t *Tally) put(name string, now held, records []journal.Record) bool {
	k := t.by(name)
	if *k == 0 {
		t.cases.Append(taken{})
		*k = int32(t.cases.Len())
	}
	place := *k
	changed := t.leave(place, records)
	x := t.cases.At(int(place - 1))
	old := t.lessons(*x)
	t.take(x, now.learned, now.used)
	l := t.lessons(*x) // as it is held, so that it can be compared
	changed = changed || l.why != "" || old.why != ""
	for i, p := range l.preps {
		if i < len(old.preps) && !reflect.DeepEqual(p, old.preps[i]) {
			t.stale, changed = true, true
		}
		if i >= len(old.preps) {
			t.add(p)
			changed = true
		}
	}
	if len(l.preps) < len(old.preps) {
		t.stale, changed = true, true
	}
	if changed {
		t.changes++
	}
	return changed
}

// Assays are the first readings of all vials over their labels, in no order.
func (t *Tally) Assays() (out []meterbook.Assay) {
	for u := range t.readings {
		out = append(out, u.assays...)
	}
	return out
}

// Uses are the readings of all cases, in no order.
func (t *Tally) Uses() (out []meterbook.Use) {
	for u := range t.readings {
		out = append(out, u.uses...)
	}
	return out
}

func (t *Tally) add(p Preparation) {
	if p.PerGBq > 0 {
		if t.jars[p.Family] == nil {
			t.jars[p.Family] = &pack.Column[float64]{Room: t.room}
		}
		t.jars[p.Family].Append(p.PerGBq)
	}
	for _, d := range p.Draws {
		t.draws[group{d.Kind, ""}]++
		t.draws[group{d.Kind, d.Person}]++
		if err := t.site.AddDraw(d); err != nil {
			t.refused = append(t.refused, Left{p.Order, err.Error()})
			continue
		}
		t.yields.Append(int32(t.texts.Put(p.Order)))
	}
	r := p.Residual
	if r == nil {
		return
	}
	t.left[group{p.Kind, ""}]++
	t.left[group{p.Kind, p.Person}]++
	if err := t.site.AddResidual(p.Kind, p.Person, *r); err != nil {
		t.refused = append(t.refused, Left{p.Order, err.Error()})
		return
	}
	t.residuals.Append(int32(t.texts.Put(p.Order)))
}

// Site gives the models with all that was taken. After the correction of a
// finished case they are made again.
func (t *Tally) Site() *learning.Site {
	if t.stale {
		t.clear()
		for p := range t.each {
			t.add(p)
		}
	}
	return t.site
}

// each goes through the preparations, by case in the order in which the cases
// were first taken.
func (t *Tally) each(yield func(Preparation) bool) {
	for i := range t.cases.Len() {
		for _, p := range t.lessons(*t.cases.At(i)).preps {
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
	for k, name := range t.names() {
		l := t.lessons(*t.cases.At(k))
		if l.why != "" {
			out = append(out, Left{name, l.why})
		}
		for _, p := range l.preps {
			for _, why := range p.Left {
				out = append(out, Left{p.Order, why})
			}
		}
	}
	return append(out, t.refused...)
}

func (t *Tally) names() []string {
	out := make([]string, t.cases.Len())
	for k := range t.named.Len() {
		if place := *t.named.At(k); place > 0 {
			out[place-1] = t.texts.At(k)
		}
	}
	return out
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

// Unusual names the cases that do not fit the others, at most five of each
// quantity; see learning.Model.Unusual. None is left out of what is learned.
func (t *Tally) Unusual() []Unusual {
	s := t.Site()
	out := named("draw yield", s.Yields, &t.yields, &t.texts)
	out = append(out, named("residual fraction", s.Fractions, &t.residuals, &t.texts)...)
	return append(out, named("residual activity", s.Activities, &t.residuals, &t.texts)...)
}

func named[Q learning.Quantity](what string, m *learning.Model[Q], from *pack.Column[int32], texts *pack.Texts) (out []Unusual) {
	for _, u := range m.Unusual() {
		out = append(out, Unusual{texts.At(int(*from.At(u.Number))), what, u.Z, u.Sentence()})
	}
	return out
}

// Jar is what full doses have read on a survey meter for each GBq, in the family of units
// in which most of them were read: one does not turn into another.
func (t *Tally) Jar() (out dispensing.JarUsual) {
	t.Site()
	for _, family := range slices.Sorted(maps.Keys(t.jars)) {
		if u := dispensing.JarUsualOf(t.jars[family].Some(0, t.jars[family].Len()), family); u.Cases > out.Cases {
			out = u
		}
	}
	return out
}
