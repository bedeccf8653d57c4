package hotlab_test

import (
	"math"
	"strings"
	"testing"

	"vialwright/hotlab"
	"vialwright/protection"
	"vialwright/quantity"
)

// A room is given back only on readings that saw every level of its points: counts that
// cannot be used, or a dose rate beside a level of contamination, say nothing of it.
func TestReleasedOnWhatSaysNothing(t *testing.T) {
	const (
		released = "release-room: {room: R1, at: 2027-03-04T18:00}"
		room     = "room: {room: R1, name: lab, at: 2027-01-01T00:00}"
		swab     = "swab: {gross: %, time: 60 s, blank: #, blank-time: 60 s, efficiency: 40 %%, removed: 10 %%, area: 300 cm2}"
	)
	counts := func(gross, blank string) string {
		return strings.NewReplacer("%%", "%", "%", gross, "#", blank).Replace(swab)
	}
	both := strings.Replace(point, "action:", "rate-action: 2.5 uSv/h, action:", 1)
	for _, c := range []struct {
		name, point, measured string
		open                  bool
	}{
		{"seen and below", point, counts("101 counts", "100 counts"), false},
		{"a blank of no count", point, counts("5000 counts", "0 counts"), true},
		{"far below the blank", point, counts("1 counts", "9000 counts"), true},
		{"dose rate alone", point, "rate: 0.1 uSv/h, background: 0.1 uSv/h", true},
		{"wipe alone", both, counts("101 counts", "100 counts"), true},
		{"both", both, "rate: 0.1 uSv/h, background: 0.1 uSv/h, " + counts("101 counts", "100 counts"), false},
		{"nothing", point, "shown: 4 cps", true},
	} {
		b := read(t, "", counter, room, c.point, "point-reading: {point: R1-1, meter: WC1, at: 2027-03-04T17:00, "+c.measured+"}", released)
		open := false
		for _, f := range b.Findings {
			open = open || f.Code == hotlab.RoomReleasedEarly
			if strings.Contains(f.Text, "..") {
				t.Errorf("%s: two full stops in %q", c.name, f.Text)
			}
		}
		if open != c.open {
			t.Errorf("%s: released early is %v, not %v", c.name, open, c.open)
		}
	}
}

// The wipe of a package that cannot be used is said, and not passed over.
func TestInsideThatCannotBeUsed(t *testing.T) {
	b := read(t, "us", vial, `left-site: {of: S1, how: returned, at: 2027-03-05T10:00, surface: 1 uSv/h, old-labels: "yes", empty-label: "yes", reason: empty, inside: {gross: 90000 counts, time: 60 s, blank: 0 counts, blank-time: 60 s, efficiency: 40 %, removed: 10 %, area: 300 cm2}}`)
	for _, f := range b.Findings {
		if f.Code == hotlab.EmptyPackage && strings.Contains(f.Text, "cannot be used") {
			return
		}
	}
	t.Errorf("%+v", b.Findings)
}

// What was read an hour after it came about was more when it came about: 60 kBq/cm2 at 12:00
// were 60·2^(1/64.0417) at 11:00, and give by integration over the hour
// 2.0·60·T/ln 2·(2^(1/T) - 1) mSv, and what is left afterwards 2.0·60·T/ln 2.
func TestSkinSince(t *testing.T) {
	b := read(t, "eu", `contaminated: {event: C1, who: rp-3, part: hand, since: 2027-03-04T11:00, at: 2027-03-04T12:00, level: 60 kBq/cm2, area: 1 cm2, ended: "yes"}`)
	const T = 230550.0 / 3600
	want := 2.0 * 60 * T / math.Ln2 * math.Pow(2, 1/T)
	if got := float64(b.Skin[0].Dose / quantity.MilliSievert); math.Abs(got/want-1) > 1e-4 {
		t.Errorf("%.6g mSv, not %.6g", got, want)
	}
	if protection.SkinRate != 2*quantity.MilliSievertPerHour {
		t.Error("the rate is not the published one")
	}
}

// A bin that left before its time is found years later as well, when nothing of what it
// held is left.
func TestReleasedEarlyIsNotForgotten(t *testing.T) {
	back := func(s string) string { return strings.ReplaceAll(s, "2027-03-", "2024-03-") }
	b := read(t, "eu", back(vial), back(discard), "close-bin: {bin: W1, at: 2024-03-04T17:00, mass: 100 g}",
		`release-bin: {bin: W1, meter: SV1, at: 2024-03-06T09:00, gross: 600 counts, time: 300 s, blank: 598 counts, blank-time: 300 s, sensitive: "yes", bare: "yes", labels: defaced, route: trash}`)
	for _, f := range b.Findings {
		if f.Code == hotlab.BinReleasedEarly {
			return
		}
	}
	t.Errorf("%+v: %+v", b.Bins[0].Ready, b.Findings)
}

// Two persons who were contaminated at one event keep each their own dose: 60 kBq/cm2 for
// 15 min is 30 mSv by the worked example of package protection, 20 kBq/cm2 a third of it.
func TestTwoPersonsOfOneEvent(t *testing.T) {
	var lines []string
	for _, x := range []struct{ who, level string }{{"rp-3", "60"}, {"rp-4", "20"}} {
		lines = append(lines,
			"contaminated: {event: C1, who: "+x.who+", part: hand, at: 2027-03-04T11:00, level: "+x.level+" kBq/cm2, area: 1 cm2}",
			"contaminated: {event: C1, who: "+x.who+`, part: hand, at: 2027-03-04T11:15, level: 0.001 Bq/cm2, area: 1 cm2, ended: "yes"}`)
	}
	got := map[string]float64{}
	for _, p := range read(t, "eu", lines...).Persons {
		got[p.ID] = float64(p.Skin / quantity.MilliSievert)
	}
	for who, want := range map[string]float64{"rp-3": 30, "rp-4": 10} {
		if math.Abs(got[who]/want-1) > 2e-3 {
			t.Errorf("%s: %g mSv, want %g", who, got[who], want)
		}
	}
}

// A finding asks for the counting time that its page asks for, also below a minute.
func TestShortCount(t *testing.T) {
	b := read(t, "", counter, strings.Replace(point, "0.4 Bq/cm2", "10 Bq/cm2", 1),
		"point-reading: {point: R1-1, meter: WC1, at: 2027-03-04T17:00, swab: {gross: 4 counts, time: 1 s, blank: 3 counts, blank-time: 1 s, efficiency: 40 %, removed: 10 %, area: 20 cm2}}")
	r := b.Rooms[0].Points[0].Readings[0]
	if r.Swab == nil || r.Swab.State != protection.CannotSee || r.Swab.Count <= 0 || r.Swab.Count >= quantity.Minute {
		t.Fatalf("%+v", r.Swab)
	}
	_, asks, _ := strings.Cut(r.State(), ": count ")
	for _, f := range b.On(hotlab.Surveys) {
		if f.Code == hotlab.PointBlind && asks != "" && strings.HasSuffix(f.Text, ": count "+asks+".") {
			return
		}
	}
	t.Errorf("the page asks for %q, and the findings are %+v", asks, b.Findings)
}
