package state_test

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"vialwright/casefile"
	"vialwright/fact"
	"vialwright/fold"
	"vialwright/journal"
	"vialwright/ledger"
	"vialwright/pack"
	"vialwright/people"
	"vialwright/state"
)

var monday = time.Date(2027, 3, 1, 7, 0, 0, 0, time.UTC)

// site is an invented laboratory over some weeks: vials that serve several days,
// recalibrations, orders that are cancelled, corrections, waste.
type site struct {
	tb      testing.TB
	books   *state.Books
	records []journal.Record
	now     time.Time
}

func newSite(tb testing.TB) *site {
	tb.Helper()
	s := &site{tb: tb, books: state.New(), now: monday}
	for _, line := range []string{
		"policy: {tolerance: 10 %, from: 2027-03-01T07:00}",
		"meter: {id: M1, calibration-u: 2 %, repeatability: 0.8 %, geometry: {shipping-vial: {factor: 1, u: 1 %, basis: label}, syringe: {factor: 0.95, u: 2 %, basis: label}, waste-item: {factor: 0.9, u: 10 %, basis: label}}, from: 2027-03-01T07:00}",
	} {
		s.add(s.fact(line))
	}
	return s
}

// fact reads one entry as a case file has it.
func (s *site) fact(line string) fact.Fact {
	f, err := casefile.Decode([]byte("case: 2\nzone: UTC\nhalf-life: 64.0417 h\nhalf-life-u: 1 h\nentries: [{"+line+"}]\n"), time.LoadLocation)
	if err != nil {
		s.tb.Fatalf("%s: %v", line, err)
	}
	if len(s.records) == 0 {
		s.add(f.Facts[0])
	}
	return f.Facts[1]
}

func (s *site) add(f fact.Fact) {
	r := journal.Record{Recorded: s.now, By: "NT1", Fact: f, N: len(s.records) + 1}
	s.records = append(s.records, r)
	before, grouped := s.books.OfSite(), s.books.Grouped(f)
	if s.books.Add(r); grouped && s.books.OfSite() != before {
		s.tb.Errorf("%T is said to come to a group, and is of the site", f)
	}
}

// try adds an entry unless it cannot stand beside the whole record.
func (s *site) try(format string, args ...any) bool {
	f := s.fact(fmt.Sprintf(format, args...))
	r := journal.Record{Recorded: s.now, By: "NT1", Fact: f, N: len(s.records) + 1}
	if _, err := fold.Records(append(slices.Clone(s.records), r), time.LoadLocation); err != nil {
		return false
	}
	s.add(f)
	return true
}

func (s *site) at() string { return s.now.Format("2006-01-02T15:04") }

// day plays one day of random work.
func (s *site) day(t *rapid.T, n int) {
	vials := []string{"S1", "S2", "S3"}
	any := func(of []string, what string) string { return rapid.SampledFrom(of).Draw(t, what) }
	if n < len(vials) {
		s.try("receive: {vial: %s, lot: L-%d, labelled: 3.0 GBq, reference: %s, volume: 5.0 mL, at: %s}", vials[n], n, s.now.Add(10*time.Hour).Format("2006-01-02T15:04"), s.at())
	}
	for k := range rapid.IntRange(2, 8).Draw(t, "acts") {
		s.now = s.now.Add(time.Duration(rapid.IntRange(1, 40).Draw(t, "minutes")) * time.Minute)
		id, vial := fmt.Sprintf("%d-%d", n, k), any(vials, "vial")
		earlier := fmt.Sprintf("%d-%d", rapid.IntRange(0, n).Draw(t, "of day"), rapid.IntRange(0, 7).Draw(t, "of act"))
		switch rapid.IntRange(0, 9).Draw(t, "act") {
		case 0, 1:
			s.try("order: {id: P%s, prescribed: 0.4 GBq, at: %s}", id, s.now.Add(3*time.Hour).Format("2006-01-02T15:04"))
			s.try("draw: {from: %s, into: Y%s, for: P%s, at: %s, volume: 0.7 mL}", vial, id, id, s.at())
		case 2, 3:
			s.try("read: {of: %s, meter: M1, at: %s, gross: %.3f GBq, background: 0.2 MBq}", vial, s.at(), rapid.Float64Range(0.5, 3.5).Draw(t, "gross"))
		case 4:
			s.try("draw: {from: %s, into: Y%s, for: P%s, at: %s, volume: 0.2 mL}", vial, earlier, earlier, s.at()) // a top-up, from any vial
		case 5:
			s.try("discard: {from: Y%s, into: W1, at: %s}", earlier, s.at())
		case 6:
			s.try("cancel: {for: P%s, reason: fever, at: %s}", earlier, s.at())
		case 7:
			s.try("infuse: {for: P%s, from: Y%s, start: %s, reason: complete}", earlier, earlier, s.at())
		case 8:
			entry := rapid.IntRange(4, len(s.records)).Draw(t, "entry")
			if d, ok := s.records[entry-1].Fact.(*fact.Draw); ok { // moved to another vial
				s.try("correct: {entry: %d, reason: another vial, with: {draw: {from: %s, into: %s, for: %s, at: %s, volume: 0.6 mL}}}", entry, vial, d.Into, d.For, d.At.Format("2006-01-02T15:04"))
			} else if _, ok := s.records[entry-1].Fact.(*fact.Read); ok {
				s.try("correct: {entry: %d, reason: a slip}", entry)
			}
		case 9:
			s.try("meter: {id: M1, calibration-u: 1.5 %%, repeatability: 0.6 %%, geometry: {shipping-vial: {factor: 1.01, u: 1 %%, basis: label}, syringe: {factor: 0.95, u: 2 %%, basis: label}, waste-item: {factor: 0.9, u: 10 %%, basis: label}}, from: %s, reason: again}", s.at())
		}
	}
	s.now = monday.AddDate(0, 0, n+1)
}

