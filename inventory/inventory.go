package inventory

import (
	"cmp"
	"math"
	"slices"
	"strings"
	"time"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/fold"
	"vialwright/ledger"
	"vialwright/nuclide"
	"vialwright/quantity"
)

// Where is what an item is in, or how it left.
type Where string

// Where an item may be. From Patient on it is not held any more.
const (
	InVial    Where = "vial"
	InSyringe Where = "syringe"
	InDose    Where = "dose"
	InParts   Where = "residual parts"
	InBin     Where = "waste bin"
	InParcel  Where = "parcel"
	Expected  Where = "parcel expected"
	InSource  Where = "check source"
	InPatient Where = "patient"
	Trash     Where = "released to trash"
	Clinical  Where = "released to clinical waste"
	Sewer     Where = "released to sewer"
	Returned  Where = "sent back"
	Handed    Where = "handed on"
	Lost      Where = "lost"
)

// Held tells that what is there counts as held on the site.
func (w Where) Held() bool {
	return !slices.Contains([]Where{InPatient, Trash, Clinical, Sewer, Returned, Handed, Lost}, w)
}

// Item is a container, a parcel or a patient at the instant of an inventory.
type Item struct {
	ID    string
	Where Where
	// Line is that of the licence, empty where none fits.
	Line        string
	Activity, U quantity.Activity
	// Known says by what the activity is known: a reading, or a label and volumes.
	Known string
}

// Line is a line of the licence with what it holds.
type Line struct {
	fact.LicenceLine
	Held, U quantity.Activity
	// Over tells that Held is more than the line allows.
	Over bool
}

// Inventory is what is where at an instant.
type Inventory struct {
	At    time.Time
	Items []Item
	// Bins are the waste bins, each with what is in it as of its closing, or as of At while it
	// is open: decades later nothing else says any more what was in it.
	Bins []Item
	// Lines are those of the licence in force; one without an id is what fits none.
	Lines []Line
	// Received is what came in up to At, decayed to it.
	Received quantity.Activity
}

// Books are what an inventory is made from.
type Books struct {
	// Cases are all groups of the site, folded.
	Cases []dispensing.Case
	// Entries are those of the site's own books, as their last corrections have them.
	Entries []fold.Entry
	// HalfLife is for parcels, whose vials are in no case yet.
	HalfLife quantity.Span
	// LabelTolerance bounds what a label may be off: a rectangle, u = activity·tolerance/√3
	// (JCGM 100:2008, 4.3.7), taken to be the same error for all labels.
	LabelTolerance quantity.Fraction
}

// sum is an amount of activity over sets, with its parts of uncertainty: own to each set, the
// factors that they have in common, and the half-life, which takes one up and another down.
type sum struct{ value, own2, common, longer quantity.Activity }

func (s *sum) add(value, u, common, longer quantity.Activity) {
	s.value += value
	s.own2 += max(0, u*u-common*common-longer*longer)
	s.common += common
	s.longer += longer
}

func (s sum) u() quantity.Activity {
	return quantity.Activity(math.Sqrt(float64(s.own2 + s.common*s.common + s.longer*s.longer)))
}

// Place is where an item is, with its line where the licence has several.
func (v Inventory) Place(i Item) string {
	if len(v.Lines) > 1 && i.Line != "" {
		return string(i.Where) + " (" + i.Line + ")"
	}
	return string(i.Where)
}

// Whole are the items, each as one where what is in it is of several lines of the licence.
func (v Inventory) Whole() (all []Item) {
	for _, i := range v.Items {
		i.Line = ""
		put(&all, i)
	}
	return all
}

// Total is what is held, given to patients, and gone, each with what is known of it.
func (v Inventory) Total(is func(Where) bool) (total quantity.Activity) {
	for _, i := range v.Items {
		if is(i.Where) {
			total += i.Activity
		}
	}
	return total
}

// Difference is what came in less what is held, given and gone: nothing but rounding.
func (v Inventory) Difference() quantity.Activity {
	return v.Received - v.Total(func(w Where) bool { return w != Expected && w != InSource })
}

// taker puts an inventory together.
type taker struct {
	Books
	out Inventory
	// lines are the sums by line of the licence.
	lines map[string]*sum
	// away is how a container left, released the first release of a bin.
	away     map[string]*fact.LeftSite
	released map[string]*fact.ReleaseBin
	// closed is when a bin was closed last.
	closed map[string]time.Time
	// in is how many vials of a parcel were received.
	in map[string]int
}

// Take makes the inventory of an instant.
func Take(b Books, at time.Time) Inventory { return Fit(b, at).At(at) }

