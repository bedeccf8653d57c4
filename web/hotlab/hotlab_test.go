package hotlab_test

import (
	"context"
	"net/http"
	"net/url"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"vialwright/fact"
	"vialwright/hotlab"
	"vialwright/hotlab/quarter"
	"vialwright/journal"
	"vialwright/rules"
	"vialwright/store"
	"vialwright/web"
	"vialwright/web/webtest"
)

// pageOf is the address of the page of a finding.
var pageOf = map[hotlab.Page]string{hotlab.Parcels: "/parcels", hotlab.Surveys: "/surveys", hotlab.Persons: "/persons", hotlab.Waste: "/bins", hotlab.Inventory: "/inventory"}

// withQuarter is a practice laboratory with the invented quarter, at a moment that the
// test sets.
func withQuarter(t *testing.T, now *time.Time, faults ...hotlab.Code) *webtest.Lab {
	t.Helper()
	records, err := quarter.Records(time.LoadLocation, faults...)
	if err != nil {
		t.Fatal(err)
	}
	sealed, err := journal.Seal(journal.Head{}, func() (s journal.Salt) { return s }, records...)
	if err != nil {
		t.Fatal(err)
	}
	profile, err := rules.Load("us-nc")
	if err != nil {
		t.Fatal(err)
	}
	return webtest.New(t, func(c *web.Config) {
		all := make([]store.Record, len(sealed))
		for i, l := range sealed {
			all[i] = store.Record{Seq: l.Seq, Body: []byte(l.Body), Hash: l.Hash}
		}
		if err := c.Log.Append(context.Background(), store.Head{}, all...); err != nil {
			t.Fatal(err)
		}
		c.Zone, c.Practice, c.Rules = "Europe/Lisbon", true, &profile
		c.Clock = func() time.Time { return *now }
	}).Hire()
}

func day(t *testing.T, text string) time.Time {
	t.Helper()
	at, err := time.Parse("2006-01-02 15:04", text)
	if err != nil {
		t.Fatal(err)
	}
	return at
}

// TestEachFaultIsOnItsPage: the quarter with all faults in it, looked at on the day from
// which each can be seen; what is said of it is on no page of a quarter without it.
func TestEachFaultIsOnItsPage(t *testing.T) {
	now := day(t, "2027-03-31 21:00")
	l, without := withQuarter(t, &now, quarter.Codes()...), withQuarter(t, &now)
	for _, f := range quarter.Faults {
		now = day(t, f.Seen+" 21:00")
		says := strings.ReplaceAll(f.Says, "cm2", "cm²")
		page := l.AsElsewhere("MP1").Look(pageOf[f.Page])
		if of, dated := strings.CutSuffix(says, " on"); dated && !strings.Contains(page.Text(), says) {
			says = of + " at" // an hour of the day that is looked at
		}
		page.Says(http.StatusOK, f.About, says)
		if p := without.AsElsewhere("MP1").Look(pageOf[f.Page]); strings.Contains(p.Text(), says) {
			t.Errorf("%s: the page says %q where nothing is wrong", f.Code, says)
		}
	}
}

// Without faults each page says that nothing is wrong, and shows its rows.
func TestPagesOfAQuarter(t *testing.T) {
	now := day(t, "2027-02-23 21:00")
	l := withQuarter(t, &now)
	mp := l.As("MP1")
	mp.Look("/parcels").Says(http.StatusOK, "Nothing is wrong", "TI 0.9, Yellow-II", "wipe: below the critical level (not detected, below", "held S15")
	mp.Look("/bins").Says(http.StatusOK, "Nothing is wrong", "W1, ready", "10 half-lives")
	page := mp.Look("/surveys").Says(http.StatusOK, "Nothing is wrong", "hot lab", "below the critical level", "At a spill, 1")
	if !strings.Contains(page.Body, `id="sketch-R1-title"`) || !strings.Contains(page.Body, `id="trend-R1-1-title"`) || !strings.Contains(page.Body, "% of the action level") {
		t.Error("the sketch or the trend of a point is not drawn")
	}
	mp.Look("/inventory").Says(http.StatusOK, "L-1, Y-90, resin microspheres", "of 12 GBq", "waste bin")
	mp.Post("/inventory", url.Values{"at": {"2027-03-02T17:00"}}).Says(http.StatusOK, "2027-03-02")
	mp.Post("/inventory", url.Values{"at": {"soon"}}).Says(http.StatusOK, "soon")
	now = day(t, "2027-03-12 12:00")
	l.AsElsewhere("MP1").Look("/persons").Says(http.StatusOK, "ring 8.4 mSv of 500 mSv (1.7 %)", "fingertips 25.2 mSv of 500 mSv (5 %)", "unsealed sources, until")
}

