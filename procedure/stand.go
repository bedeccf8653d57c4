package procedure

import (
	"iter"
	"slices"
	"strings"
	"time"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/fold"
	"vialwright/ledger"
)

// standing is where a step stands by itself, whatever stands before it.
type standing struct {
	state State
	by    string
	at    time.Time
	why   string
	words Words // in place of those of the table; zero for these
}

func open(why string) standing    { return standing{state: Now, why: why} }
func blocked(why string) standing { return standing{state: Blocked, why: why} }
func skipped(why string) standing { return standing{state: Skipped, why: why} }

// by is a step done by an entry; open where there is none.
func by(e *entry) standing {
	if e == nil {
		return open("")
	}
	return standing{state: Done, by: e.doer(), at: e.when()}
}

// latest gives the entry of a kind that is the latest in time of those that are, nil if
// none is.
func latest[F fact.Fact](v *view, is func(F) bool) *entry {
	var out *entry
	for _, e := range v.list {
		if x, ok := e.fact.(F); ok && is(x) && (out == nil || e.after(*out)) {
			out = &e
		}
	}
	return out
}

// mine are the entries of a kind that speak of the order, in the order of the record.
func mine[F fact.Fact](v *view) iter.Seq2[*entry, F] {
	return func(yield func(*entry, F) bool) {
		for i := range v.list {
			e := &v.list[i]
			if x, ok := e.fact.(F); ok && e.order == v.order.ID && !yield(e, x) {
				return
			}
		}
	}
}

// numbered gives an entry by its number.
func (v *view) numbered(n int) *entry {
	i, ok := slices.BinarySearchFunc(v.list, n, func(e entry, n int) int { return e.n - n })
	if !ok {
		return nil
	}
	return &v.list[i]
}

// receipt: a vial came in and has not left; once drawn, the one it was drawn from.
func (v *view) receipt() standing {
	e := latest(v, func(x *fact.Receive) bool { return v.uses(x.Vial) })
	if e == nil && len(v.c.Vials) > 0 {
		return open("every vial that was received has left the site or is lost")
	}
	return by(e)
}

// assay: the vial to draw from was read; once drawn, it was read before.
func (v *view) assay() standing {
	reading := func(vial string, before *entry) *entry {
		return latest(v, func(x *fact.Read) bool { return x.Of == vial && (before == nil || !fold.Later(x.At, before.when())) })
	}
	if len(v.draws) > 0 {
		d := v.draws[0]
		if e := reading(d.From, v.numbered(d.Entry)); e != nil {
			return by(e)
		}
		return skipped("the dose was drawn before its vial was measured")
	}
	if p := v.res.Plan; p != nil && p.Assayed {
		return by(reading(p.From, nil))
	}
	return open("")
}

// draw: there is a dose.
func (v *view) draw() standing {
	switch {
	case v.drawn() && len(v.draws) > 0:
		return by(v.numbered(v.draws[len(v.draws)-1].Entry))
	case v.signing.Waits() != "":
		return blocked(v.signing.Waits())
	case len(v.holding) > 0:
		return blocked(v.holding[0].Text)
	case len(v.draws) > 0:
		return open("all of it was returned to the vial: redraw")
	}
	return open("")
}

// lastMove is the last entry that changed what the dose is by an amount that
// only a reading finds.
func (v *view) lastMove() *entry {
	return latest(v, func(f fact.Fact) bool {
		switch x := f.(type) {
		case *fact.Draw:
			return v.owner(x.Into, x.For) == v.order.ID
		case *fact.Return:
			return v.isOwn(x.From) || v.isOwn(x.Into)
		case *fact.Discard:
			return v.isOwn(x.From) && (v.given == nil || x.At.Before(v.given.Start))
		}
		return false
	})
}