// balances are the activities of all containers of some records.
func balances(tb interface {
	Helper()
	Fatalf(string, ...any)
}, records []journal.Record,
) map[string][2]float64 {
	tb.Helper()
	c, err := fold.Records(records, time.LoadLocation)
	if err != nil {
		tb.Fatalf("the records of a group do not fold: %v", err)
	}
	b, err := ledger.Reconcile(c.Book)
	if err != nil {
		return nil // a random reading may contradict everything
	}
	out := map[string][2]float64{}
	at := monday.AddDate(0, 0, 10)
	for _, k := range c.Book.Containers() {
		y, u := b.Activity(b.Now(k.ID), at)
		out[k.ID] = [2]float64{float64(y), float64(u)}
	}
	return out
}

// TestGroupsReckonAlone: over weeks of random work each group, folded with
// nothing but its own records and the settings, has the figures that the whole
// record gives, and what is in all containers adds up to what was received.
func TestGroupsReckonAlone(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := newSite(t)
		for n := range rapid.IntRange(1, 12).Draw(rt, "days") {
			s.day(rt, n)
		}
		whole := balances(t, s.records)
		if whole == nil {
			return
		}
		seen, sum := map[string]bool{}, 0.0
		for _, g := range s.books.All() {
			for id, b := range balances(t, s.books.Records([]state.Group{g})) {
				if id == "W1" {
					sum += b[0] // each group's part of the bin
					continue
				}
				if seen[id] {
					rt.Fatalf("%s is in two groups", id)
				}
				seen[id], sum = true, sum+b[0]
				if w := whole[id]; !near(b[0], w[0], 1e-6) || !near(b[1], w[1], 1e-5) {
					rt.Fatalf("%s holds %v in its group and %v in the whole record", id, b, w)
				}
			}
		}
		total := 0.0
		for _, b := range whole {
			total += b[0]
		}
		if !near(sum, total, 1e-6) {
			rt.Fatalf("the groups hold %g Bq together, the whole record %g Bq", sum, total)
		}
	})
}

// near compares to a relative difference, or to 100 Bq, which is what the fit
// leaves of an empty container.
func near(a, b, relative float64) bool {
	return math.Abs(a-b) <= max(relative*max(math.Abs(a), math.Abs(b)), 100)
}

