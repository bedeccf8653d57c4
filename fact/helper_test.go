package fact_test

import (
	"os"
	"testing"
	"time"

	"vialwright/casefile"
	"vialwright/fact"
	"vialwright/quantity"
)

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

// cachedZones loads each zone once, as a long-running program does.
func cachedZones() fact.Zones {
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

// worked gives the facts of the worked example.
func worked(tb testing.TB) []fact.Fact {
	tb.Helper()
	return decode(tb, file(tb, "worked.yaml")).Facts
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
