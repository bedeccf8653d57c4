package hotlab

import (
	"maps"
	"slices"
	"strings"
	"time"

	"vialwright/counting"
	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/fold"
	"vialwright/inventory"
	"vialwright/journal"
	"vialwright/quantity"
	"vialwright/rules"
)

// World is what the books of a site are read from.
type World struct {
	// Books are the folded groups with the entries of the site.
	Books inventory.Books
	// Groups are the records of the groups that Books was folded from.
	Groups [][]journal.Record
	// Rules is the site's profile; nil for none.
	Rules *rules.Profile
	Zone  *time.Location
	// Zones gives the zones of suppliers by their names.
	Zones fact.Zones
	At    time.Time
	// People are the ids of the accounts; nil where nobody is held against them.
	People []string
	// Deeds are who recorded what; for training.
	Deeds []Deed
	// Since is from when on all groups are there: of those that nothing touched after it some
	// may be left out, and what only they could say is not judged. Zero where all are there.
	Since time.Time
	// Bins are the ids of all waste bins that anything was ever put into; nil where the
	// groups tell.
	Bins []string
}

// Deed is an entry by a person, who Needs to be trained for it or Supervised.
type Deed struct {
	By                string
	At                time.Time
	Kind              string
	Needs, Supervised bool
}

// Book is what stands at an instant.
type Book struct {
	At      time.Time
	Parcels []Parcel
	Rooms   []Room
	Bins    []Bin
	Persons []Person
	// Limits are what a dose of the year is held against, by where the dosemeter is worn, Levels
	// above which the site looks into it; what is not set is absent.
	Limits    map[fact.Worn]rules.Value
	Levels    map[fact.Worn]quantity.Stated[quantity.DoseEquivalent]
	Skin      []Skin
	Inventory inventory.Inventory
	// Plan are the site's five lines of what to do at a spill; nil without them.
	Plan *fact.SpillPlan
	// Contacts are whom the site telephones, in force at the instant.
	Contacts []fact.Contact
	Findings []Finding
	// instruments are those of the site by their ids, each as it was entered over time.
	instruments map[string][]fold.Version[*fact.Instrument]
}

// reader reads a book.
type reader struct {
	World
	// fitted are the books with their cases reconciled.
	fitted inventory.Fitted
	out    Book
	rules  rules.Set
	// sets are the rules in force by the day.
	sets    map[string]rules.Set
	missing []string
	// year is whose doses are summed.
	year int
	// late is how often something was read with a meter past its calibration.
	late map[lateKey]*late
	// groups are the entries of the groups, in force, oldest first.
	groups []fold.Entry
}

// Kept tells which entries a book is read from, beside the groups.
func Kept(f fact.Fact) bool {
	_, instrument := f.(*fact.Instrument)
	_, kept := f.(*fact.KeepStock)
	_, supervised := f.(*fact.Supervised)
	return instrument || kept || supervised || inventory.Kept(f)
}

// Read says what stands at an instant, and what is wrong.
func Read(w World) Book {
	fitted := inventory.Fit(w.Books, w.At)
	r := reader{World: w, fitted: fitted, year: w.At.In(w.Zone).Year(), late: map[lateKey]*late{}, out: Book{At: w.At, Inventory: fitted.At(w.At)}}
	for _, g := range w.Groups {
		r.groups = append(r.groups, fold.Entries(g)...)
	}
	slices.SortFunc(r.groups, func(a, b fold.Entry) int { return a.Number - b.Number })
	r.groups = slices.CompactFunc(r.groups, func(a, b fold.Entry) bool { return a.Number == b.Number })
	r.out.instruments = map[string][]fold.Version[*fact.Instrument]{}
	for _, x := range fold.Versions[*fact.Instrument](w.Books.Entries, w.At) {
		r.out.instruments[x.Fact.ID] = append(r.out.instruments[x.Fact.ID], x)
	}
	r.heldOn(w.At, func() {
		r.contacts()
		r.parcels()
		r.surveys()
		r.bins()
		r.persons()
		r.stock()
	})
	if len(r.missing) > 0 && w.Rules != nil {
		slices.Sort(r.missing)
		r.find(Finding{Code: RuleMissing, Severity: dispensing.Note, Page: Inventory, Do: "Enter them in the site's profile, each with its paragraph."}, "Nothing was held against what profile %s does not say: %s", w.Rules.ID, strings.Join(slices.Compact(r.missing), ", "))
	}
	sortFindings(r.out.Findings)
	return r.out
}

// heldOn does something by the rules in force on the day of an instant: what is over is held to
// what was asked then.
func (r *reader) heldOn(at time.Time, do func()) {
	was := r.rules
	if day := r.day(at); r.Rules != nil {
		set, known := r.sets[day]
		if !known {
			set = r.Rules.On(at.In(r.Zone))
			if r.sets == nil {
				r.sets = map[string]rules.Set{}
			}
			r.sets[day] = set
		}
		r.rules = set
	}
	do()
	r.rules = was
}

// rule is a value of the profile; what is missing is said once.
func (r *reader) rule(k rules.Key) (rules.Value, bool) {
	v, ok, _ := r.rules.Get(k)
	if !ok {
		r.missing = append(r.missing, string(k))
	}
	return v, ok
}

// each calls do for every entry of a kind up to the instant, with its number.
func each[T fact.Fact](r *reader, all []fold.Entry, do func(x T, entry int)) {
	for _, e := range all {
		if x, ok := e.Fact.(T); ok && !fact.At(x).After(r.At) {
			do(x, e.Number)
		}
	}
}