// TestWhatAnEntryTouches goes through the story of a vial that serves two days.
func TestWhatAnEntryTouches(t *testing.T) {
	s := newSite(t)
	for _, x := range []struct {
		line, touches string
		groups        int
	}{
		{"order: {id: P1, prescribed: 1.3 GBq, at: 2027-03-01T13:30}", "P1", 1},
		{"receive: {vial: S1, lot: L-1, labelled: 3.0 GBq, reference: 2027-03-01T18:00, volume: 5.0 mL, at: 2027-03-01T07:30}", "S1", 2},
		{"receive: {vial: S2, lot: L-2, labelled: 3.0 GBq, reference: 2027-03-01T18:00, volume: 5.0 mL, at: 2027-03-01T07:30}", "S2", 3},
		{"read: {of: S1, meter: M1, at: 2027-03-01T08:00, gross: 3.2 GBq, background: 0.2 MBq}", "S1", 3},
		{"draw: {from: S1, into: Y1, for: P1, at: 2027-03-01T08:10, volume: 2.2 mL}", "P1", 2},
		{"check: {what: area-clear, result: pass, at: 2027-03-01T08:11}", "", 2},
		{"discard: {from: S2, into: W1, at: 2027-03-01T09:00, volume: 1 mL}", "S2", 2},
		{"discard: {from: Y1, into: W1, at: 2027-03-01T09:10, volume: 0.1 mL}", "P1", 2},
		{"read: {of: W1, meter: M1, at: 2027-03-01T09:20, gross: 0.6 GBq, background: 0.2 MBq}", "", 2},
		{"correct: {entry: 8, reason: another vial, with: {draw: {from: S2, into: Y1, for: P1, at: 2027-03-01T08:10, volume: 2.2 mL}}}", "S2", 1},
	} {
		before := s.books.Len()
		s.add(s.fact(x.line))
		n := s.books.Len()
		touched := ""
		for _, id := range []string{"P1", "S1", "S2"} {
			if g := s.books.Groups(id); len(g) > 0 && g[0].Newest() == n {
				touched = id
			}
		}
		want := x.touches
		if want == "P1" { // the last of the group in the list above
			want = map[bool]string{true: "S1", false: "P1"}[x.groups == 2]
		}
		if touched != want || len(s.books.All()) != x.groups || n != before+1 {
			t.Errorf("%s touches %q and leaves %d groups, want %q and %d", x.line, touched, len(s.books.All()), want, x.groups)
		}
	}
	if s.books.Used("Y1") != 8 || s.books.Used("Y2") != 0 || s.books.Used("W1") != 10 {
		t.Errorf("Y1 was used in %d, W1 in %d", s.books.Used("Y1"), s.books.Used("W1"))
	}
}

// TestRemarksStandBeside: however many remarks of the site are among weeks of random
// work, each group folds to the very same case as where nobody wrote any, its file
// is no longer by them, and they are found where somebody asks for them.
func TestRemarksStandBeside(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := newSite(t)
		for n := range rapid.IntRange(1, 6).Draw(rt, "days") {
			s.day(rt, n)
		}
		plain, said := state.New(), state.New()
		beside, number := 0, map[int]int{}
		for _, r := range s.records {
			plain.Add(r)
			if c, ok := r.Fact.(*fact.Correct); ok {
				moved := *c
				moved.Entry = number[c.Entry]
				r.Fact = &moved
			}
			said.Add(r)
			number[r.N] = said.Len()
			for range rapid.IntRange(0, 2).Draw(rt, "remarks") {
				at := s.now.Add(time.Duration(rapid.IntRange(-1e6, 1e6).Draw(rt, "seconds")) * time.Second)
				f := rapid.SampledFrom([]fact.Fact{&fact.Note{Text: "x", At: at}, &fact.Deviation{Text: "x", At: at}, &fact.NearMiss{What: "x", At: at}}).Draw(rt, "remark")
				said.Add(journal.Record{Recorded: r.Recorded, By: "NT1", Fact: f})
				if rapid.Bool().Draw(rt, "struck out") {
					said.Add(journal.Record{Recorded: r.Recorded.AddDate(0, 0, 5), By: "NT1", Fact: &fact.Correct{Entry: said.Len(), Reason: "x"}})
					beside++
				}
				beside++
			}
		}
		if n := len(said.Beside(said.All())); n > beside || n == 0 && beside > 0 && len(said.All()) > 0 && said.Len() > 40 {
			rt.Fatalf("%d of %d remarks are found", n, beside)
		}
		for i, g := range plain.All() {
			want, got := plain.Records([]state.Group{g}), said.Records([]state.Group{said.All()[i]})
			if len(want) != len(got) {
				rt.Fatalf("the file of %q has %d records, and %d with remarks in the journal", g.IDs(), len(want), len(got))
			}
			for k := range want {
				if !fact.Same(want[k].Fact, got[k].Fact) && fact.Word(want[k].Fact) != "correct" { // which names its entry by the number in its journal
					rt.Fatalf("record %d of the file of %q is %v, and %v with remarks in the journal", k, g.IDs(), want[k].Fact, got[k].Fact)
				}
			}
		}
	})
}