// At makes the inventory of an instant. A case whose readings cannot be fitted is taken by its
// labels and volumes.
func (f Fitted) At(at time.Time) Inventory {
	t := taker{
		Books: f.Books, out: Inventory{At: at}, lines: map[string]*sum{}, in: map[string]int{},
		away: map[string]*fact.LeftSite{}, released: map[string]*fact.ReleaseBin{}, closed: map[string]time.Time{},
	}
	for _, e := range f.Entries {
		switch x := e.Fact.(type) {
		case *fact.LeftSite:
			if !x.At.After(at) {
				t.away[x.Of] = x
			}
		case *fact.ReleaseBin:
			if was := t.released[x.Bin]; !x.At.After(at) && (was == nil || x.At.Before(was.At)) {
				t.released[x.Bin] = x
			}
		case *fact.CloseBin:
			if !x.At.After(at) && x.At.After(t.closed[x.Bin]) {
				t.closed[x.Bin] = x.At
			}
		}
	}
	for _, c := range f.cases {
		t.take(c)
	}
	t.parcels()
	t.sources()
	t.total()
	slices.SortStableFunc(t.out.Items, func(a, b Item) int { return cmp.Or(strings.Compare(a.ID, b.ID), strings.Compare(a.Line, b.Line)) })
	return t.out
}

// nothing is what the rounding of an emptied container may come to, in Bq.
const nothing = 1e-3

// take adds the containers of one case.
func (t *taker) take(c fitted) {
	at, read, label := t.out.At, c.read, c.label
	share := t.shares(c.Case)
	held := map[*ledger.Balances]map[string]ledger.Amount{read: {}, label: {}}
	for _, k := range c.Book.Containers() {
		bal, instead := read, ""
		if c.withheld[k.ID] {
			bal, instead = label, "label and volumes, since its readings contradict one another"
		}
		came := bal.Came(k.ID)
		if came.IsZero() || came.After(at) {
			continue
		}
		for line, amount := range share(bal, k.ID) {
			y, u := bal.Activity(amount, at)
			i := Item{ID: k.ID, Where: t.where(k), Activity: y, U: u, Known: cmp.Or(instead, ledger.KnownBy(bal.Estimates(amount))), Line: line}
			if math.Abs(float64(y)) > nothing {
				put(&t.out.Items, i)
			}
			if i.Where.Held() {
				held[bal][line] = held[bal][line].Plus(amount)
			}
			if k.Kind == ledger.WasteItem {
				i.Line = "" // a bin is one, of whatever lines its contents are
				if closed, ok := t.closed[k.ID]; ok {
					i.Activity, i.U = bal.Activity(amount, closed)
				}
				put(&t.out.Bins, i)
			}
		}
	}
	for bal, lines := range held {
		for line, amount := range lines {
			y, u := bal.Activity(amount, at)
			t.line(line).add(y, u, bal.Common(amount, at), bal.ByHalfLife(amount, at))
		}
	}
	t.receipts(c)
}

// receipts adds what came in with the vials of a case.
func (t *taker) receipts(c fitted) {
	for _, v := range c.Vials {
		bal := c.read
		if c.withheld[v.ID] {
			bal = c.label
		}
		if came := bal.Came(v.ID); came.IsZero() || came.After(t.out.At) {
			continue
		}
		if v.Parcel != "" {
			t.in[v.Parcel]++
		}
		amount, _, _ := bal.Moved(v.Entry)
		y, _ := bal.Activity(amount, t.out.At)
		t.out.Received += y
	}
}

func (t *taker) line(id string) *sum {
	if t.lines[id] == nil {
		t.lines[id] = &sum{}
	}
	return t.lines[id]
}

// put adds an item; what several cases put into one bin on one line is one item.
func put(all *[]Item, i Item) {
	for k := range *all {
		was := &(*all)[k]
		if was.ID == i.ID && was.Where == i.Where && was.Line == i.Line {
			was.Activity += i.Activity
			was.U += i.U // two sets on one meter
			if was.Known != i.Known {
				was.Known = "several"
			}
			return
		}
	}
	*all = append(*all, i)
}

var places = map[ledger.Kind]Where{
	ledger.ShippingVial: InVial, ledger.Syringe: InSyringe, ledger.AdministrationVial: InDose,
	ledger.ResidualParts: InParts, ledger.WasteItem: InBin, ledger.Territory: InPatient,
}

var leavings = map[fact.Leaving]Where{fact.LeftReturned: Returned, fact.LeftHanded: Handed, fact.LeftLost: Lost}

var routes = map[fact.Route]Where{fact.Trash: Trash, fact.Clinical: Clinical, fact.Sewer: Sewer, fact.SentBack: Returned, fact.Handed: Handed}

func (t *taker) where(k ledger.Container) Where {
	if x := t.away[k.ID]; x != nil {
		return leavings[x.How]
	}
	if x := t.released[k.ID]; x != nil && k.Kind == ledger.WasteItem {
		return routes[x.Route]
	}
	return places[k.Kind]
}