// remainder: the dose is determined, by a reading since it was last changed.
func (v *view) remainder() standing {
	move := v.lastMove()
	if move == nil || !v.drawn() {
		return open("")
	}
	read := latest(v, func(x *fact.Read) bool { return !v.ofResidual(x) && (v.isOwn(x.Of) || v.reckonedWith(x.Of, x.At)) })
	switch {
	case read == nil || !read.after(*move):
		return open("nothing was read since the dose last changed")
	case v.res.Dispensed == nil:
		return open("the readings do not determine the dose yet")
	}
	return by(read)
}

// adjust: needed while a dose outside tolerance is still in its syringe and
// nobody lifted that.
func (v *view) adjust() standing {
	d := v.res.Dispensed
	if d == nil || !v.drawn() {
		return open("")
	}
	outside := d.Standing == dispensing.Outside || d.Standing == dispensing.Beyond
	code := dispensing.OutsideTolerance
	if d.Standing == dispensing.Beyond {
		code = dispensing.BeyondLimit
	}
	move := v.lastMove()
	switch {
	case outside && v.given == nil && v.kind == ledger.Syringe && !v.lifted(code, v.order.Entry):
		if why := v.signing.Waits(); why != "" {
			return blocked(why)
		}
		return open(d.Verdict)
	case move != nil && len(v.draws) > 0 && move.n != v.draws[0].Entry:
		return by(move)
	case outside:
		return skipped("it was not put right: " + d.Verdict)
	}
	return skipped("the dose is within tolerance")
}

// makeUp: the syringe holds at least what the site asks for.
func (v *view) makeUp() standing {
	if !v.drawn() {
		return open("")
	}
	short := v.kind == ledger.Syringe && v.given == nil && float64(v.res.Volume) < float64(v.c.Policy.MakeUpMin)-tiny
	e := latest(v, func(x *fact.MakeUp) bool { return v.isOwn(x.Of) })
	switch {
	case short:
		return open("")
	case e != nil:
		return by(e)
	case v.kind == ledger.Syringe:
		return skipped("the syringe holds enough")
	}
	return skipped("the dose was transferred without it")
}

// transfer: the dose is in an administration vial.
func (v *view) transfer() standing {
	switch {
	case v.kind == ledger.AdministrationVial && v.drawn():
		return by(v.arrival())
	case v.check == nil && v.drawn():
		return open("it is done once: have the dose checked and labelled first, while it can still be put right")
	}
	return open("")
}

// arrival is the last transfer into the container of the dose.
func (v *view) arrival() *entry {
	return latest(v, func(x *fact.Transfer) bool { return x.Into == v.container && v.container != "" })
}

// baseline: the dose rate was read once the dose was in its last container.
func (v *view) baseline() standing {
	i := slices.IndexFunc(v.c.Residuals, func(r dispensing.Residual) bool { return r.For == v.order.ID && len(r.Before.Rates) > 0 })
	if i < 0 {
		return open("")
	}
	before := v.c.Residuals[i].Before
	if came := v.arrival(); came != nil && before.At.Before(came.when()) {
		return blocked("the dose rate was read before the dose came into " + v.container + ": correct that reading")
	}
	out := by(latest(v, func(x *fact.Residual) bool { return x.For == v.order.ID && x.Before != nil }))
	out.at = before.At
	return out
}

// checkWords say what is checked, as the bench asks it.
var checkWords = map[fact.CheckOf]string{
	fact.MeterBackground: "background of the activity meter", fact.MeterConstancy: "constancy of the activity meter",
	fact.SurveyMeter: "survey meter", fact.AreaClear: "area clear", fact.Consumables: "consumables at hand", fact.People: "people trained, present",
}

// ofTheDay tells whether something was done on the day of the preparation, a
// calendar day in the zone of the site: the day of the last draw or, before
// there is a dose, the day of the moment asked.
func (v *view) ofTheDay(at time.Time) bool {
	return at.In(v.zone()).Format(time.DateOnly) == v.day().In(v.zone()).Format(time.DateOnly)
}