// TestRemarksFoldToNothing: a whole record folds to the very same case with remarks
// of the site in it and without.
func TestRemarksFoldToNothing(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := newSite(t)
		for n := range rapid.IntRange(1, 4).Draw(rt, "days") {
			s.day(rt, n)
		}
		const apart = 100 // room for remarks between the numbers
		work := slices.Clone(s.records)
		for i, r := range work {
			work[i].N *= apart
			if c, ok := r.Fact.(*fact.Correct); ok {
				moved := *c
				moved.Entry *= apart
				work[i].Fact = &moved
			}
		}
		said := slices.Clone(work)
		for range rapid.IntRange(1, 20).Draw(rt, "remarks") {
			at := rapid.IntRange(1, len(said)).Draw(rt, "place")
			when := s.now.Add(time.Duration(rapid.IntRange(-1e9, 1e9).Draw(rt, "seconds")) * time.Second)
			f := rapid.SampledFrom([]fact.Fact{&fact.Note{Text: "x", At: when}, &fact.Deviation{Text: "x", At: when}, &fact.NearMiss{What: "x", At: when}}).Draw(rt, "remark")
			said = slices.Insert(said, at, journal.Record{Recorded: s.now, By: "NT1", Fact: f, N: said[at-1].N + 1})
		}
		want, err := fold.Records(work, time.LoadLocation)
		if err != nil {
			rt.Fatal(err)
		}
		got, err := fold.Records(said, time.LoadLocation)
		if err != nil {
			rt.Fatal(err)
		}
		if !reflect.DeepEqual(want, got) {
			rt.Fatalf("the case is another one with remarks:\n%+v\n%+v", got, want)
		}
	})
}

// TestCorrectionsGoWithTheirEntry: what was entered for the day of the site, and
// corrected on a later day, is in a file with its correction or not at all; and one
// that names an order now is in the file of that.
func TestCorrectionsGoWithTheirEntry(t *testing.T) {
	s := newSite(t)
	s.add(s.fact("check: {what: area-clear, result: pass, at: 2027-03-01T08:11}"))
	check := s.books.Len()
	s.add(s.fact("deviation: {text: of the site, at: 2027-03-01T08:12}"))
	deviation := s.books.Len()
	s.now = monday.AddDate(0, 0, 9)
	s.add(s.fact("order: {id: P1, prescribed: 1.3 GBq, at: 2027-03-10T13:30}"))
	s.add(&fact.Correct{Entry: check, Reason: "another day"})
	s.add(&fact.Correct{Entry: deviation, Reason: "of an order", With: &fact.Deviation{For: "P1", Text: "of P1", At: s.now}})
	records := s.books.Records(s.books.Groups("P1"))
	if _, err := fold.Records(records, time.LoadLocation); err != nil {
		t.Errorf("the group does not fold: %v", err)
	}
	if !slices.ContainsFunc(records, func(r journal.Record) bool { return r.N == deviation }) {
		t.Error("the deviation that names P1 now is not in its file")
	}
}

// TestFree: the first free id is behind all that were used, in whatever order,
// by a correction too, and a gap is used.
func TestFree(t *testing.T) {
	s := newSite(t)
	for _, x := range []struct{ line, free string }{
		{"note: {text: nothing yet}", "Y1"},
		{"draw: {from: S1, into: Y2, for: P1, at: 2027-03-04T11:10, volume: 1 mL}", "Y1"},
		{"draw: {from: S1, into: Y1, for: P1, at: 2027-03-04T11:11, volume: 1 mL}", "Y3"},
		{"draw: {from: S1, into: Y-3, for: P1, at: 2027-03-04T11:12, volume: 1 mL}", "Y3"},
		{"correct: {entry: 6, reason: a slip, with: {draw: {from: S1, into: Y3, for: P1, at: 2027-03-04T11:11, volume: 1 mL}}}", "Y4"},
		{"read: {of: Y4, meter: M1, at: 2027-03-04T11:12, gross: 9 MBq, background: 1 MBq, for: P1, holds: the line}", "Y5"},
	} {
		s.add(s.fact(x.line))
		if got := s.books.Free("Y"); got != x.free {
			t.Errorf("after %s free is %s, want %s", x.line, got, x.free)
		}
	}
}

