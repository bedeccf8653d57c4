package journal_test

import (
	"iter"
	"os"
	"testing"
	"time"

	"vialwright/journal"
	"vialwright/quantity"
)

// file reads a file of testdata.
func file(tb testing.TB, name string) []byte {
	tb.Helper()
	data, err := os.ReadFile("testdata/" + name)
	if err != nil {
		tb.Fatal(err)
	}
	return data
}

// decode reads a case file that must be sound.
func decode(tb testing.TB, data []byte) *journal.File {
	tb.Helper()
	f, err := journal.Decode(data, time.LoadLocation)
	if err != nil {
		tb.Fatal(err)
	}
	return f
}

// worked gives the facts of the worked example.
func worked(tb testing.TB) []journal.Fact {
	tb.Helper()
	return decode(tb, file(tb, "worked.yaml")).Facts
}

// cachedZones loads each zone once, as a long-running program does.
func cachedZones() journal.Zones {
	known := map[string]*time.Location{}
	return func(name string) (*time.Location, error) {
		if z := known[name]; z != nil {
			return z, nil
		}
		z, err := time.LoadLocation(name)
		if err == nil {
			known[name] = z
		}
		return z, err
	}
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

// q states a quantity that the test writes itself.
func q[Q quantity.Kind](text string) quantity.Stated[Q] {
	s, err := quantity.Parse[Q](text)
	if err != nil {
		panic(err)
	}
	return s
}

// local is a time of day on the day of the scenario, in the Azores in winter.
func local(clock string) time.Time {
	t, err := quantity.ParseTime("2027-03-04T"+clock+"-01:00", nil)
	if err != nil {
		panic(err)
	}
	return t
}

// longCase is a case in which one vial is read over and over.
func longCase(tb testing.TB, entries int) []journal.Fact {
	facts := worked(tb)[:5] // case, policy, meter, order, receipt
	at := local("07:00")
	for range entries - 2 {
		facts = append(facts, &journal.Read{
			Of: "S1", Meter: "M1", At: at, Gross: q[quantity.Activity]("3.24 GBq"), Background: q[quantity.Activity]("0.2 MBq"),
		})
		at = at.Add(time.Second)
	}
	return facts
}

// salt is the same for every record: a test asks for the same bytes each time.
func salt() journal.Salt { return journal.Salt{1, 2, 3} }
