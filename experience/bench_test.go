package experience_test

import (
	"fmt"
	"testing"
	"time"

	"vialwright/experience"
	"vialwright/journal"
)

// many gives n finished cases, the same few hundred under other names.
func many(tb testing.TB, n int) [][]journal.Record {
	tb.Helper()
	few := past(tb, 250, 1)
	out := make([][]journal.Record, n)
	for i := range out {
		out[i] = append([]journal.Record(nil), few[i%len(few)]...)
		for j := range out[i] {
			out[i][j].Case = fmt.Sprintf("C-%06d", i)
		}
	}
	return out
}

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
	facts := make([][]journal.Fact, len(cases))
	for i, c := range cases {
		for _, r := range c {
			facts[i] = append(facts[i], r.Fact)
		}
	}
	for b.Loop() {
		for _, f := range facts {
			if _, err := journal.Fold(f, zones); err != nil {
				b.Fatal(err)
			}
		}
	}
}

// BenchmarkOneMore takes one more case where 20,000 are in.
func BenchmarkOneMore(b *testing.B) {
	t := taken(many(b, 20_000))
	more := many(b, 20_001)[20_000]
	for i := 0; b.Loop(); i++ {
		name := fmt.Sprintf("N-%d", i)
		t.Take(name, more)
	}
}

// BenchmarkFact writes what was learned, after one more case.
func BenchmarkFact(b *testing.B) {
	cases := many(b, 20_000)
	t := taken(cases)
	for i := 0; b.Loop(); i++ {
		t.Take(fmt.Sprintf("N-%d", i), cases[i%250])
		if t.Fact(until, 1) == nil {
			b.Fatal("nothing learned")
		}
	}
}
