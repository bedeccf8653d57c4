package state

import (
	"maps"
	"slices"
	"strings"
	"time"

	"vialwright/fact"
	"vialwright/journal"
	"vialwright/pack"
	"vialwright/people"
)

// HasStock tells that a group holds a container, and not orders alone: what an
// order that nothing was drawn for can be drawn from.
func (b *Books) HasStock(g Group) bool {
	for k := range b.standing(g.place).names {
		if b.names.At(k).order == 0 {
			return true
		}
	}
	return false
}

// Books are the records of one site sorted into groups. The zero value is not
// ready; see [New]. It may not be used by several goroutines at once.
type Books struct {
	// length is how many records there are, records by their numbers those of them that
	// are in memory.
	length  int
	records map[int]*held
	// read gives the others, recent are the groups that may have to be put away, in the
	// order in which they were touched, owners are the places of their groups, and
	// changed is what corrections made of them.
	read    Reader
	recent  []touch
	owners  pack.Column[int32]
	changed map[int]fact.Fact
	// settings are the numbers of what was decided; days those of
	// the other records of no group, by the day on which they were recorded, and
	// beside those of remarks that no group rests on.
	settings     []int
	days, beside map[int64][]int
	// texts are the ids of orders and containers, names what is known of each.
	texts pack.Texts
	names pack.Column[name]
	// rows are the groups by their places, members the numbers of their records.
	rows    pack.Column[row]
	members pack.Column[member]
	// patients are by digests of their identifiers the records of orders that name them.
	patients pack.Index
	// alone are the numbers of the corrections of each record of no group.
	alone map[int][]int
	// ofSite counts the records of no group, but for remarks, and what corrects one of those;
	// and those that others are held together with.
	ofSite int
	// bins are the waste items: the groups that something came from into each,
	// and the numbers of the records of the item itself.
	bins map[string]*bin
	// kept are by the word of their kind the numbers of what is never put away, but for
	// marks of entries of groups; of corrections by that of what they correct too.
	kept map[string][]int
	// surveyed is when a place was surveyed last.
	surveyed map[string]time.Time
	// experience are the numbers of the entries of site experience: one for each vial, so that only
	// those go into a file on which something in it can rest.
	experience []int
	// people are the accounts.
	people people.Directory
	// orders is how many orders the site has had.
	orders int
	// free is by its letter the lowest number of an id that nothing has. Ids are
	// used for ever, so that it only grows.
	free map[string]int
}

type bin struct {
	last    time.Time // when something was put into it last
	from    []int32   // a container of each, by the place of its name
	numbers []int
}

// New gives empty books.
func New() *Books {
	return &Books{
		records: map[int]*held{}, kept: map[string][]int{}, changed: map[int]fact.Fact{},
		days: map[int64][]int{}, beside: map[int64][]int{}, alone: map[int][]int{}, bins: map[string]*bin{}, free: map[string]int{}, surveyed: map[string]time.Time{},
	}
}

// Len is how many records there are.
func (b *Books) Len() int { return b.length }

// Record gives a record by its number.
func (b *Books) Record(n int) (journal.Record, bool) {
	if !b.in(n) {
		return journal.Record{}, false
	}
	return b.get([]int{n})[0].Record, true
}

// Groups gives the group of an order or a container; of a waste item those that
// something came from into it.
func (b *Books) Groups(id string) []Group {
	if g, ok := b.groupIfAny(id); ok {
		return []Group{g}
	}
	var out []Group
	if bin := b.bins[id]; bin != nil {
		for _, from := range bin.from {
			out = append(out, b.standing(b.names.At(int(from)).group-1))
		}
	}
	return compact(out)
}

// IsBin tells whether an id is that of a waste item.
func (b *Books) IsBin(id string) bool { return b.bins[id] != nil }

// Bins are the ids of the waste items, sorted.
func (b *Books) Bins() []string { return slices.Sorted(maps.Keys(b.bins)) }

// All are all groups, in the order in which they began.
func (b *Books) All() []Group {
	var out []Group
	for i := range b.rows.Len() {
		if g := (Group{b, int32(i)}); !g.Joined() {
			out = append(out, g)
		}
	}
	return out
}