// A bin that left is not among the waste that is held, and nobody is asked to survey it.
func TestReleasedBinIsNotHeld(t *testing.T) {
	now := day(t, "2027-03-31 21:00")
	l := withQuarter(t, &now)
	mp := l.As("MP1")
	mp.Look("/bins").Says(http.StatusOK, "W1", "released to the trash")
	held := mp.Look("/waste").Says(http.StatusOK, "W3")
	for _, page := range []*webtest.Page{held, mp.Look("/").Says(http.StatusOK, "Due")} {
		if text := page.Text(); strings.Contains(text, "W1 ") {
			t.Errorf("W1 was released: %s", text)
		}
	}
	if text := held.Text(); strings.Contains(text, "UTC") || !strings.Contains(text, ", at 22:00") {
		t.Errorf("the time is not as on the wall: %s", text)
	}
	records, err := quarter.Records(time.LoadLocation)
	if err != nil {
		t.Fatal(err)
	}
	released := slices.IndexFunc(records, func(r journal.Record) bool {
		x, ok := r.Fact.(*fact.ReleaseBin)
		return ok && x.Bin == "W1"
	})
	at := "/entry/" + strconv.Itoa(released+1) + "/correct"
	mp.Fill(at, "correct", at, "p0.reason", "it was W2 that left").Recorded()
	mp.Look("/").Says(http.StatusOK, "Waste item W1 was held for ten half-lives")
	early := withQuarter(t, &now, hotlab.BinReleasedEarly).As("MP1").Look("/").Says(http.StatusOK, "Due")
	if text := early.Text(); strings.Contains(text, "W1 was held") {
		t.Errorf("W1 was released before ten half-lives: %s", text)
	}
}