// TestExtractStandsAlone: each group, written as a case file and read again,
// reckons to the same figures.
func TestExtractStandsAlone(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := newSite(t)
		for n := range rapid.IntRange(1, 10).Draw(rt, "days") {
			s.day(rt, n)
		}
		for _, g := range s.books.All() {
			records := s.books.Records([]state.Group{g})
			text, err := casefile.Export(casefile.Extract(records), time.LoadLocation)
			if err != nil {
				rt.Fatal(err)
			}
			f, err := casefile.Decode(text, time.LoadLocation)
			if err != nil {
				rt.Fatalf("%v\n%s", err, text)
			}
			want, got := balances(t, records), balances(t, journal.Records(f.Facts))
			for id, w := range want {
				if x := got[id]; !near(x[0], w[0], 1e-9) || !near(x[1], w[1], 1e-9) {
					rt.Fatalf("%s holds %v in the file and %v in the site\n%s", id, x, w, text)
				}
			}
			if len(want) != len(got) {
				rt.Fatalf("%d containers in the file, %d in the site\n%s", len(got), len(want), text)
			}
			for _, id := range g.IDs() {
				if slices.ContainsFunc(records, func(r journal.Record) bool { o, ok := r.Fact.(*fact.Order); return ok && o.ID == id }) {
					handedOut(rt, records, id, want)
				}
			}
		}
	})
}

// handedOut fails unless what is handed out for an order gives the figures of its group.
func handedOut(rt *rapid.T, records []journal.Record, order string, want map[string][2]float64) {
	own, err := casefile.ForOrder(records, order)
	if err != nil {
		rt.Fatal(err)
	}
	text, err := casefile.Export(casefile.Extract(own), time.LoadLocation)
	if err != nil {
		rt.Fatal(err)
	}
	f, err := casefile.Decode(text, time.LoadLocation)
	if err != nil {
		rt.Fatalf("%v\n%s", err, text)
	}
	got := balances(rt, journal.Records(f.Facts))
	for id, w := range want {
		patient := id[0] == 'P' && id != order // has a letter in the file
		if x := got[id]; !patient && (!near(x[0], w[0], 1e-9) || !near(x[1], w[1], 1e-9)) {
			rt.Fatalf("for %s, %s holds %v in the file and %v in the site\n%s", order, id, x, w, text)
		}
	}
}

// TestPutAway: books that let go of what is older than an hour give the same
// groups and the same records as books that hold everything, whatever is
// corrected, joined or thrown away years later.
func TestPutAway(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := newSite(t)
		for n := range rapid.IntRange(1, 12).Draw(rt, "days") {
			s.day(rt, n)
		}
		read := 0
		old := state.Over(func(numbers []int) []journal.Record {
			out := make([]journal.Record, len(numbers))
			for i, n := range numbers {
				out[i] = s.records[n-1]
			}
			read += len(numbers)
			return out
		}, nil)
		whole := state.New()
		keep := time.Duration(rapid.IntRange(0, 72).Draw(rt, "hours kept")) * time.Hour
		for _, r := range s.records {
			a, b := whole.Add(r), old.Add(r)
			if x, y := idsOf(a), idsOf(b); !slices.Equal(x, y) {
				rt.Fatalf("record %d touches %q, and %q where old ones were put away", r.N, x, y)
			}
			old.PutAway(r.Recorded.Add(-keep))
		}
		all, others := whole.All(), old.All()
		if x, y := idsOf(all), idsOf(others); !slices.Equal(x, y) {
			rt.Fatalf("the groups are %q, and %q where old ones were put away", x, y)
		}
		for i := range all {
			same(rt, whole.Records(all[i:i+1]), old.Records(others[i:i+1]))
		}
		same(rt, whole.Records(all, whole.Bins()...), old.Records(others, old.Bins()...))
		same(rt, whole.Last(math.MaxInt), old.Last(math.MaxInt))
		for n := 1; n <= whole.Len(); n++ {
			if x, y := idsOf(whole.Home(n)), idsOf(old.Home(n)); !slices.Equal(x, y) {
				rt.Fatalf("record %d is of %q, and of %q where old ones were put away", n, x, y)
			}
		}
		if limit := s.records[len(s.records)-1].Recorded.Add(-keep); read == 0 && slices.ContainsFunc(all, func(g state.Group) bool { return g.Touched().Before(limit) }) {
			rt.Fatal("nothing was put away")
		}
	})
}