// parcels adds what arrived and is not received yet, and what was ordered.
func (t *taker) parcels() {
	at := t.out.At
	for _, e := range t.Entries {
		if x, ok := e.Fact.(*fact.Parcel); ok {
			if left := x.Vials - t.in[x.Parcel]; !x.At.After(at) && left > 0 {
				y := t.labelled(left, x.Labelled.Value, x.Reference)
				t.out.Received += y
				t.packed(Item{ID: x.Parcel, Where: InParcel, Line: t.sure(t.lineOf(x.Parcel), Nuclide), Activity: y, Known: "its label"})
			}
		}
	}
	for _, x := range Outstanding(t.Entries) {
		if !x.Due.After(at) {
			t.packed(Item{ID: x.Parcel, Where: Expected, Line: t.sure(x.Line, Nuclide), Activity: t.labelled(x.Vials, x.Labelled.Value, x.Reference), Known: "what was ordered"})
		}
	}
}

// Outstanding are the parcels that were ordered and have not arrived, each as it was ordered last.
func Outstanding(entries []fold.Entry) (out []*fact.ExpectParcel) {
	settled := map[string]bool{} // arrived, or ordered again later
	for _, e := range entries {
		if x, ok := e.Fact.(*fact.Parcel); ok {
			settled[x.Parcel] = true
		}
	}
	for _, e := range slices.Backward(entries) {
		if x, ok := e.Fact.(*fact.ExpectParcel); ok && !settled[x.Parcel] {
			settled[x.Parcel] = true
			out = append(out, x)
		}
	}
	slices.Reverse(out)
	return out
}

func (t *taker) labelled(vials int, each quantity.Activity, reference time.Time) quantity.Activity {
	return quantity.Activity(float64(vials) * float64(each) * nuclide.Factor(t.HalfLife, nuclide.Elapsed(reference, t.out.At)))
}

func (t *taker) packed(i Item) {
	i.U = quantity.Activity(float64(i.Activity) * float64(t.LabelTolerance) / math.Sqrt(3))
	if float64(i.Activity) > nothing {
		put(&t.out.Items, i)
	}
	t.line(i.Line).add(i.Activity, i.U, i.U, 0)
}

// Nuclide is the one of the books.
const Nuclide = "Y-90"

// lineOf is the line of the licence that a parcel was entered for when it arrived, else when
// it was ordered; empty for none.
func (t *taker) lineOf(parcel string) (line string) {
	for _, e := range t.Entries {
		switch x := e.Fact.(type) {
		case *fact.Parcel:
			if parcel != "" && x.Parcel == parcel && x.Line != "" {
				return x.Line
			}
		case *fact.ExpectParcel:
			if parcel != "" && x.Parcel == parcel {
				line = cmp.Or(x.Line, line)
			}
		}
	}
	return line
}

// sources adds the check sources that are in use, each as it was entered last. They are
// of no delivery of the books, and not in what came in.
func (t *taker) sources() {
	last := map[string]*fact.CheckSource{}
	var ids []string
	for _, e := range t.Entries {
		if x, ok := e.Fact.(*fact.CheckSource); ok && !x.At.After(t.out.At) {
			if last[x.ID] == nil {
				ids = append(ids, x.ID)
			}
			last[x.ID] = x
		}
	}
	for _, id := range ids {
		x := last[id]
		h, err := fold.HalfLifeOf(x)
		if x.State == fact.Withdrawn || err != nil {
			continue
		}
		elapsed := nuclide.Elapsed(x.Reference, t.out.At)
		y := x.Activity.Value * quantity.Activity(nuclide.Factor(h.Value, elapsed))
		u := y * quantity.Activity(math.Hypot(float64(x.U.Value), float64(h.RelativeU(elapsed))))
		i := Item{ID: id, Where: InSource, Line: t.sure("", x.Nuclide), Activity: y, U: u, Known: "its certificate"}
		put(&t.out.Items, i)
		t.line(i.Line).add(y, i.U, 0, 0)
	}
}

// sure is a line that is in force: the one that is named, or where none is the first for
// the nuclide; empty for none.
func (t *taker) sure(named, of string) string {
	for _, l := range t.inForce() {
		if l.ID == named || named == "" && l.Nuclide == of {
			return l.ID
		}
	}
	return ""
}

// inForce are the lines of the licence at the instant, each as it was set last.
func (t *taker) inForce() (out []fact.LicenceLine) {
	for _, e := range t.Entries {
		x, ok := e.Fact.(*fact.LicenceLine)
		if !ok || x.From.After(t.out.At) {
			continue
		}
		i := slices.IndexFunc(out, func(l fact.LicenceLine) bool { return l.ID == x.ID })
		switch {
		case i < 0:
			out = append(out, *x)
		case !x.From.Before(out[i].From):
			out[i] = *x
		}
	}
	return out
}

// total fills in the lines.
func (t *taker) total() {
	for _, l := range t.inForce() {
		s := t.line(l.ID)
		over := !l.Most.IsZero() && quantity.Beyond(s.value, l.Most.Value)
		t.out.Lines = append(t.out.Lines, Line{l, s.value, s.u(), over})
	}
	if s := t.lines[""]; s != nil && s.value > 0 {
		t.out.Lines = append(t.out.Lines, Line{Held: s.value, U: s.u()})
	}
}
