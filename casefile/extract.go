package casefile

import (
	"cmp"
	"slices"
	"time"

	"vialwright/fact"
	"vialwright/journal"
)

// Extract gives records of a site, such as those of one group, as the facts of a
// case file that stands alone and folds to the same case: what held when the
// first of them was recorded stands at the top, a setting that began to hold
// later before the first entry that rests on it, and entries are named by the
// numbers they have in the file.
func Extract(records []journal.Record) []fact.Fact {
	records = journal.Numbered(records)
	work := slices.IndexFunc(records, func(r journal.Record) bool { return !fact.IsSetting(r.Fact) })
	if work < 0 {
		work = len(records)
	}
	var top, rest []journal.Record
	for i, r := range records {
		if _, meter := r.Fact.(*fact.Meter); i < work && !meter && fact.IsHeader(r.Fact) {
			top = append(top, r)
		} else {
			rest = append(rest, r)
		}
	}
	var begin journal.Record
	if work < len(records) {
		begin = records[work]
	}
	rest, policy := policies(rest, begin)
	if policy != nil {
		top = append(slices.DeleteFunc(top, func(r journal.Record) bool { _, ok := r.Fact.(*fact.Policy); return ok }), journal.Record{Fact: policy})
	}
	rest, meters := calibrations(rest)
	rest = marksOf(rest)
	for _, m := range meters {
		top = append(top, journal.Record{Fact: m})
	}
	out := make([]fact.Fact, 0, len(records))
	for _, r := range top {
		out = append(out, r.Fact)
	}
	number := map[int]int{}
	for i, r := range rest {
		number[r.N] = i + 1
	}
	for _, r := range rest {
		out = append(out, renamed(r.Fact, number))
	}
	return out
}

// marksOf leaves out marks, such as those of a sheet of paper, of whose entries none is there.
func marksOf(records []journal.Record) []journal.Record {
	there := map[int]bool{}
	for _, r := range records {
		there[r.N] = true
	}
	return slices.DeleteFunc(records, func(r journal.Record) bool {
		first, last, mark := fact.Marked(r.Fact)
		for n := first; mark && n <= last; n++ {
			mark = !there[n]
		}
		return mark
	})
}

// policies takes the policy that held for the first entry out of records, without
// the time from which it did, and puts each later one before the first entry that
// was recorded when it held.
func policies(records []journal.Record, first journal.Record) (rest []journal.Record, held *fact.Policy) {
	var later []journal.Record
	for _, r := range records {
		p, ok := r.Fact.(*fact.Policy)
		switch {
		case !ok:
			rest = append(rest, r)
		case r.N < first.N && !p.From.After(first.Recorded) && len(later) == 0:
			x := *p
			x.From, x.Reason = time.Time{}, ""
			held = &x
		default:
			later = append(later, r)
		}
	}
	for _, r := range later {
		from := r.Fact.(*fact.Policy).From
		at := slices.IndexFunc(rest, func(x journal.Record) bool { return x.N > r.N && !x.Recorded.Before(from) })
		if at < 0 {
			at = len(rest)
		}
		rest = slices.Insert(rest, at, r)
	}
	return rest, held
}

// calibrations takes out the calibration of each meter that held at its first
// reading, without the time from which it did, and those before it.
func calibrations(records []journal.Record) (rest []journal.Record, held []*fact.Meter) {
	first := map[string]time.Time{}
	for _, r := range records {
		id, at := fact.MeterOf(r.Fact)
		if old, known := first[id]; id != "" && (!known || at.Before(old)) {
			first[id] = at
		}
	}
	last := map[string]*fact.Meter{}
	var ids []string
	for _, r := range records {
		m, ok := r.Fact.(*fact.Meter)
		if !ok {
			continue
		}
		if last[m.ID] == nil {
			ids = append(ids, m.ID)
		}
		if at, used := first[m.ID]; last[m.ID] == nil || !used || !m.From.After(at) {
			last[m.ID] = m
		}
	}
	for _, r := range records {
		if m, ok := r.Fact.(*fact.Meter); !ok || m.From.After(last[m.ID].From) {
			rest = append(rest, r)
		}
	}
	for _, id := range ids {
		m := *last[id]
		m.From, m.Reason = time.Time{}, ""
		held = append(held, &m)
	}
	return rest, held
}

// renamed names other entries by the numbers they have now. The range of a mark is that of
// those that are there.
func renamed(f fact.Fact, number map[int]int) fact.Fact {
	switch x := f.(type) {
	case *fact.Correct:
		c := *x
		c.Entry, c.With = number[x.Entry], renamed(x.With, number)
		return &c
	case *fact.SecondCheck:
		v := *x
		v.Shared = number[x.Shared]
		return &v
	}
	from, to, _ := fact.Marked(f)
	first, last := 0, 0
	for n := from; n <= to; n++ {
		if at := number[n]; at > 0 {
			first, last = cmp.Or(first, at), at
		}
	}
	return fact.Remarked(f, first, last)
}

// Place gives the facts of a case file as they are recorded in the journal of a
// site, behind record number head: in an empty journal its settings hold from a
// moment on, the zero time for the beginning; the policies stay between the
// entries as they are, the meters stand before them, and what names an entry by
// its number names it by the one it will have. The site itself is left out but at
// the beginning. Settings for which left holds, asked in their order, are left out.
func Place(facts []fact.Fact, head int, from time.Time, left func(fact.Fact) bool) []fact.Fact {
	var top, rest []journal.Record // with the numbers of the file, 0 for what has none
	n := 0
	for _, f := range facts {
		r := journal.Record{Fact: f}
		if !fact.IsHeader(f) {
			n++
			r.N = n
		}
		switch x := f.(type) {
		case *fact.Site:
			if head == 0 {
				top = append(top, r)
			}
			continue
		case *fact.Policy:
			p := *x
			if p.From.IsZero() {
				p.From = from
			}
			r.Fact = &p
		case *fact.Meter:
			m := *x
			if m.From.IsZero() && head == 0 {
				m.From = from
			}
			r.Fact = &m
		}
		_, meter := r.Fact.(*fact.Meter)
		switch {
		case fact.IsSetting(f) && left != nil && left(r.Fact):
		case meter || r.N == 0:
			top = append(top, r)
		default:
			rest = append(rest, r)
		}
	}
	all := append(top, rest...)
	number := map[int]int{}
	for i, r := range all {
		if r.N > 0 { // an entry that names none goes on naming none
			number[r.N] = head + i + 1
		}
	}
	out := make([]fact.Fact, len(all))
	for i, r := range all {
		out[i] = renamed(r.Fact, number)
	}
	return out
}