// TestSameFile: a group whose newest record and the count of what is of the site are the
// same has the same records, whatever was recorded meanwhile, also where a correction makes
// something of an order out of what was of the site.
func TestSameFile(t *testing.T) {
	type file struct {
		newest, ofSite int
		numbers        []int
	}
	rapid.Check(t, func(rt *rapid.T) {
		s := newSite(t)
		had := map[string]file{}
		for n := range 60 {
			lines := []string{
				"deviation: {for: P%d, text: of an order, at: 2027-03-01T11:00}",
				"draw: {from: S%d, into: Y%[2]d, for: P%[2]d, at: 2027-03-01T11:10, volume: 1 mL}",
				"survey: {place: bench, at: 2027-03-01T08:00}",
				"note: {text: a remark}",
				"experience: {at: 2027-03-01T08:00, yields: [{q: 95 %%, u: 5 %%, cases: 40}]}",
			}
			f := s.fact(strings.Split(fmt.Sprintf(rapid.SampledFrom(lines).Draw(rt, "entry"), rapid.IntRange(1, 4).Draw(rt, "id"), n), "%!")[0])
			if len(s.records) > 3 && rapid.IntRange(0, 3).Draw(rt, "corrects") == 0 {
				f = &fact.Correct{Entry: rapid.IntRange(4, len(s.records)).Draw(rt, "corrected"), Reason: "wrong", With: f}
			}
			s.add(f)
			for _, g := range s.books.All() {
				now := file{g.Newest(), s.books.OfSite(), nil}
				for _, r := range s.books.Records([]state.Group{g}) {
					now.numbers = append(now.numbers, r.N)
				}
				id := strings.Join(g.IDs(), " ")
				if was := had[id]; was.newest == now.newest && was.ofSite == now.ofSite && !slices.Equal(was.numbers, now.numbers) {
					rt.Fatalf("record %d is %T, and the file of %s has %v where it had %v", len(s.records), f, id, now.numbers, was.numbers)
				}
				had[id] = now
			}
		}
	})
}

func idsOf(groups []state.Group) []string {
	var out []string
	for _, g := range groups {
		out = append(out, strings.Join(g.IDs(), " "))
	}
	return out
}

func same(rt rapid.TB, want, got []journal.Record) {
	rt.Helper()
	if len(want) != len(got) {
		rt.Fatalf("%d records, and %d where old ones were put away", len(want), len(got))
	}
	for i := range want {
		if want[i].N != got[i].N || want[i].Fact != got[i].Fact || !want[i].Recorded.Equal(got[i].Recorded) {
			rt.Fatalf("record %d is %v, and %d %v where old ones were put away", want[i].N, want[i].Fact, got[i].N, got[i].Fact)
		}
	}
}

// TestOnlyWhatWasLearnedForIt: a file holds what its entries rest on and what is
// in force now, not what was learned for every vial there ever was.
func TestOnlyWhatWasLearnedForIt(t *testing.T) {
	s := newSite(t)
	learn := func(q string) int {
		s.add(s.fact("experience: {at: " + s.at() + ", up-to: 1, yields: [{q: " + q + ", u: 3 %, cases: 12, own: 12}]}"))
		return s.books.Len()
	}
	learn("90 %")
	before := learn("91 %")
	s.add(s.fact("receive: {vial: S1, lot: L-1, labelled: 3.0 GBq, reference: 2027-03-01T18:00, volume: 5.0 mL, at: 2027-03-01T07:30}"))
	within := learn("92 %")
	s.add(s.fact("draw: {from: S1, into: Y1, for: P1, at: 2027-03-01T08:10, volume: 2.2 mL}"))
	learn("93 %")
	newest := learn("94 %")
	var got []int
	for _, r := range s.books.Records(s.books.Groups("S1")) {
		if _, ok := r.Fact.(*fact.Experience); ok {
			got = append(got, r.N)
		}
	}
	if want := []int{before, within, newest}; !slices.Equal(got, want) {
		t.Errorf("the file of S1 holds what was learned in %v, want %v", got, want)
	}
}

