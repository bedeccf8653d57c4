package fold

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"vialwright/casefile"
	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/journal"
	"vialwright/ledger"
	"vialwright/quantity"
)

// step is a fact in force at its place in time.
type step struct {
	// entry is its number among the entries, which it keeps for ever; written
	// is that of the correction that put it in, else the same.
	entry, written int
	// place is where it stands in the list, recorded when it was entered, zero
	// where that is not known: together they say which settings it rests on.
	place    int
	recorded time.Time
	fact     fact.Fact
	// names are the orders and containers that it speaks of.
	names []string
	// at is its time, zero where it has none.
	at time.Time
	// implied marks the giving of a dose that only a residual tells of.
	implied bool
}

// refuse is a refusal of a field of the step.
func (s *step) refuse(field, code, hint, msg string, args ...any) *fact.Refusal {
	path := "entries[" + strconv.Itoa(s.written) + "]."
	if s.written != s.entry {
		path += "correct.with."
	}
	path += fact.Word(s.fact)
	if field != "" {
		path += "." + field
	}
	return &fact.Refusal{Code: code, Entry: s.written, Path: path, Msg: fmt.Sprintf(msg, args...), Hint: hint}
}

// timeField is the field with the time of the step; other where that is the time of a reading.
func (s *step) timeField(other string) string {
	for _, name := range []string{"at", "start"} {
		if fact.FieldOf(fact.Word(s.fact), name).Path != "" {
			return name
		}
	}
	return other
}

// folder is a fold under way.
type folder struct {
	out dispensing.Case
	// meters are the periods of each meter, in the order in which they begin.
	meters map[string][]*meter
	// policies are what the site had decided, in the order of the list.
	policies []decided
	// experience is what the finished preparations had shown, in the order of the list.
	experience []placedExperience
	// signatures are those of orders, in the order of the list.
	signatures []*step
	// base is how many of what is assumed is not of a policy.
	base int
	// sets tells which containers activity has moved between.
	sets   Sets
	orders map[string]*order
	// listed are the orders in the order of the list.
	listed []*order
	// born is the step that first brings a container into the books.
	born map[string]*step
	// done is what was said so far by facts that move no activity.
	done done
	// corrections are the numbers of the entries that are corrections.
	corrections []int
	// practice is true for a practice laboratory.
	practice bool
	// first is the earliest moment at which anything happened.
	first time.Time
}

// clock is a time as on the wall of the site.
func (f *folder) clock(t time.Time) string { return quantity.ShowTime(t.In(f.out.Zone)) }

// Facts is FoldRecords of the facts of a case file.
func Facts(facts []fact.Fact, zones fact.Zones) (dispensing.Case, error) {
	return Records(journal.Records(facts), zones)
}

// File is Fold of the facts of a file. Its refusals are *FileErrors with the
// line and the column of the field. Ids that are [Alike] are refused too.
func File(f *casefile.File) (dispensing.Case, error) {
	c, err := Facts(f.Facts, f.Zones)
	if r, refused := err.(*fact.Refusal); refused {
		return c, f.Refused(r)
	}
	if r := Alike(f.Facts); r != nil {
		return c, f.Refused(r)
	}
	return c, err
}

// Alike refuses an id that facts bring in and that differs in letter case alone from another
// of them: P1 and p1 are taken for each other. Records that have such ids fold all the same.
func Alike(facts []fact.Fact) *fact.Refusal {
	steps, err := inForce(journal.Numbered(journal.Records(facts)))
	first := map[string]string{}
	for i := range steps {
		o, ok := fact.Opens(steps[i].fact)
		small := strings.ToLower(o.ID)
		if other := first[small]; ok && other != "" && other != o.ID {
			return steps[i].refuse(o.Field, "duplicate-id", "give it another id", "%s and %s differ in letter case alone, and would be taken for each other", other, o.ID)
		}
		first[small] = o.ID
	}
	return err
}

// Records reckons the state of a case from its records, in rising number: it
// applies the corrections, puts the entries in the order of their times and
// takes them into the books one by one. It refuses with a *Refusal, in this order: the
// header facts; the corrections; the orders and what is said of their giving;
// times far from all others; then the first entry in time that cannot have
// happened. The package comment lists the rules. The same facts always fold to
// the same case. zones must not be nil.
func Records(records []journal.Record, zones fact.Zones) (dispensing.Case, error) {
	return Beside(records, nil, zones)
}

// Beside is Records where the site has orders of the same patients elsewhere, which are given with what
// cancelled or corrected them: nothing of those is reckoned but what is held of a patient together.
func Beside(records, elsewhere []journal.Record, zones fact.Zones) (dispensing.Case, error) {
	records = journal.Numbered(records)
	f, err := folded(records, zones)
	if err == nil {
		err = f.elsewhere(elsewhere)
	} else {
		err = blamed(records, zones, err)
	}
	if err != nil {
		return dispensing.Case{}, err
	}
	return f.out, nil
}

func folded(records []journal.Record, zones fact.Zones) (*folder, *fact.Refusal) {
	f := &folder{
		out:    dispensing.Case{Serves: map[string]string{}, Left: map[string]time.Time{}, Names: map[int][]string{}},
		meters: map[string][]*meter{}, orders: map[string]*order{}, born: map[string]*step{},
	}
	return f, f.run(records, zones)
}

// blamed refuses the correction that makes an entry above it impossible, where there is one,
// instead of that entry, which was right when it was entered.
func blamed(records []journal.Record, zones fact.Zones, r *fact.Refusal) *fact.Refusal {
	for i, x := range records {
		c, ok := x.Fact.(*fact.Correct)
		if !ok || x.N <= r.Entry {
			continue
		}
		if _, err := folded(records[:i], zones); err != nil {
			return r
		}
		if _, bad := folded(records[:i+1], zones); bad != nil {
			if bad.Entry == x.N {
				return bad // what it puts in is wrong itself
			}
			s := step{entry: x.N, written: x.N, fact: c}
			return s.refuse("entry", bad.Code, fmt.Sprintf("correct or strike out entry %d first", bad.Entry),
				"without entry %d as it was, entry %d cannot have happened: %s", c.Entry, bad.Entry, bad.Msg)
		}
	}
	return r
}

func (f *folder) run(records []journal.Record, zones fact.Zones) *fact.Refusal {
	if err := f.settings(records, zones); err != nil {
		return err
	}
	steps, err := inForce(records)
	if err != nil {
		return err
	}
	f.sets = setsOf(steps)
	for _, r := range records {
		if _, ok := r.Fact.(*fact.Correct); ok {
			f.corrections = append(f.corrections, r.N)
		}
	}
	f.look(steps)
	if err := f.gather(steps); err != nil {
		return err
	}
	zero := epoch(steps)
	for i := range steps {
		if err := steps[i].near(zero); err != nil {
			return err
		}
	}
	f.out.Book = ledger.New(zero, f.out.HalfLife)
	for _, s := range f.inTime(steps) {
		if err := f.enter(s); err != nil {
			return err
		}
	}
	f.residuals()
	for i, o := range f.listed {
		f.out.Orders[i].Cancelled = o.Cancelled
	}
	for _, d := range f.policies {
		f.out.Policies = append(f.out.Policies, dispensing.Dated{From: d.from, Policy: d.Policy, Settling: d.settling, Assumed: d.assumed})
	}
	f.out = f.out.AsOf(f.out.Last)
	f.meterUs()
	return nil
}