// day is a moment of the day of the preparation.
func (v *view) day() time.Time {
	if v.drawn() && len(v.draws) > 0 {
		return v.draws[len(v.draws)-1].At
	}
	return v.now
}

// zone is that of the site; UTC where there is none.
func (v *view) zone() *time.Location {
	if v.c.Zone == nil {
		return time.UTC
	}
	return v.c.Zone
}

// readiness: every check of the day passed, by the last of each; the two of
// the activity meter for each meter that was used, or for one.
func (v *view) readiness() standing {
	var failed, missing []string
	var newest *entry
	v.passed = map[string]bool{}
	ask := func(what fact.CheckOf, of string) bool {
		name := strings.TrimSpace(checkWords[what] + " " + of)
		e := latest(v, func(x *fact.Check) bool { return x.What == what && (of == "" || x.Of == of) && v.ofTheDay(x.At) })
		if e == nil {
			missing = append(missing, name)
			return false
		}
		if x, _ := e.fact.(*fact.Check); x.Result != fact.Pass {
			failed = append(failed, strings.TrimSuffix(name+": "+x.Text, ": "))
			return false
		}
		if newest == nil || e.after(*newest) {
			newest = e
		}
		v.passed[string(what)+" "+of] = true
		return true
	}
	for _, m := range v.meters() {
		if v.tested(m, &missing, &failed) {
			continue
		}
		ask(fact.MeterBackground, m)
		ask(fact.MeterConstancy, m)
	}
	for _, what := range []fact.CheckOf{fact.SurveyMeter, fact.AreaClear, fact.Consumables, fact.People} {
		ask(what, "")
	}
	switch {
	case len(failed) > 0:
		return blocked("failed: " + strings.Join(failed, ", "))
	case len(missing) > 0:
		return open("missing for the day: " + strings.Join(missing, ", "))
	}
	return by(newest)
}

// tested adds what the meter book says of the day of a meter; false for one that it
// does not have.
func (v *view) tested(meter string, missing, failed *[]string) bool {
	if v.instruments == nil {
		return false
	}
	m, f, known := v.instruments.Daily(meter, v.day())
	*missing, *failed = append(*missing, m...), append(*failed, f...)
	return known
}

// meters are those that have to be ready: the ones the dose was read with;
// before the first reading the first one that was checked to the end, or else
// the one checked last, or else any.
func (v *view) meters() []string {
	var used []string
	for _, x := range v.c.Readings {
		if v.uses(x.Of) && !slices.Contains(used, x.Meter) {
			used = append(used, x.Meter)
		}
	}
	if len(used) > 0 {
		return used
	}
	passed := map[string]map[fact.CheckOf]bool{}
	last := ""
	for _, e := range v.list {
		x, ok := e.fact.(*fact.Check)
		if !ok || (x.What != fact.MeterBackground && x.What != fact.MeterConstancy) || !v.ofTheDay(x.At) {
			continue
		}
		if passed[x.Of] == nil {
			passed[x.Of] = map[fact.CheckOf]bool{}
		}
		passed[x.Of][x.What] = x.Result == fact.Pass
		last = x.Of
		if passed[x.Of][fact.MeterBackground] && passed[x.Of][fact.MeterConstancy] {
			return []string{x.Of}
		}
	}
	if last == "" {
		last = v.inBook()
	}
	return []string{last}
}

// inBook is the first meter of the site that the meter book has and that passed its
// tests of the day, or else the first that it has; empty for none.
func (v *view) inBook() (first string) {
	if v.instruments == nil {
		return ""
	}
	for _, r := range v.records {
		m, ok := r.Fact.(*fact.Meter)
		if !ok {
			continue
		}
		missing, failed, known := v.instruments.Daily(m.ID, v.day())
		if known && len(missing)+len(failed) == 0 {
			return m.ID
		}
		if known && first == "" {
			first = m.ID
		}
	}
	return first
}