// The books have the accounts that the entries have made, and none that an entry
// by who may not would make.
func TestBooksHaveThePeople(t *testing.T) {
	b := state.New()
	at := time.Date(2027, 3, 4, 8, 0, 0, 0, time.UTC)
	add := func(by, id string, roles ...people.Role) {
		p := people.Person{ID: id, Name: id + " Example", Roles: roles, Active: true}
		if touched := b.Add(journal.Record{By: by, Recorded: at, Fact: fact.PersonFact(p, at)}); touched != nil {
			t.Errorf("the account of %s touches %d groups", id, len(touched))
		}
	}
	add("AD1", "AD1", people.Administrator)
	add("AD1", "NT1", people.Technologist)
	add("NT1", "NT2", people.Technologist)
	b.Add(journal.Record{By: "AD1", Recorded: at, Fact: &fact.FirstPassword{Of: "NT1", At: at}})
	if all := b.People().All(); len(all) != 2 || all[1].ID != "NT1" || b.People().NameAt("NT1", 1) != "" || b.People().NameAt("NT1", 2) != "NT1 Example" {
		t.Errorf("the accounts are %v", all)
	}
	if n := len(b.People().Refused()); n != 1 {
		t.Errorf("%d entries are refused, want that of NT1", n)
	}
	if _, err := b.Import([]fact.Fact{&fact.Site{Zone: "UTC"}, fact.PersonFact(people.Person{ID: "X1", Name: "X Example"}, at)}, at); err == nil {
		t.Error("a case file adds an account")
	}
}

// TestImportConfirmed: a meter of a file that says the same as that of the site is the same,
// where what was asked about it is kept in one of the two alone.
func TestImportConfirmed(t *testing.T) {
	s := newSite(t)
	again := *s.records[2].Fact.(*fact.Meter)
	again.Confirmed = "repeatability: 0.8 % is outside the usual"
	read := s.fact("read: {of: S9, meter: M1, at: 2027-03-01T08:00, gross: 3.2 GBq, background: 0.2 MBq}")
	if _, err := s.books.Import([]fact.Fact{s.records[0].Fact, &again, read}, s.now); err != nil {
		t.Error(err)
	}
}

// TestAlike: an id is taken that differs in letter case alone from one that the site has, and
// none is proposed; books that have both from before keep them apart.
func TestAlike(t *testing.T) {
	s := newSite(t)
	order := func(id string) { s.add(s.fact("order: {id: " + id + ", prescribed: 1.3 GBq, at: 2027-03-04T13:30}")) }
	order("p1")
	n := s.books.Len()
	if s.books.Used("P1") != 0 || s.books.Taken("P1") != n || s.books.Taken("P2") != 0 || s.books.Free("P") != "P2" {
		t.Errorf("P1 is taken by %d, and free is %s", s.books.Taken("P1"), s.books.Free("P"))
	}
	order("P1")
	if s.books.Used("p1") != n || s.books.Used("P1") != n+1 || s.books.Taken("P1") != n+1 || len(s.books.All()) != 2 {
		t.Errorf("p1 is used by %d and P1 by %d", s.books.Used("p1"), s.books.Used("P1"))
	}
}

// TestKeptByKind: what is looked for in all years is found by its kind with its
// corrections and nothing else, also from a checkpoint.
func TestKeptByKind(t *testing.T) {
	s := newSite(t)
	read := func(who string) fact.Fact {
		return s.fact("exposure: {who: " + who + ", finger: 0.2 mSv, at: 2027-03-01T08:02}")
	}
	for _, f := range []fact.Fact{
		&fact.Note{Text: "nothing of note", At: monday}, read("T1"), // 4, 5
		&fact.Correct{Entry: 5, Reason: "misread", With: read("T2")},
		&fact.Correct{Entry: 4, Reason: "told twice"},
		&fact.Correct{Entry: 5, Reason: "nobody's"},
	} {
		s.add(f)
	}
	w := &pack.Writer{}
	s.books.Checkpoint(w)
	again, err := state.Restore(pack.NewReader(w.Buf), nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	for kind, want := range map[string][]int{"exposure": {5, 6, 8}, "note": {4, 7}, "correct": {6, 7, 8}, "draw": nil} {
		for _, b := range []*state.Books{s.books, again} {
			var got []int
			for _, r := range b.Kept(func(f fact.Fact) bool { return fact.Word(f) == kind }) {
				got = append(got, r.N)
			}
			if !slices.Equal(got, want) {
				t.Errorf("%s: %v, want %v", kind, got, want)
			}
		}
	}
}