// clock is a time in full, in the zone of the site; a page shows it as the clock on the wall
// does.
func (r *reader) clock(t time.Time) string { return quantity.ShowTime(t.In(r.Zone)) }

// sayDay and sayMonth are how a calendar day and a month of the site are said.
func (r *reader) sayDay(t time.Time) string   { return t.In(r.Zone).Format("Mon 2 Jan 2006") }
func (r *reader) sayMonth(t time.Time) string { return t.In(r.Zone).Format("January 2006") }

// orFirst is what was in force at a time; before the first, the first is the best that is
// known. False where there is none.
func orFirst[T fact.Fact](all []fold.Version[T], at time.Time) (x T, ok bool) {
	if x, ok = fold.InForce(all, at); !ok && len(all) > 0 {
		return all[0].Fact, true
	}
	return x, ok
}

// wipe is a wipe as package counting takes it, counted by an instrument.
func (r *reader) wipe(c *fact.Counted, by string, at time.Time) (m counting.Method, gross, blank counting.Count, err error) {
	gross, blank, err = r.live(by, at, counting.Count{N: c.Gross.Value, Time: c.Time.Value}, counting.Count{N: c.Blank.Value, Time: c.BlankTime.Value})
	return counting.Method{Efficiency: c.Efficiency.Value, Wiped: c.Removed.Value, Area: c.Area.Value}, gross, blank, err
}

// live takes the dead time of an instrument off two counts; off none where nobody entered
// one.
func (r *reader) live(by string, at time.Time, gross, blank counting.Count) (g, b counting.Count, err error) {
	x, entered := fold.InForce(r.out.instruments[by], at)
	if !entered || x.DeadTime.IsZero() {
		return gross, blank, nil
	}
	if g, err = gross.Live(x.DeadTime.Value); err == nil {
		b, err = blank.Live(x.DeadTime.Value)
	}
	return g, b, err
}

// lateKey is what was read past the calibration of an instrument, with what and where it
// is said; late is since when, and how often.
type (
	lateKey struct {
		page         Page
		about, meter string
		due          time.Time
	}
	late struct {
		first, last time.Time
		times       int
		finding     int
	}
)

// Against says what speaks against an instrument at a time, with the instrument where the site
// has it: it is unknown, withdrawn, or past its calibration; empty for nothing.
func (b Book) Against(id string, at time.Time) (Code, *fact.Instrument) {
	x, entered := fold.InForce(b.instruments[id], at)
	switch {
	case !entered:
		return MeterUnknown, nil
	case x.State == fact.Withdrawn:
		return MeterWithdrawn, x
	case !x.Due.IsZero() && at.After(x.Due):
		return MeterOverdue, x
	}
	return "", x
}

// Instruments are the ids of those that the site has.
func (b Book) Instruments() []string { return slices.Sorted(maps.Keys(b.instruments)) }

// meter holds a reading against its instrument; false where something speaks against that.
// What was read several times past one date is said once.
func (r *reader) meter(id string, at time.Time, page Page, about string, entry int) bool {
	if id == "" {
		return true
	}
	code, last := r.out.Against(id, at)
	f := Finding{Code: code, Severity: dispensing.Warn, Page: page, About: about, Entry: entry, Do: "Read it again with an instrument in use."}
	switch code {
	case MeterUnknown:
		f.Do = "Enter the instrument, or correct the id."
		r.find(f, "%s was read with %s, which is no instrument of the site", about, id)
	case MeterWithdrawn:
		r.find(f, "%s was read with %s on %s, which was withdrawn on %s", about, id, r.clock(at), r.clock(last.At))
	case MeterOverdue:
		key := lateKey{page, about, id, last.Due}
		says := func(l *late) string {
			text := about + " was read with " + id + " on " + r.clock(l.first)
			if l.times > 1 {
				text += ", and " + dispensing.Plural(l.times-1, "time") + " after that, last on " + r.clock(l.last)
			}
			return text + "; its calibration was due on " + r.clock(last.Due) + "."
		}
		if l := r.late[key]; l != nil {
			l.times, l.last = l.times+1, at
			r.out.Findings[l.finding].Text = says(l)
			return false
		}
		l := &late{at, at, 1, len(r.out.Findings)}
		r.late[key] = l
		f.Do = "Read it again with an instrument in calibration."
		r.find(f, "%s", says(l))
	}
	return code == ""
}

// show prints a quantity.
func show[Q quantity.Kind](v Q) string { return quantity.Show(v, 0).String() }

// beside prints a quantity in the unit of its limit, and reads as above it where it is.
func beside[Q quantity.Kind](v Q, limit quantity.Stated[Q]) string {
	_, unit := limit.Split()
	return quantity.FormatDigits(v, 4, unit, limit.Value)
}

// surface is what a wipe shows, with its uncertainty.
func surface(j counting.Result) string { return quantity.Show(j.Surface, j.SurfaceU).String() }

// day is the calendar day of an instant, in the zone of the site.
func (r *reader) day(t time.Time) string { return t.In(r.Zone).Format(time.DateOnly) }

// put gives the place of an id in a list of states, adding it where there is none.
func put[S any](list *[]S, id string, idOf func(*S) *string) *S {
	for i := range *list {
		if *idOf(&(*list)[i]) == id {
			return &(*list)[i]
		}
	}
	*list = append(*list, *new(S))
	last := &(*list)[len(*list)-1]
	*idOf(last) = id
	return last
}