// What is entered on a form is on its page; what cannot be right is refused with the way
// out.
func TestEnter(t *testing.T) {
	now := day(t, "2027-04-02 09:00")
	l := withQuarter(t, &now)
	t1 := l.As("T1")
	enter := func(kind string, values ...string) *webtest.Page {
		return t1.Fill("/hot-lab/enter/"+kind, kind, "/hot-lab/enter/"+kind, values...)
	}
	enter("parcel", "p0.parcel", "PK-50", "p0.category", "yellow-ii", "p0.condition", "intact", "p0.papers", "agree", "p0.vials", "1", "p0.labelled", "3.0", "p0.labelled.unit", "GBq", "p0.reference", "2027-04-03T18:00").
		Says(http.StatusUnprocessableEntity, "a local time needs a zone")
	enter("parcel", "p0.parcel", "PK-50", "p0.category", "yellow-ii", "p0.condition", "intact", "p0.papers", "agree", "p0.vials", "1", "p0.labelled", "3.0", "p0.labelled.unit", "GBq", "p0.reference", "2027-04-03T18:00+02:00").Recorded()
	t1.Look("/parcels").Says(http.StatusOK, "PK-50", "as printed", "to be surveyed by")
	enter("open-parcel", "p0.parcel", "PK-50").Says(http.StatusUnprocessableEntity, "PK-50 was not surveyed")
	enter("open-parcel", "p0.parcel", "PK-05").Says(http.StatusUnprocessableEntity, "PK-05 was opened on")
	enter("open-parcel", "p0.parcel", "PK-5O").Says(http.StatusUnprocessableEntity, "no parcel PK-5O has arrived", "did you mean PK-50?")
	enter("parcel", "p0.parcel", "PK-50", "p0.category", "yellow-ii", "p0.condition", "intact", "p0.papers", "agree", "p0.vials", "1", "p0.labelled", "3.0", "p0.labelled.unit", "GBq", "p0.reference", "2027-04-03T18:00+02:00").
		Says(http.StatusUnprocessableEntity, "PK-50 arrived at")
	enter("parcel", "p0.parcel", "PK-51", "p0.line", "L-9", "p0.category", "yellow-ii", "p0.condition", "intact", "p0.papers", "agree", "p0.vials", "1", "p0.labelled", "3.0", "p0.labelled.unit", "GBq", "p0.reference", "2027-04-03T18:00+02:00").
		Says(http.StatusUnprocessableEntity, "the licence has no line L-9", "did you mean L-1?")
	enter("parcel-survey", "p0.parcel", "PK-50", "p0.meter", "SV3", "p0.surface", "0.21", "p0.surface.unit", "mSv/h", "p0.metre", "8.3", "p0.metre.unit", "uSv/h", "p0.background", "0.1", "p0.background.unit", "uSv/h",
		"p0.swab.gross", "118", "p0.swab.time", "60", "p0.swab.time.unit", "s", "p0.swab.blank", "100", "p0.swab.blank-time", "60", "p0.swab.blank-time.unit", "s", "p0.swab.efficiency", "40", "p0.swab.removed", "10", "p0.swab.area", "300", "p0.swab.area.unit", "cm2").Recorded()
	enter("parcel-survey", "p0.parcel", "PK-50", "p0.meter", "SV3", "p0.surface", "8.3", "p0.surface.unit", "uSv/h", "p0.metre", "0.21", "p0.metre.unit", "mSv/h", "p0.background", "0.1", "p0.background.unit", "uSv/h").
		Says(http.StatusUnprocessableEntity, "are the two swapped", "It is so")
	enter("open-parcel", "p0.parcel", "PK-50").Recorded()
	t1.Look("/parcels").Says(http.StatusOK, "TI 0.9, Yellow-II", "below the critical level (not detected", "opened")
	enter("release-bin", "p0.bin", "W3", "p0.meter", "SV3", "p0.gross", "600", "p0.time", "300", "p0.time.unit", "s", "p0.blank", "598", "p0.blank-time", "300", "p0.blank-time.unit", "s", "p0.sensitive", "yes", "p0.bare", "yes", "p0.labels", "defaced", "p0.route", "trash").
		Says(http.StatusUnprocessableEntity, "it was never closed")
	enter("close-bin", "p0.bin", "W9").Says(http.StatusUnprocessableEntity, "nothing was ever put into a bin W9")
	enter("bin-reading", "p0.bin", "W1", "p0.meter", "SV3", "p0.rate", "0.2", "p0.rate.unit", "uSv/h", "p0.background", "0.1", "p0.background.unit", "uSv/h").Says(http.StatusUnprocessableEntity, "W1 left on")
	enter("close-bin", "p0.bin", "W3").Recorded()
	enter("bin-reading", "p0.bin", "W3", "p0.meter", "SV3", "p0.rate", "0.2", "p0.rate.unit", "mR/h", "p0.background", "0.1", "p0.background.unit", "uSv/h").
		Says(http.StatusUnprocessableEntity, "one does not turn into the other", "ead both with one meter")
	enter("bin-reading", "p0.bin", "W3", "p0.meter", "SV3", "p0.rate", "0.21", "p0.rate.unit", "mR/h", "p0.background", "0.01", "p0.background.unit", "mR/h").Recorded()
	t1.Look("/bins").Says(http.StatusOK, "expected at its surface now: 0.2 mR/h over background")
	enter("release-bin", "p0.bin", "W3", "p0.meter", "SV3", "p0.gross", "600", "p0.time", "300", "p0.time.unit", "s", "p0.blank", "598", "p0.blank-time", "300", "p0.blank-time.unit", "s", "p0.sensitive", "yes", "p0.bare", "yes", "p0.labels", "defaced", "p0.route", "trash").
		Says(http.StatusUnprocessableEntity, "it is ready on")
	enter("point-reading", "p0.point", "R1-7", "p0.meter", "WC3").Says(http.StatusUnprocessableEntity, "R1-7 is no point of a room")
	enter("point-reading", "p0.point", "R1-1", "p0.meter", "WC3").Says(http.StatusUnprocessableEntity, "nothing was measured")
	enter("dose-report", "p0.who", "T1", "p0.dosemeter", "B-9", "p0.worn", "ring", "p0.from", "2027-03-01T00:00", "p0.to", "2027-02-01T00:00", "p0.measured", "1", "p0.measured.unit", "mSv").Says(http.StatusUnprocessableEntity, "it ends before it begins")
	enter("contaminated", "p0.event", "C9", "p0.who", "T1", "p0.part", "hand", "p0.at", "2027-04-02T08:00", "p0.since", "2027-04-02T08:30", "p0.level", "1", "p0.level.unit", "Bq/cm2", "p0.area", "1", "p0.area.unit", "cm2").
		Says(http.StatusUnprocessableEntity, "it was read before it came about")
	t1.Get("/hot-lab/enter/licence-line").Says(http.StatusForbidden)
	t1.Get("/hot-lab/enter/nothing").Says(http.StatusNotFound, "There is no such form")
}

