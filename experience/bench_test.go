package experience_test

import (
	"testing"
	"time"

	"vialwright/experience"
	"vialwright/fact"
	"vialwright/fold"
	"vialwright/journal"
)

// many gives n finished cases.
func many(tb testing.TB, n int) [][]journal.Record { return past(tb, n, 1) }

// BenchmarkTake20000 goes through 20,000 finished preparations from nothing.
func BenchmarkTake20000(b *testing.B) {
	cases := many(b, 20_000)
	for b.Loop() {
		experience.New(time.LoadLocation).TakeAll(cases, 2)
	}
}

// BenchmarkFold20000 only folds them: the least that a look at them takes.
func BenchmarkFold20000(b *testing.B) {
	cases := many(b, 20_000)
	zone, err := time.LoadLocation("Atlantic/Azores")
	if err != nil {
		b.Fatal(err)
	}
	zones := func(string) (*time.Location, error) { return zone, nil }
	facts := make([][]fact.Fact, len(cases))
	for i, c := range cases {
		for _, r := range c {
			facts[i] = append(facts[i], r.Fact)
		}
	}
	for b.Loop() {
		for _, f := range facts {
			if _, err := fold.Facts(f, zones); err != nil {
				b.Fatal(err)
			}
		}
	}
}

// BenchmarkOneMore takes one more case where 20,000 are in.
func BenchmarkOneMore(b *testing.B) {
	all := many(b, 25_000)
	t := taken(all[:20_000])
	for i := 0; b.Loop(); i++ {
		t.Take(all[20_000+i%5_000])
	}
}

// BenchmarkFact writes what was learned, after one more case.
func BenchmarkFact(b *testing.B) {
	all := many(b, 25_000)
	t := taken(all[:20_000])
	for i := 0; b.Loop(); i++ {
		t.Take(all[20_000+i%5_000])
		if t.Fact(until, 1) == nil {
			b.Fatal("nothing learned")
		}
	}
}