// Add takes the next record of the journal and gives the groups it touched;
// none for one of the site. A correction that cannot be applied, which the fold
// refuses, touches what it names.
func (b *Books) Add(r journal.Record) []Group {
	r.N = int(pack.Int32(b.length + 1)) // groups and names hold numbers in 32 bits
	groups := b.add(r)
	if len(groups) > 0 && OfPatient(r.Fact) || len(groups) == 0 && !b.told(r.N) && !fact.Is(r.Fact, fact.SiteBook) {
		b.ofSite++
	}
	if _, _, mark := fact.Marked(r.Fact); len(groups) == 0 || stays(r.Fact) && !mark { // nobody looks through marks
		b.keep(r)
	}
	return groups
}

func (b *Books) add(r journal.Record) []Group {
	b.length, b.records[r.N] = r.N, &held{r, r.Fact}
	if o, ok := fact.Opens(r.Fact); ok && b.Used(o.ID) == 0 {
		b.use(o.ID, r.N)
	}
	switch {
	case fact.Is(r.Fact, fact.Setting):
		b.settings = append(b.settings, r.N)
		return nil
	case fact.Is(r.Fact, fact.Practice|fact.Account):
		if c, ok := ChangeOf(r); ok {
			_ = b.people.Take(c) // what the rules did not allow, the directory keeps apart
		}
		return nil
	case fact.Is(r.Fact, fact.SiteBook):
		return nil
	}
	b.place(r.Fact, r.N)
	if v, ok := r.Fact.(*fact.Survey); ok && v.At.After(b.surveyed[v.Place]) {
		b.surveyed[v.Place] = v.At
	}
	switch x := r.Fact.(type) {
	case *fact.Destroyed:
		return nil
	case *fact.Experience:
		b.experience = append(b.experience, r.N)
		return nil
	case *fact.Correct:
		return b.correct(r.N, x)
	case *fact.Paper, *fact.Supervised:
		return b.put(r.N, b.home(r.N))
	}
	ids := fact.Names(r.Fact)
	all := b.groupsOf(r.Fact, ids)
	if len(all) > 1 {
		all = []Group{b.join(all)}
	}
	return b.putWith(r.N, all, ids)
}

// People are the accounts of the site. They are not the caller's to change.
func (b *Books) People() *people.Directory { return &b.people }

// groupsOf are the groups that a fact names, new ones where there are none. What
// is thrown away names the group it comes from, and the waste item keeps that.
func (b *Books) groupsOf(f fact.Fact, ids []string) []Group {
	if d, ok := f.(*fact.Discard); ok {
		into, from := b.bin(d.Into), b.groupOf(d.From)
		into.from = append(into.from, int32(b.name(d.From)))
		if d.At.After(into.last) {
			into.last = d.At
		}
		return []Group{from}
	}
	var all []Group
	for _, id := range ids {
		if b.bins[id] == nil {
			all = append(all, b.groupOf(id))
		}
	}
	return compact(all)
}

// put puts a record to groups; one of none is of its waste items, or of the
// site and its day.
func (b *Books) put(n int, groups []Group) []Group {
	return b.putWith(n, groups, fact.Names(b.force(n)))
}

// putWith is put where it is known which ids the record names.
func (b *Books) putWith(n int, groups []Group, ids []string) []Group {
	for _, g := range groups {
		g.add(n)
		g.row().touched = b.records[n].Recorded.UnixMilli()
		if b.read != nil {
			b.recent = append(b.recent, touch{n, g})
		}
	}
	binned := false
	for _, id := range ids {
		if bin := b.bins[id]; bin != nil {
			bin.numbers, binned = append(bin.numbers, n), true
		}
	}
	if len(groups) == 0 && !binned {
		b.putToDay(n)
	}
	return groups
}

func (b *Books) bin(id string) *bin {
	if b.bins[id] == nil {
		b.bins[strings.Clone(id)] = &bin{}
	}
	return b.bins[id]
}

// groupOf is the group of an id, a new one where there is none.
func (b *Books) groupOf(id string) Group {
	if g, ok := b.groupIfAny(id); ok {
		return g
	}
	b.rows.Append(row{})
	g := Group{b, int32(b.rows.Len() - 1)}
	g.name(b.name(id))
	return g
}

// groupIfAny is the group of an id; false for none.
func (b *Books) groupIfAny(id string) (Group, bool) {
	place := b.named(id).group
	if place == 0 {
		return Group{}, false
	}
	return b.standing(place - 1), true
}

// standing is the group that one has become part of by its place, or that itself.
func (b *Books) standing(place int32) Group {
	g := Group{b, place}
	for g.Joined() {
		g.place = g.row().into - 1
	}
	return g
}