// Each bad entry of the books of the site is refused, asked about or judged, with the way out,
// where it is entered.
func TestBadInput(t *testing.T) {
	now := day(t, "2027-03-03 18:00")
	l := withQuarter(t, &now, hotlab.MeterOverdue, hotlab.BinSlow, hotlab.RoomWithoutPoints)
	t1 := l.As("T1")
	enter := func(kind string, values ...string) *webtest.Page {
		return t1.Fill("/hot-lab/enter/"+kind, kind, "/hot-lab/enter/"+kind, values...)
	}
	wiped := func(gross, efficiency string) []string {
		return []string{"p0.swab.gross", gross, "p0.swab.time", "60", "p0.swab.time.unit", "s", "p0.swab.blank", "100", "p0.swab.blank-time", "60", "p0.swab.blank-time.unit", "s", "p0.swab.efficiency", efficiency, "p0.swab.removed", "10", "p0.swab.area", "100", "p0.swab.area.unit", "cm2"}
	}
	point := func(point, meter string, more ...string) *webtest.Page {
		return enter("point-reading", append([]string{"p0.point", point, "p0.meter", meter}, more...)...)
	}
	rate := []string{"p0.rate", "0.2", "p0.rate.unit", "uSv/h", "p0.background", "0.1", "p0.background.unit", "uSv/h"}
	// An instrument that the site does not have, and one past its calibration.
	point("R1-1", "WC9", wiped("101", "40")...).Says(http.StatusUnprocessableEntity, "WC9 is no instrument that the site had on", "did you mean WC3?")
	point("R1-2", "SV3", rate...).Says(http.StatusUnprocessableEntity, "calibration of SV3 was due on", "counts for no release", "Record it all the same")
	// A wipe that could not see its level keeps the room closed, and a later one that can opens it.
	both := func(gross, efficiency string) []string { return append(wiped(gross, efficiency), rate...) }
	point("R1-2", "WC3", both("101", "40")...).Recorded()
	point("R1-1", "WC3", wiped("104", "8")...).Recorded()
	mp := l.AsElsewhere("MP1")
	mp.Look("/surveys").Says(http.StatusOK, "cannot see the action level of 0.4 Bq/cm²: count 7 min")
	enter("release-room", "p0.room", "R1").Says(http.StatusUnprocessableEntity, "not surveyed today and found below the action level: R1-1")
	point("R1-1", "WC3", wiped("400", "40")...).Recorded()
	mp.Look("/surveys").Says(http.StatusOK, "Stop", "R1-1 (bench) has 1.250 ± 0.093 Bq/cm² of contamination")
	now = now.Add(5 * time.Minute)
	point("R1-1", "WC3", wiped("101", "40")...).Recorded()
	if p := mp.Look("/surveys").Says(http.StatusOK, "R1-1 (bench) has 1.250 ± 0.093 Bq/cm² of contamination", "it was clear at"); strings.Contains(p.Text(), "Stop R1-1") {
		t.Error("the stop stays after the point was found clear")
	}
	enter("release-room", "p0.room", "R1", "p0.at", "2027-03-03T18:00").Says(http.StatusUnprocessableEntity, "by then it was not surveyed", "after its last reading")
	enter("release-room", "p0.room", "R1", "p0.at", "").Recorded()
	// Rooms that are not there, and one without points.
	enter("release-room", "p0.room", "R7").Says(http.StatusUnprocessableEntity, "R7 is no room of the site", "known here: R1, R2")
	enter("release-room", "p0.room", "R2").Says(http.StatusUnprocessableEntity, "it has no point")
	mp.Look("/surveys").Says(http.StatusOK, "Room R2 has no point to be surveyed")
	// What is in one bin does not go into another.
	t1.Fill("/day/enter/discard", "discard", "/day/enter/discard", "p0.from", "S10", "p0.into", "W3").Says(http.StatusUnprocessableEntity, "nothing is in S10")
	// A badge of nobody, and a report that is there already.
	report := []string{"p0.who", "T1", "p0.dosemeter", "B-9", "p0.worn", "ring", "p0.from", "2027-02-01T00:00", "p0.to", "2027-03-01T00:00", "p0.measured", "1", "p0.measured.unit", "mSv"}
	enter("dose-report", append(report, "p0.who", "xy-9")...).Recorded()
	mp.Look("/persons").Says(http.StatusOK, "of xy-9, who is nobody here")
	enter("dose-report", report...).Recorded()
	enter("dose-report", report...).Says(http.StatusUnprocessableEntity, "is there already")
	enter("dose-report", append(report, "p0.to", "2029-03-01T00:00")...).Says(http.StatusUnprocessableEntity, "is still to come")
}

