package hotlab_test

import (
	"os"
	"regexp"
	"strings"
	"testing"
	"time"

	"vialwright/dispensing"
	"vialwright/fact/facttest"
	"vialwright/fold"
	"vialwright/hotlab"
	"vialwright/hotlab/quarter"
	"vialwright/inventory"
	"vialwright/journal"
	"vialwright/nuclide"
	"vialwright/rules"
)

// read is the book of a few entries on 2027-03-10, by a profile; without one by none.
func read(tb testing.TB, profile string, lines ...string) hotlab.Book {
	tb.Helper()
	return readOn(tb, 2027, profile, lines...)
}

// readOn is that book on the same day of another year.
func readOn(tb testing.TB, year int, profile string, lines ...string) hotlab.Book {
	tb.Helper()
	return hotlab.Read(world(tb, year, profile, lines...))
}

// world is what that book is read from.
func world(tb testing.TB, year int, profile string, lines ...string) hotlab.World {
	tb.Helper()
	text := "case: 1\nzone: Europe/Lisbon\npolicy: {}\nentries:\n"
	for _, l := range lines {
		text += "  - " + l + "\n"
	}
	facts := facttest.Decode(tb, []byte(text)).Facts
	records := journal.Records(facts)
	zone, err := time.LoadLocation("Europe/Lisbon")
	if err != nil {
		tb.Fatal(err)
	}
	w := hotlab.World{
		Books:  inventory.Books{Cases: []dispensing.Case{facttest.Fold(tb, facts)}, Entries: fold.Entries(records), HalfLife: nuclide.Y90.HalfLife().Value},
		Groups: [][]journal.Record{records}, Zone: zone, Zones: time.LoadLocation, At: time.Date(year, 3, 10, 12, 0, 0, 0, zone),
	}
	if profile != "" {
		load := rules.Load
		if strings.HasPrefix(profile, "profile:") { // the text of one
			load = func(text string) (rules.Profile, error) { return rules.Read([]byte(text)) }
		}
		p, err := load(profile)
		if err != nil {
			tb.Fatal(err)
		}
		w.Rules = &p
	}
	return w
}

const (
	parcel  = "parcel: {parcel: PK-1, at: 2027-03-04T09:00, category: yellow-ii, index: 0.9, condition: intact, papers: agree, vials: 1, labelled: 3.0 GBq, reference: 2027-03-04T18:00Z}"
	vial    = "receive: {vial: S1, lot: L, labelled: 3.0 GBq, reference: 2027-03-04T18:00Z, volume: 5 mL, at: 2027-03-04T09:30}"
	discard = "discard: {from: S1, into: W1, at: 2027-03-04T16:00}"
	point   = "survey-point: {point: R1-1, room: R1, name: bench, action: 0.4 Bq/cm2, at: 2027-01-01T00:00}"
	counter = "instrument: {id: WC1, what: wipe-counter, at: 2027-01-01T00:00}"
)

// reported is a report of a dosemeter of rp-3 from one day to another.
func reported(dosemeter, worn, from, to, measured string) string {
	return "dose-report: {who: rp-3, dosemeter: " + dosemeter + ", worn: " + worn + ", from: " + from + "T00:00, to: " + to + "T00:00, measured: " + measured + "}"
}