// join makes one group of several.
func (b *Books) join(all []Group) Group {
	into := slices.MaxFunc(all, func(x, y Group) int { return int(x.row().count - y.row().count) })
	for _, g := range all {
		if g != into {
			into.take(g)
		}
	}
	return into
}

// of are the groups that a fact names.
func (b *Books) of(f fact.Fact) []Group {
	var out []Group
	for _, id := range fact.Names(f) {
		if g, ok := b.groupIfAny(id); ok {
			out = append(out, g)
		}
	}
	return compact(out)
}

func compact(all []Group) []Group {
	var out []Group
	for _, g := range all {
		if !slices.Contains(out, g) {
			out = append(out, g)
		}
	}
	return out
}

// correct applies a correction. It touches the groups of what held before and
// of what holds now, and makes one of them: a group may be larger than what
// activity joins, never smaller, and the fold finds the sets in it.
func (b *Books) correct(n int, c *fact.Correct) []Group {
	if c.Entry < 1 || c.Entry >= n {
		return b.put(n, nil)
	}
	all := b.home(c.Entry)
	ofSite := len(all) == 0
	if ofSite {
		b.alone[c.Entry] = append(b.alone[c.Entry], n)
	}
	if was := b.force(c.Entry); was != nil && fact.Is(was, fact.SiteBook) {
		if c.With != nil {
			b.correctTo(c.Entry, c.With)
		}
		return nil
	}
	if _, known := slices.BinarySearch(b.experience, c.Entry); known {
		b.settings = append(b.settings, c.Entry) // no file is without what a correction in it names
	}
	if c.With != nil {
		b.correctTo(c.Entry, c.With)
		b.place(c.With, n)
		all = append(all, b.groupsOf(c.With, fact.Names(c.With))...)
	}
	if all = compact(all); len(all) > 1 {
		all = []Group{b.join(all)}
	}
	if ofSite && len(all) > 0 { // what was of the site names an order now: its group holds what was corrected
		b.ofSite++ // the files of others had it
		if !slices.Contains(slices.Collect(all[0].numbers), int32(c.Entry)) {
			all[0].add(c.Entry)
		}
	}
	return b.put(n, all)
}

// Home are the groups that hold a record; none for one of the site.
func (b *Books) Home(n int) []Group { return b.home(n) }

func (b *Books) home(n int) []Group {
	if b.records[n] == nil {
		if f := b.changed[n]; f != nil {
			return b.of(f)
		}
		return []Group{b.owner(n)}
	}
	switch x := b.records[n].Fact.(type) {
	case *fact.Correct:
		if 1 <= x.Entry && x.Entry < n {
			return b.home(x.Entry)
		}
	case *fact.Paper, *fact.Supervised:
		var out []Group
		first, last, _ := fact.Marked(x)
		for k := max(first, 1); k <= last && k < n; k++ {
			out = append(out, b.home(k)...)
		}
		return compact(out)
	}
	return b.of(b.force(n))
}

// Records are the records of groups and of waste items, with the settings of the
// site and with what was recorded of the site on the days around their work, in
// the order of the journal.
func (b *Books) Records(groups []Group, bins ...string) []journal.Record {
	numbers := slices.Clone(b.settings)
	for _, id := range bins {
		if bin := b.bins[id]; bin != nil {
			numbers = append(numbers, bin.numbers...)
		}
	}
	own := numbersOf(groups)
	numbers = append(numbers, b.experienceFor(own)...)
	all := b.get(own)
	for _, day := range daysOf(all) {
		numbers = append(numbers, b.days[day]...)
	}
	all = append(all, b.get(rising(numbers))...)
	slices.SortFunc(all, func(x, y *held) int { return x.N - y.N })
	return plain(slices.CompactFunc(all, func(x, y *held) bool { return x.N == y.N }))
}

// experienceFor is what some records, whose numbers rise, rest on: what was learned last before the
// first of them, whatever was learned up to the last of them, and what is in
// force now.
func (b *Books) experienceFor(numbers []int) []int {
	if len(b.experience) == 0 {
		return nil
	}
	newest := b.experience[len(b.experience)-1]
	if len(numbers) == 0 {
		return []int{newest}
	}
	first, _ := slices.BinarySearch(b.experience, numbers[0])
	last, _ := slices.BinarySearch(b.experience, numbers[len(numbers)-1])
	return append(slices.Clone(b.experience[max(first-1, 0):last]), newest)
}