// The report of a dosimetry service is recorded whole or not at all: what is wrong is told with
// its line and field, and what is there already with its entry.
func TestDoseFile(t *testing.T) {
	now := day(t, "2027-04-02 09:00")
	l := withQuarter(t, &now)
	mp := l.As("MP1")
	const at, head = "/hot-lab/enter/dose-file", "who,dosemeter,worn,from,to,measured,report\n"
	send := func(lines string) *webtest.Page { return mp.Fill(at, "dose-file", at, "p0.csv", lines) }
	good := func(who string) string { return who + ",R-9,ring,2027-02-01T00:00,2027-03-01T00:00,4.2 mSv,2027-02\n" }
	before := l.Server.Lab.Report().Records
	for text, want := range map[string]string{
		head + good("T1") + strings.Replace(good("T2"), "4.2 mSv", "4.2", 1):     "line 3: measured:",
		head + good("T1") + strings.Replace(good("T2"), "ring", "ear", 1):        "line 3: worn:",
		head + good("T1") + good("T1"):                                           "line 3: the report of line 2 again",
		head + strings.Replace(good("T1"), "2027-03-01", "2027-01-01", 1):        "line 2: to: it ends before it begins",
		"who,dose\nT1,4.2 mSv\n":                                                 `line 1: no column is called "dose"`,
		head:                                                                     "there is no report in it",
		head + strings.Replace(good("T1"), "2027-03-01", "2028-03-01", 1):        "line 2: to: it is still to come",
		head + strings.Replace(good("T1"), "4.2 mSv", "4,2 mSv", 1):              "a decimal comma as a point",
		"PK\x03\x04\x00\x00 a worksheet":                                         "this is not text in UTF-8",
		head + strings.Replace(good("T1"), "R-9", "R-\xe9", 1):                   "this is not text in UTF-8",
		head + good("T1") + strings.Replace(good("T2"), "2027-02\n", "a,b\n", 1): "line 3: it has 8 values",
	} {
		send(text).Says(http.StatusUnprocessableEntity, want, "nothing was recorded")
	}
	if n := l.Server.Lab.Report().Records - before; n != 0 {
		t.Fatalf("%d entries of reports with a fault", n)
	}
	// All bad lines are told at once.
	send(head+strings.Replace(good("T1"), "4.2 mSv", "4.2", 1)+good("T2")+strings.Replace(good("RP1"), "ring", "ear", 1)+good("T2")).
		Says(http.StatusUnprocessableEntity, "line 2: measured:", "line 4: worn:", "line 5: the report of line 3 again", "Mend these lines")
	// A dose beyond a year's limit is asked about as on the form of one, and what was said stays.
	odd := head + strings.ReplaceAll(strings.Replace(good("T1"), "4.2 mSv", "420 Sv", 1)+good("T2")+strings.Replace(good("RP1"), "ring,", "body,", 1)+strings.Replace(good("MP1"), "ring", "body", 1), "2027-0", "2026-0")
	much := send(odd).Says(http.StatusUnprocessableEntity, "Line 2: 420 Sv is more than a whole year's limit of 500 mSv", "Nothing is recorded before the answer.")
	if n := l.Server.Lab.Report().Records - before; n != 0 || strings.Contains(much.Text(), "line 3: 4.2 mSv") {
		t.Errorf("%d entries before the answer, or a usual dose is asked about", n)
	}
	yes := much.Answered("dose-file", "p0.csv", 0)
	yes.Set("p0.csv", odd)
	mp.Post(at, yes).Recorded()
	if kept, _ := l.Server.Lab.Kept(func(f fact.Fact) bool { _, ok := f.(*fact.DoseReport); return ok }); kept[len(kept)-4].Fact.(*fact.DoseReport).Confirmed != "measured: 420 Sv is more than a whole year's limit of 500 mSv" ||
		kept[len(kept)-3].Fact.(*fact.DoseReport).Confirmed != "" {
		t.Errorf("what was confirmed is not kept: %+v", kept[len(kept)-4].Fact)
	}
	before = l.Server.Lab.Report().Records
	send(head + good("T1") + good("T2")).Recorded()
	if n := l.Server.Lab.Report().Records - before; n != 2 {
		t.Errorf("%d entries, want 2", n)
	}
	send(head+good("RP1")+good("T2")).Says(http.StatusUnprocessableEntity, "line 3: it is there already, as entry")
	mp.Look("/persons").Says(http.StatusOK, "ring 4.2 mSv of 500 mSv", "Enter a report as CSV")
}

