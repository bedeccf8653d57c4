package journal_test

import (
	"iter"
	"os"
	"testing"
	"time"

	"vialwright/casefile"
	"vialwright/fact"
	"vialwright/journal"
	"vialwright/quantity"
)

// salt is the same for every record: a test asks for the same bytes each time.
func salt() journal.Salt { return journal.Salt{1, 2, 3} }

// worked gives the facts of the worked example.
func worked(tb testing.TB) []fact.Fact {
	tb.Helper()
	return decode(tb, file(tb, "worked.yaml")).Facts
}

// seq is a sequence of links without errors.
func seq(links []journal.Link) iter.Seq2[journal.Link, error] {
	return func(yield func(journal.Link, error) bool) {
		for _, l := range links {
			if !yield(l, nil) {
				return
			}
		}
	}
}

// decode reads a case file that must be sound.
func decode(tb testing.TB, data []byte) *casefile.File {
	tb.Helper()
	f, err := casefile.Decode(data, time.LoadLocation)
	if err != nil {
		tb.Fatal(err)
	}
	return f
}

// file reads a file of testdata.
func file(tb testing.TB, name string) []byte {
	tb.Helper()
	data, err := os.ReadFile("../casefile/testdata/" + name)
	if err != nil {
		tb.Fatal(err)
	}
	return data
}

// local is a time of day on the day of the scenario, in the Azores in winter.
func local(clock string) time.Time {
	t, err := quantity.ParseTime("2027-03-04T"+clock+"-01:00", nil)
	if err != nil {
		panic(err)
	}
	return t
}

// q states a quantity that the test writes itself.
func q[Q quantity.Kind](text string) quantity.Stated[Q] {
	s, err := quantity.Parse[Q](text)
	if err != nil {
		panic(err)
	}
	return s
}
