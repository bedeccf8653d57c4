// Package facttest is what the tests of facts, records, case files and the fold share: the worked
// example, the facts that a test writes itself, and the tables of what is refused. It is for tests only.
package facttest

import (
	"encoding/hex"
	"fmt"
	"iter"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"vialwright/casefile"
	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/fold"
	"vialwright/journal"
	"vialwright/quantity"
)

// Decode reads a case file that must be sound.
func Decode(tb testing.TB, data []byte) *casefile.File {
	tb.Helper()
	f, err := casefile.Decode(data, time.LoadLocation)
	if err != nil {
		tb.Fatal(err)
	}
	return f
}

// File reads a file of testdata.
func File(tb testing.TB, name string) []byte {
	tb.Helper()
	data, err := os.ReadFile("../casefile/testdata/" + name)
	if err != nil {
		tb.Fatal(err)
	}
	return data
}

// Worked gives the facts of the worked example.
func Worked(tb testing.TB) []fact.Fact {
	tb.Helper()
	return Decode(tb, File(tb, "worked.yaml")).Facts
}

// CachedZones loads each zone once, as a long-running program does.
func CachedZones() fact.Zones { return fact.Zones(time.LoadLocation).Kept() }

// Local is a time of day on the day of the scenario, in the Azores in winter.
func Local(clock string) time.Time {
	t, err := quantity.ParseTime("2027-03-04T"+clock+"-01:00", nil)
	if err != nil {
		panic(err)
	}
	return t
}

// Q states a quantity that the test writes itself.
func Q[Q quantity.Kind](text string) quantity.Stated[Q] {
	s, err := quantity.Parse[Q](text)
	if err != nil {
		panic(err)
	}
	return s
}

// Salt is the same for every record: a test asks for the same bytes each time.
func Salt() journal.Salt { return journal.Salt{1, 2, 3} }

// Sealed records the facts of a case one second apart.
func Sealed(tb testing.TB, facts []fact.Fact) []journal.Link {
	tb.Helper()
	at := time.Date(2027, 3, 4, 12, 0, 0, 0, time.UTC)
	records := make([]journal.Record, len(facts))
	for i, f := range facts {
		records[i] = journal.Record{Recorded: at.Add(time.Duration(i) * time.Second), By: "rp-3", Fact: f}
	}
	links, err := journal.Seal(journal.Head{}, Salt, records...)
	if err != nil {
		tb.Fatal(err)
	}
	return links
}

// ParseLink reads a line of a written-out journal, which is to be written out the same.
func ParseLink(line string) (l journal.Link, err error) {
	if parts := strings.SplitN(line, " ", 3); len(parts) == 3 {
		hash, _ := hex.DecodeString(parts[1])
		l.Seq, _ = strconv.ParseUint(parts[0], 10, 64)
		l.Body = parts[2]
		copy(l.Hash[:], hash)
	}
	if l.Seq == 0 || l.String() != line {
		return l, fmt.Errorf("no line of a written-out journal: %q", line)
	}
	return l, nil
}

// Encoded is the canonical encoding of the record of a link, without its digest and its salt.
func Encoded(tb testing.TB, l journal.Link) string {
	tb.Helper()
	parts := strings.SplitN(l.Body, " ", 3)
	if len(parts) != 3 {
		tb.Fatalf("no record in %q", l.Body)
	}
	return parts[2]
}

// Seq is a sequence of links without errors.
func Seq(links []journal.Link) iter.Seq2[journal.Link, error] {
	return func(yield func(journal.Link, error) bool) {
		for _, l := range links {
			if !yield(l, nil) {
				return
			}
		}
	}
}

// CaseOf is a case file with the header of the worked example.
func CaseOf(tb testing.TB, lines ...string) []byte {
	tb.Helper()
	head, _, _ := strings.Cut(string(File(tb, "worked.yaml")), "entries:\n")
	return []byte(head + "entries:\n  - " + strings.Join(lines, "\n  - ") + "\n")
}

// Lines of entries that stand in many tests.
const (
	TheOrder    = "order: {id: P1, prescribed: 1.30 GBq, at: 2027-03-04T13:30, residual: 2 %}"
	TheVial     = "receive: {vial: S1, lot: L-0311, labelled: 3.0 GBq, reference: 2027-03-04T18:00, volume: 5.0 mL}"
	TheDraw     = "draw: {from: S1, into: Y1, for: P1, at: 2027-03-04T11:10, volume: 2.2 mL}"
	TheTransfer = "transfer: {from: Y1, into: A1, at: 2027-03-04T11:20}"
	TheResidual = "residual: {for: P1, before: {at: 2027-03-04T11:30, rate: 182 uSv/h, background: 0.2 uSv/h}, after: {at: 2027-03-04T15:12, rate: 6.4 uSv/h, background: 0.2 uSv/h}}"
)

// Fold folds facts that must be sound.
func Fold(tb testing.TB, facts []fact.Fact) dispensing.Case {
	tb.Helper()
	c, err := fold.Facts(facts, time.LoadLocation)
	if err != nil {
		tb.Fatal(err)
	}
	return c
}

// FoldLines folds the worked example's header with other entries, one a line.
func FoldLines(tb testing.TB, lines ...string) dispensing.Case {
	tb.Helper()
	c, err := fold.File(Decode(tb, CaseOf(tb, lines...)))
	if err != nil {
		tb.Fatal(err)
	}
	return c
}

// FoldText folds a case file that must be sound.
func FoldText(tb testing.TB, text string) dispensing.Case {
	tb.Helper()
	return Fold(tb, Decode(tb, []byte(text)).Facts)
}

// MeterOf is a meter with one geometry, of a syringe.
func MeterOf(g fact.Geometry) *fact.Meter {
	return &fact.Meter{
		ID: "M1", CalibrationU: Q[quantity.Fraction]("2 %"), Repeatability: Q[quantity.Fraction]("1 %"),
		Geometry: &fact.Geometries{Syringe: []fact.Geometry{g}},
	}
}