// What would be held with an order is told before it is sent, and asked about before it is
// recorded: of two "3 GBq" vials for Saturday 18:00 10.20 GBq are held on Thursday at 16:57
// (6 GBq · 2^(49.05/64.0417), the worked example of package inventory), and four are twice
// that.
func TestForecast(t *testing.T) {
	now := day(t, "2027-06-01 09:00")
	l := withQuarter(t, &now)
	rp := l.As("RP1")
	const reference, due = "2027-06-05T18:00+01:00", "2027-06-03T16:57"
	ask := func(vials string) *webtest.Page {
		return rp.Post("/inventory", url.Values{"vials": {vials}, "labelled": {"3 GBq"}, "reference": {reference}, "due": {due}})
	}
	ask("2").Says(http.StatusOK, "With this order 10.20 ± 0.59 GBq", "the licence allows 12 GBq")
	ask("4").Says(http.StatusOK, "With this order 20.4", "more than the 12 GBq that the licence allows", "Order less or for a later day")
	rp.Post("/inventory", url.Values{"vials": {"two"}, "labelled": {"3"}, "reference": {"2027-06-05T18:00"}, "due": {due}}).
		Says(http.StatusOK, "this is no number of vials", "a local time needs a zone")
	order := func(id, vials string, more ...string) *webtest.Page {
		return rp.Fill("/hot-lab/enter/expect-parcel", "expect-parcel", "/hot-lab/enter/expect-parcel", append(more,
			"p0.parcel", id, "p0.vials", vials, "p0.labelled", "3", "p0.labelled.unit", "GBq", "p0.reference", reference, "p0.due", due)...)
	}
	order("PK-60", "2").Recorded()
	rp.Post("/inventory", url.Values{"at": {due}}).Says(http.StatusOK, "; 10.2 GBq (275.7 mCi) of it is in parcels due by then that have not arrived")
	p := order("PK-61", "1").Says(http.StatusUnprocessableEntity, "With this order 15.3", "more than the 12 GBq that the licence allows", "Record it all the same")
	answer := regexp.MustCompile(`name="p0.labelled.answer" value="([^"]+)"`).FindStringSubmatch(p.Body)
	if answer == nil {
		t.Fatal("there is no answer to give")
	}
	order("PK-61", "1", "p0.labelled.answer", answer[1]).Recorded()
}

// A vial of a closed order that is nowhere is put somewhere by each of the forms: it stays for
// another day, goes to waste, or goes back as an empty package; the page no longer asks for it,
// and the inventory knows where it is.
func TestWaysOfAVial(t *testing.T) {
	for _, c := range []struct {
		name, path, form string
		typed            []string
		inventory        string
	}{
		{"another day", "/hot-lab/enter/keep-stock", "keep-stock", []string{"p0.of", "S17", "p0.store", "safe 2", "p0.until", "2027-03-09T17:00"}, "S17 vial:"},
		{"waste", "/day/enter/discard", "discard", []string{"p0.from", "S17", "p0.into", "W9"}, "W9 waste bin:"},
		{"back", "/hot-lab/enter/left-site", "left-site", []string{
			"p0.of", "S17", "p0.surface", "0.3", "p0.surface.unit", "uSv/h", "p0.old-labels", "yes", "p0.empty-label", "yes", "p0.reason", "not needed",
			"p0.inside.gross", "110", "p0.inside.time", "60", "p0.inside.time.unit", "s", "p0.inside.blank", "100", "p0.inside.blank-time", "60", "p0.inside.blank-time.unit", "s",
			"p0.inside.efficiency", "40", "p0.inside.removed", "10", "p0.inside.area", "100", "p0.inside.area.unit", "cm2",
		}, "S17 sent back:"},
	} {
		now := day(t, "2027-03-02 21:00")
		l := withQuarter(t, &now, hotlab.ContainerNowhere)
		mp := l.As("MP1")
		mp.Look("/bins").Says(http.StatusOK, "nobody said where it is")
		l.AsElsewhere("T1").Fill(c.path, c.form, c.path, c.typed...).Recorded()
		p := mp.Look("/bins")
		if strings.Contains(p.Text(), "S17") && c.name != "waste" || strings.Contains(p.Text(), "nobody said where it is") || !strings.Contains(p.Text(), "Nothing is wrong") {
			t.Errorf("%s: %s", c.name, p.Text())
		}
		mp.Look("/inventory").Says(http.StatusOK, c.inventory)
		if c.name == "waste" { // and nothing more goes into a bin that left
			now = day(t, "2027-03-05 12:00")
			l.AsElsewhere("T1").Fill(c.path, c.form, c.path, "p0.from", "S18", "p0.into", "W1").Says(http.StatusUnprocessableEntity, "W1 left on")
		}
	}
}

// A vial is received out of its parcel, so that the inventory counts it once: of one with a
// parcel that nothing came out of yet it is asked, and one of a parcel that never came is
// refused.
func TestVialOutOfItsParcel(t *testing.T) {
	now := day(t, "2027-06-01 09:00")
	l := withQuarter(t, &now)
	t1 := l.As("T1")
	receive := func(vial string, more ...string) *webtest.Page {
		return t1.Fill("/day/enter/receive", "receive", "/day/enter/receive", append(more,
			"p0.vial", vial, "p0.lot", "L-1", "p0.labelled", "3.0", "p0.labelled.unit", "GBq", "p0.reference", "2027-06-01T18:00+01:00", "p0.volume", "5", "p0.volume.unit", "mL")...)
	}
	receive("S70").Recorded() // nothing came lately
	t1.Fill("/hot-lab/enter/parcel", "parcel", "/hot-lab/enter/parcel", "p0.parcel", "PK-70", "p0.category", "yellow-ii", "p0.condition", "intact", "p0.papers", "agree", "p0.vials", "1", "p0.labelled", "3.0", "p0.labelled.unit", "GBq", "p0.reference", "2027-06-01T18:00+01:00").Recorded()
	receive("S71").Says(http.StatusUnprocessableEntity, "Parcel PK-70 arrived", "with a vial that was not received yet", "It came in no parcel")
	receive("S71", "p0.parcel", "PK-7").Says(http.StatusUnprocessableEntity, "no parcel PK-7 has arrived")
	receive("S71", "p0.parcel", "PK-70").Recorded()
	receive("S72").Recorded() // it is empty
	t1.Look("/parcels").Says(http.StatusOK, "held S71")
	if p := t1.Look("/inventory").Text(); strings.Contains(p, "PK-70 parcel:") || !strings.Contains(p, "S71 vial: 3.27") {
		t.Errorf("the parcel is counted beside its vial: %s", p)
	}
}