// What the quarter has no fault for.
var others = []struct {
	code           hotlab.Code
	page           hotlab.Page
	profile, about string
	lines          []string
}{
	{hotlab.ParcelTwice, hotlab.Parcels, "", "PK-1", []string{parcel, parcel}},
	{hotlab.ParcelUnknown, hotlab.Parcels, "", "PK-7", []string{"parcel-survey: {parcel: PK-7, at: 2027-03-04T09:10, meter: SV1, surface: 0.1 mSv/h, metre: 8 uSv/h, background: 0.1 uSv/h}"}},
	{hotlab.ParcelUnknown, hotlab.Parcels, "", "PK-7", []string{"open-parcel: {parcel: PK-7, at: 2027-03-04T09:10}"}},
	{hotlab.ParcelOpenedEarly, hotlab.Parcels, "", "PK-7", []string{"open-parcel: {parcel: PK-7, at: 2027-03-04T09:10}"}},
	{hotlab.ParcelUnknown, hotlab.Parcels, "", "PK-7", []string{strings.Replace(vial, "}", ", parcel: PK-7}", 1)}},
	{hotlab.ParcelDamaged, hotlab.Parcels, "", "PK-1", []string{strings.Replace(parcel, "intact", "wet", 1)}},
	{hotlab.ParcelPapers, hotlab.Parcels, "", "PK-1", []string{strings.Replace(parcel, "index:", "un: UN2910, index:", 1)}},
	{hotlab.ParcelPapers, hotlab.Parcels, "", "PK-1", []string{strings.Replace(parcel, "index:", "un: UN1203, index:", 1)}},
	{hotlab.ParcelPapers, hotlab.Parcels, "", "PK-1", []string{strings.Replace(parcel, "yellow-ii, index: 0.9", "excepted, un: UN2910", 1)}},
	{hotlab.ParcelContents, hotlab.Parcels, "", "PK-1", []string{parcel, "open-parcel: {parcel: PK-1, at: 2027-03-04T09:10}", vial}},
	{hotlab.ParcelNotWiped, hotlab.Parcels, "us", "PK-1", []string{parcel, "parcel-survey: {parcel: PK-1, at: 2027-03-04T09:10, meter: SV1, surface: 0.1 mSv/h, metre: 8 uSv/h, background: 0.1 uSv/h}"}},
	{hotlab.MeterUnknown, hotlab.Surveys, "", "R1-1", []string{counter, point, "point-reading: {point: R1-1, meter: WC7, at: 2027-03-04T17:00, rate: 0.1 uSv/h, background: 0.1 uSv/h}"}},
	{hotlab.MeterWithdrawn, hotlab.Surveys, "", "R1-1", []string{counter, "instrument: {id: WC1, what: wipe-counter, state: withdrawn, at: 2027-02-01T00:00}", point, "point-reading: {point: R1-1, meter: WC1, at: 2027-03-04T17:00, rate: 0.1 uSv/h, background: 0.1 uSv/h}"}},
	{hotlab.PointUnknown, hotlab.Surveys, "", "R1-9", []string{counter, point, "point-reading: {point: R1-9, meter: WC1, at: 2027-03-04T17:00, rate: 0.1 uSv/h, background: 0.1 uSv/h}"}},
	{hotlab.SkinDoseHigh, hotlab.Persons, "eu", "rp-3", []string{`contaminated: {event: C1, who: rp-3, part: hand, at: 2027-03-04T11:00, level: 60 kBq/cm2, area: 1 cm2}`, `contaminated: {event: C1, who: rp-3, part: hand, at: 2027-03-04T11:30, level: 1 Bq/cm2, area: 1 cm2, ended: "yes"}`}},
	{hotlab.DoseInvestigate, hotlab.Persons, "", "rp-3", []string{"investigation-level: {worn: ring, month: 20 mSv, from: 2027-01-01T00:00}", reported("R-1", "ring", "2027-02-01", "2027-03-01", "21 mSv")}},
	{hotlab.FingerRatioMissing, hotlab.Persons, "", "rp-3", []string{reported("R-1", "ring", "2027-02-01", "2027-03-01", "4 mSv")}},
	{hotlab.StockOverdue, hotlab.Waste, "", "S1", []string{
		vial, "order: {id: P1, prescribed: 1.3 GBq, at: 2027-03-04T13:30}", "draw: {from: S1, into: Y1, for: P1, at: 2027-03-04T11:10, volume: 2 mL}", "infuse: {for: P1, start: 2027-03-04T13:30, stop: 2027-03-04T14:00, reason: complete}",
		"keep-stock: {of: S1, store: safe, at: 2027-03-04T16:00, until: 2027-03-06T16:00}", "close: {for: P1, at: 2027-03-04T17:00}",
	}},
	{hotlab.BinNotClosed, hotlab.Waste, "", "W1", []string{vial, discard, `release-bin: {bin: W1, meter: SV1, at: 2027-03-09T09:00, gross: 600 counts, time: 300 s, blank: 598 counts, blank-time: 300 s, sensitive: "yes", bare: "yes", labels: defaced, route: trash}`}},
	{hotlab.BinImpurity, hotlab.Waste, "us", "W1", []string{vial, discard, "impurity: {bin: W1, nuclide: Eu-152, at: 2027-03-05T09:00, content: 0.75 kBq}"}},
	{hotlab.BinUnknown, hotlab.Waste, "", "W9", []string{vial, discard, "close-bin: {bin: W9, at: 2027-03-05T09:00}"}},
	{hotlab.LineMissing, hotlab.Inventory, "", "", []string{vial}},
	{hotlab.RuleMissing, hotlab.Inventory, "uk", "", []string{parcel}},
}

