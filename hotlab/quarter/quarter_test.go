package quarter_test

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"vialwright/fact"
	"vialwright/fold"
	"vialwright/hotlab"
	"vialwright/hotlab/quarter"
	"vialwright/inventory"
	"vialwright/journal"
	"vialwright/rules"
	"vialwright/state"
)

// world is what a book of the history is read from, at the end of a day.
func world(tb testing.TB, day string, faults ...hotlab.Code) hotlab.World {
	tb.Helper()
	zone, err := time.LoadLocation("Europe/Lisbon")
	if err != nil {
		tb.Fatal(err)
	}
	at, err := time.ParseInLocation("2006-01-02 15:04", day+" 23:00", zone)
	if err != nil {
		tb.Fatal(err)
	}
	return placed(tb, quarter.Placed{Zone: "Europe/Lisbon"}, at, faults...)
}

// placed is what a book of the history at its place is read from.
func placed(tb testing.TB, place quarter.Placed, at time.Time, faults ...hotlab.Code) hotlab.World {
	tb.Helper()
	records, err := place.Records(time.LoadLocation, faults...)
	if err != nil {
		tb.Fatal(err)
	}
	books := state.New()
	var own []journal.Record
	for _, r := range records {
		books.Add(r)
		if _, correction := r.Fact.(*fact.Correct); correction || hotlab.Kept(r.Fact) {
			own = append(own, r)
		}
	}
	var groups [][]journal.Record
	for _, g := range books.All() {
		groups = append(groups, books.Records([]state.Group{g}))
	}
	b, err := inventory.Read(books.Records(nil), own, groups, time.LoadLocation)
	if err != nil {
		tb.Fatal(err)
	}
	p, err := rules.Load("us-nc")
	if err != nil {
		tb.Fatal(err)
	}
	return hotlab.World{Books: b, Groups: groups, Rules: &p, Zone: at.Location(), Zones: time.LoadLocation, At: at, People: quarter.People, Deeds: hotlab.DeedsOf(records)}
}

// Without a fault nothing is found on any day on which one can be.
func TestNothingIsWrongWithoutFaults(t *testing.T) {
	days := map[string]bool{"2027-03-31": true}
	for _, f := range quarter.Faults {
		days[f.Seen] = true
	}
	for day := range days {
		for _, f := range hotlab.Read(world(t, day)).Findings {
			t.Errorf("%s: %s %s: %s", day, f.Code, f.About, f.Text)
		}
	}
}

// Each fault alone is found from its day on, on its page and of its subject, and no other
// is.
func TestEachFaultIsFound(t *testing.T) {
	along := map[hotlab.Code][]hotlab.Code{ // what follows from it
		hotlab.SkinOpen: {hotlab.SkinDoseHigh},
	}
	if len(quarter.Faults) < 20 {
		t.Fatalf("only %d faults", len(quarter.Faults))
	}
	for _, want := range quarter.Faults {
		found := false
		for _, f := range hotlab.Read(world(t, want.Seen, want.Code)).Findings {
			same := f.Code == want.Code && f.About == want.About && f.Page == want.Page && strings.Contains(f.Text, want.Says)
			found = found || same
			follows := f.Code == want.Code
			for _, c := range along[want.Code] {
				follows = follows || f.Code == c
			}
			if !follows {
				t.Errorf("%s alone: %s of %s: %s", want.Code, f.Code, f.About, f.Text)
			}
			if f.Text == "" || f.Do == "" {
				t.Errorf("%s says nothing, or nothing to do", f.Code)
			}
		}
		if !found {
			t.Errorf("%s of %s was not found on %s", want.Code, want.About, want.Seen)
		}
	}
}

// All of them at once are each found.
func TestAllFaultsAtOnce(t *testing.T) {
	for _, f := range quarter.Faults {
		b := hotlab.Read(world(t, f.Seen, quarter.Codes()...))
		there := false
		for _, x := range b.On(f.Page) {
			there = there || x.Code == f.Code && x.About == f.About
		}
		if !there {
			t.Errorf("%s of %s is not on the page %s on %s", f.Code, f.About, f.Page, f.Seen)
		}
	}
}

// Placed before any day, in a zone whose clocks change on other days, the history has the
// same faults and no other.
func TestPlacedBeforeAnyDay(t *testing.T) {
	zone, err := time.LoadLocation("Atlantic/Azores")
	if err != nil {
		t.Fatal(err)
	}
	for days := 0; days < 800; days += 37 {
		now := time.Date(2026, 1, 1, 9, 0, 0, 0, zone).AddDate(0, 0, days)
		place := quarter.Before(now, "Atlantic/Azores")
		b := hotlab.Read(placed(t, place, now, quarter.Codes()...))
		for _, want := range quarter.Faults {
			if !slices.ContainsFunc(b.On(want.Page), func(f hotlab.Finding) bool { return f.Code == want.Code && strings.Contains(f.Text, want.Says) }) {
				t.Errorf("%s: %s of %s is not found", now.Format(time.DateOnly), want.Code, want.About)
			}
		}
		for _, f := range hotlab.Read(placed(t, place, now)).Findings {
			t.Errorf("%s without faults: %s: %s", now.Format(time.DateOnly), f.Code, f.Text)
		}
		last := now.Sub(b.Parcels[len(b.Parcels)-1].Ordered.At)
		if last < 24*time.Hour || last > 20*24*time.Hour {
			t.Errorf("%s: the last order lies %v back", now.Format(time.DateOnly), last)
		}
	}
}

// docs/practice.md lists the faults with their pages, and no other.
func TestListedForPractice(t *testing.T) {
	doc, err := os.ReadFile("../../docs/practice.md")
	if err != nil {
		t.Fatal(err)
	}
	_, list, _ := strings.Cut(string(doc), "| page | the finding says |\n|---|---|\n")
	var want strings.Builder
	for _, f := range quarter.Faults {
		fmt.Fprintf(&want, "| %s | `%s` |\n", f.Page, f.Says)
	}
	if list != want.String() {
		t.Errorf("docs/practice.md lists\n%s\nand the faults are\n%s", list, want.String())
	}
}

// The history is made of 25 days, and folds.
func TestHistory(t *testing.T) {
	w := world(t, "2027-03-31")
	parcels, bins := 0, 0
	b := hotlab.Read(w)
	for range b.Parcels {
		parcels++
	}
	for range b.Bins {
		bins++
	}
	if parcels != 25 || bins != 3 || len(w.Books.Cases) != 25 {
		t.Errorf("%d parcels, %d bins, %d vials", parcels, bins, len(w.Books.Cases))
	}
	if e := fold.Entries(w.Groups[0]); len(e) == 0 {
		t.Error("a group holds nothing")
	}
}

func Example() {
	records, err := quarter.Records(time.LoadLocation, hotlab.ParcelOpenedEarly)
	fmt.Println(len(records) > 400, err)
	// Output:
	// true <nil>
}