// Long after the vials have decayed a bin that they went into is still known: it is only the
// content that is left out of the sum. One that was never closed is not released either.
func TestOldBinsAreKnown(t *testing.T) {
	now := day(t, "2027-09-30 21:00")
	l := withQuarter(t, &now)
	const release = "/hot-lab/enter/release-bin"
	l.As("T1").Fill(release, "release-bin", release, "p0.bin", "W3", "p0.meter", "SV3", "p0.gross", "600", "p0.time", "300", "p0.time.unit", "s", "p0.blank", "598", "p0.blank-time", "300", "p0.blank-time.unit", "s", "p0.sensitive", "yes", "p0.bare", "yes", "p0.labels", "defaced", "p0.route", "trash").
		Says(http.StatusUnprocessableEntity, "it was never closed")
	if p := l.As("MP1").Look("/bins"); strings.Contains(p.Text(), "Nothing was ever put into") {
		t.Error("a bin of the spring is said to have had nothing in it")
	}
}

// Every form of the room opens for who may send it, and asks for each field that must be
// given, and for nothing that the program writes itself.
func TestFormsOpen(t *testing.T) {
	now := day(t, "2027-04-02 09:00")
	l := withQuarter(t, &now)
	mp := l.As("MP1")
	for _, page := range pageOf {
		for _, part := range strings.Split(mp.Look(page).Body, `href="/hot-lab/enter/`)[1:] {
			kind, _, _ := strings.Cut(part, `"`)
			if p := mp.Look("/hot-lab/enter/" + kind); p.Status != http.StatusOK || len(p.Form(kind)) < 3 {
				t.Errorf("%s: %d", kind, p.Status)
			} else if strings.Contains(p.Body, "and confirmed") {
				t.Errorf("%s asks what was confirmed", kind)
			}
		}
	}
	// The end of something is never the time of the entry, as its beginning may be.
	const keep = "/hot-lab/enter/keep-stock"
	mp.Fill(keep, "keep-stock", keep, "p0.of", "S17", "p0.store", "safe 2").Says(http.StatusUnprocessableEntity, "Kept until")
}

func TestShielding(t *testing.T) {
	now := day(t, "2027-04-02 09:00")
	mp := withQuarter(t, &now).As("MP1")
	mp.Post("/shielding", url.Values{"wall": {"acrylic"}, "thick": {"8 mm"}}).Says(http.StatusOK, "let betas of Y-90 through: it takes 9.81 mm")
	mp.Post("/shielding", url.Values{"wall": {"acrylic"}, "thick": {"10 mm"}}).Says(http.StatusOK, "stop all betas", "(xraylib)", "[from memory")
	mp.Post("/shielding", url.Values{"thing": {"patient"}, "holds": {"1.5 GBq"}, "distance": {"1 m"}}).Says(http.StatusOK, "Cournane", "between")
	mp.Post("/shielding", url.Values{"wall": {"acrylic"}, "thick": {"ten"}}).Says(http.StatusOK, "Not answered", "ten")
	// Of 3.0 GBq in acrylic 24 uSv/h at 30 cm (a transport calculation), up to 88 in print.
	mp.Post("/shielding", url.Values{"thing": {"administration vial in a jar of 12 mm acrylic"}, "holds": {"3.0 GBq"}, "distance": {"30 cm"}}).Says(http.StatusOK, "About 24", "between 24", "88")
	mp.Post("/shielding", url.Values{"thing": {"parcel with a vial in acrylic and lead"}, "holds": {"W3"}, "distance": {"1 m"}}).Says(http.StatusOK, "with 1.373 GBq")
	mp.Post("/shielding", url.Values{"thing": {"patient"}, "holds": {"1.5 GBq"}, "distance": {"1 cm"}}).Says(http.StatusOK, "10 cm is the nearest")
	// 300·3.34 GBq by 0.0975 and 0.2951 mSv/GBq; 500 mSv of 10 CFR 20.1201 and a tenth of them.
	mp.Post("/shielding", url.Values{"prepared": {"3.34 GBq"}, "cases": {"300"}}).Says(http.StatusOK, "About 98 mSv to 300 mSv", "A tenth of the limit is not passed by 50 preparations of a novice and 153 of a trained person", "The limit of 500 mSv is not passed by 507 preparations", "10 CFR 20.1201", "Never hold it bare")
	mp.Post("/shielding", url.Values{"prepared": {"3.34 GBq"}, "cases": {"-1"}}).Says(http.StatusOK, "cannot be read")
}