func TestOthers(t *testing.T) {
	for _, c := range others {
		found := false
		for _, f := range read(t, c.profile, c.lines...).On(c.page) {
			found = found || f.Code == c.code && f.About == c.about && f.Text != "" && f.Do != ""
		}
		if !found {
			t.Errorf("%s was not found in %v", c.code, c.lines)
		}
	}
}

// Every code is declared, found by a test, and explained.
func TestCodes(t *testing.T) {
	text, err := os.ReadFile("finding.go")
	if err != nil {
		t.Fatal(err)
	}
	doc, err := os.ReadFile("../docs/hot-lab.md")
	if err != nil {
		t.Fatal(err)
	}
	tested := map[hotlab.Code]bool{}
	for _, f := range quarter.Faults {
		tested[f.Code] = true
	}
	for _, c := range others {
		tested[c.code] = true
	}
	all := regexp.MustCompile(`Code += "([a-z-]+)"`).FindAllStringSubmatch(string(text), -1)
	if len(all) < 40 {
		t.Fatalf("%d codes", len(all))
	}
	for _, m := range all {
		if !tested[hotlab.Code(m[1])] {
			t.Errorf("no test finds %s", m[1])
		}
		if !strings.Contains(string(doc), "| `"+m[1]+"` |") {
			t.Errorf("docs/hot-lab.md has no row for %s", m[1])
		}
	}
	if rows := strings.Count(string(doc), "\n| `"); rows != len(all) {
		t.Errorf("docs/hot-lab.md has %d rows, the program %d codes", rows, len(all))
	}
}

// Without a profile nothing is held against a limit, and nothing is assumed.
func TestWithoutAProfile(t *testing.T) {
	b := read(t, "", "licence-line: {id: L-1, nuclide: Y-90, form: microspheres, from: 2027-01-01T00:00}", parcel, reported("B-1", "body", "2027-02-01", "2027-03-01", "80 mSv"))
	if len(b.Findings) != 0 {
		t.Errorf("%+v", b.Findings)
	}
}

// A bin closed on Thursday 2027-03-04 at 15:30 in Lisbon is ready after ten half-lives
// (10A NCAC 15 .0362), over one clock change, and by clearance with 47.0 MBq in 150 g after
// 22.125 d where the concentrations of RS-G-1.7 are in force.
func TestReadyDates(t *testing.T) {
	// A vial whose label is 47.0 MBq when the bin is closed.
	small := strings.Replace(strings.Replace(vial, "3.0 GBq", "47.0 MBq", 1), "2027-03-04T18:00Z", "2027-03-04T15:30Z", 1)
	into := strings.Replace(discard, "16:00", "15:00", 1)
	closed := "close-bin: {bin: W1, at: 2027-03-04T15:30, mass: 150 g}"
	for profile, want := range map[string]string{"us-nc": "2027-03-31T08:55+01:00", "eu": "2027-03-26T18:30Z"} {
		b := read(t, profile, small, into, closed).Bins[0]
		at, ok := b.ReadyAt()
		wanted, err := time.Parse("2006-01-02T15:04Z07:00", want)
		if err != nil {
			t.Fatal(err)
		}
		if d := at.Sub(wanted); !ok || d < -time.Minute || d > time.Minute {
			t.Errorf("%s: ready %v, %v; want %s (%+v)", profile, at, ok, want, b.Ready)
		}
	}
	b := read(t, "eu", small, into, closed, "impurity: {bin: W1, nuclide: Eu-152, at: 2027-03-05T09:00, content: 0.75 kBq}").Bins[0]
	if _, ok := b.ReadyAt(); ok || !b.Ready[0].Hold {
		t.Errorf("5 Bq/g of Eu-152 are not held: %+v", b.Ready)
	}
}

// A bin with a nuclide that is not held for decay is never ready by decay alone: ten
// half-lives of Y-90 say nothing of Eu-152, and less than 275 days are held for decay (10A NCAC
// 15 .0362).
func TestLongLivedIsNotReady(t *testing.T) {
	closed := "close-bin: {bin: W1, at: 2027-03-04T16:30}"
	for nuclide, want := range map[string]bool{"Eu-152": false, "Y-91": true} {
		b := read(t, "us-nc", vial, discard, closed, "impurity: {bin: W1, nuclide: "+nuclide+", at: 2027-03-05T09:00, content: 0.75 kBq}").Bins[0]
		if at, ok := b.ReadyAt(); ok != want {
			t.Errorf("%s: ready at %v, %v", nuclide, at, ok)
		}
	}
}