// Who may still do a second check sees no activity on the pages of the room.
func TestNoFigureBeforeTheSecondCheck(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("transfer")
	for _, page := range []string{"/inventory", "/bins"} {
		p := s.AsElsewhere("MP1").Look(page)
		if p.Status != http.StatusOK || strings.Contains(p.Text(), "GBq") || strings.Contains(p.Text(), "MBq") {
			t.Errorf("%s shows figures: %d %s", page, p.Status, p.Text())
		}
		if p.Says(http.StatusOK, "Findings are not shown before your second check"); strings.Contains(p.Text(), "Nothing is wrong") {
			t.Errorf("%s says that nothing is wrong, and withholds what was found", page)
		}
	}
	s.AsElsewhere("T1").Look("/inventory").Says(http.StatusOK, "GBq") // drew it
}

// An entry of the site's own books is corrected like any other, and what rests on it
// moves.
func TestCorrect(t *testing.T) {
	now := day(t, "2027-03-31 21:00")
	l := withQuarter(t, &now, hotlab.DoseOfNobody)
	mp := l.As("MP1")
	page := mp.Look("/persons").Says(http.StatusOK, "xy-9, who is nobody here")
	_, rest, _ := strings.Cut(page.Body[strings.Index(page.Body, "xy-9, who is nobody here"):], `href="`)
	at, _, _ := strings.Cut(rest, `"`)
	if !strings.HasPrefix(at, "/entry/") {
		t.Fatalf("the finding leads to %q", at)
	}
	form := strings.TrimPrefix(regexp.MustCompile(`id="[a-z0-9-]+" class="entry`).FindString(mp.Look(at).Says(http.StatusOK, "xy-9").Body), `id="`)
	id, _, _ := strings.Cut(form, `"`)
	mp.Fill(at, id, at, "p0.reason", "it was nt-1: the number on the badge", "p0.with.dose-report.who", "MP1").Recorded()
	if p := mp.Look("/persons"); strings.Contains(p.Text(), "xy-9") {
		t.Error("the corrected entry is still of nobody")
	}
}

// What is drawn is recorded for what changed alone: a line, a point that was moved, and one that
// is new. Its action levels stay with a point that moves.
func TestSketchIsRecorded(t *testing.T) {
	now := day(t, "2027-04-02 09:00")
	l := withQuarter(t, &now)
	t1 := l.As("T1")
	const at = "/hot-lab/sketch/R1"
	page := t1.Look("/surveys").Says(http.StatusOK, "Draw the sketch and its points")
	if !strings.Contains(page.Body, `href="`+at+`"`) {
		t.Error("nothing leads to the sketch")
	}
	before := l.Server.Lab.Report().Records
	t1.Fill(at, "sketch", at).Says(http.StatusUnprocessableEntity, "Nothing was filled in")
	if n := l.Server.Lab.Report().Records - before; n != 0 {
		t.Fatalf("%d entries for nothing that changed", n)
	}
	t1.Fill(at, "sketch", at, "p1.x", "140").Says(http.StatusUnprocessableEntity, "Write a number from 0 to 100")
	t1.Fill(at, "sketch", at, "p0.sketch", "0,0 100,0 100,80; 5,5 20,5", "p1.x", "44", "p3.name", "sink", "p3.x", "70", "p3.y", "30", "p3.action", "0.4", "p3.action.unit", "Bq/cm2").Recorded()
	if n := l.Server.Lab.Report().Records - before; n != 3 {
		t.Errorf("%d entries, want a room and two points", n)
	}
	t1.Look("/surveys").Says(http.StatusOK, "1. bench (R1-1)", "3. sink (R1-3)", "action at 0.4 Bq/cm²")
	if v := t1.Look(at).Form("sketch"); v.Get("p1.x") != "44" || v.Get("p1.y") != "12" || v.Get("p0.sketch") != "0,0 100,0 100,80; 5,5 20,5" || v.Get("p4.point") != "R1-4" {
		t.Errorf("%v", v)
	}
	t1.Get("/hot-lab/sketch/R7").Says(http.StatusNotFound, "There is no such room")
}
