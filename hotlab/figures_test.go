package hotlab_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"vialwright/fact"
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
		if f.Code == hotlab.BinReleasedEarly && strings.Contains(f.Text, "and would have been ready only on ") {
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

// What held when a reading was taken judges it, and nothing that was set later: a level that
// was lowered since, one that was not set yet, a fingertip ratio that was measured anew, a
// level of investigation, and working hours that changed. Figures by hand.
func TestJudgedByWhatHeldThen(t *testing.T) {
	const (
		before  = "survey-point: {point: R1-1, room: R1, name: bench, rate-action: 2.5 uSv/h, at: 2027-01-01T00:00}"
		lowered = "survey-point: {point: R1-1, room: R1, name: bench, rate-action: 0.5 uSv/h, at: 2027-03-05T00:00}"
		read1   = "point-reading: {point: R1-1, meter: WC1, at: 2027-03-04T17:00, rate: 1.1 uSv/h, background: 0.1 uSv/h}"
		read2   = "point-reading: {point: R1-1, meter: WC1, at: 2027-03-05T17:00, rate: 1.1 uSv/h, background: 0.1 uSv/h}"
		level   = "investigation-level: {worn: ring, month: 20 mSv, from: 2027-%s-01T00:00}"
		raised  = "investigation-level: {worn: ring, month: 40 mSv, from: 2027-03-01T00:00}"
	)
	ring := reported("R-1", "ring", "2027-01-01", "2027-02-01", "21 mSv")
	for _, c := range []struct {
		name  string
		lines []string
		code  hotlab.Code
		n     int
	}{
		{"below the level of then", []string{before, lowered, read1}, hotlab.PointAction, 0},
		{"above the level of then", []string{before, lowered, read1, read2}, hotlab.PointAction, 1},
		{"before there was a level", []string{lowered, read1}, hotlab.PointUnknown, 1},
		{"a month before the level", []string{ring, strings.Replace(level, "%s", "02", 1)}, hotlab.DoseInvestigate, 0},
		{"a month above the level of then", []string{ring, strings.Replace(level, "%s", "01", 1), raised}, hotlab.DoseInvestigate, 1},
	} {
		n := 0
		for _, f := range read(t, "", append(c.lines, counter)...).Findings {
			if f.Code == c.code {
				n++
			}
		}
		if n != c.n {
			t.Errorf("%s: %d findings %s, want %d", c.name, n, c.code, c.n)
		}
	}
	// 4 mSv by a ratio of 3 and 5 mSv by one of 2 are 22 mSv, and not 18.
	p := read(t, "eu", "finger-ratio: {who: rp-3, ratio: 3, from: 2027-01-01T00:00, text: measured}", "finger-ratio: {who: rp-3, ratio: 2, from: 2027-02-01T00:00, text: measured}",
		reported("R-1", "ring", "2027-01-01", "2027-02-01", "4 mSv"),
		reported("R-2", "ring", "2027-02-01", "2027-03-01", "5 mSv")).Persons[0]
	if tip, _ := p.Fingertip(); math.Abs(float64(tip/quantity.MilliSievert)-22) > 1e-9 {
		t.Errorf("the fingertips have %v", tip)
	}
	// Until the 8th the laboratory opened at 08:00, and since then at 10:00.
	hours := "working-time: {days: Mon Tue Wed Thu Fri, opens: '%s', closes: '17:00', from: 2027-%sT00:00}"
	in := strings.Replace(parcel, "09:00", "06:00", 1)
	b := read(t, "us", in, strings.NewReplacer("%sT", "01-01T", "%s", "08:00").Replace(hours), strings.NewReplacer("%sT", "03-08T", "%s", "10:00").Replace(hours))
	if due := b.Parcels[0].Due.Format("15:04"); due != "11:00" {
		t.Errorf("a parcel of the 4th is due at %s, want 11:00", due)
	}
}

// A reading is judged in the unit of the instrument, by the level as it is written: 0.35 less
// 0.10 uSv/h is the level of 0.25, for the binary a little less; 1560 cpm less 60 cpm are 25
// cps. What was shown stays as it was typed.
func TestJudgedInItsUnit(t *testing.T) {
	for _, c := range []struct {
		level, reading string
		action         bool
		says           string
	}{
		{"rate-action: 0.25 uSv/h", "rate: 0.35 uSv/h, background: 0.10 uSv/h", true, "reads 0.25 µSv/h less background"},
		{"rate-action: 0.25 uSv/h", "rate: 0.34 uSv/h, background: 0.10 uSv/h", false, ""},
		{"count-action: 1500 cpm", "count-rate: 1560 cpm, count-background: 60 cpm", true, "reads 1500 cpm less background"},
		{"count-action: 25 cps", "count-rate: 1559 cpm, count-background: 60 cpm", false, ""},
		{"count-action: 25 cps, rate-action: 0.25 uSv/h", "count-rate: 100 cps, rate: 0.1 uSv/h", true, "reads 100 cps less background"},
		{"rate-action: 0.25 mrem/h", "rate: 2.6 uSv/h, background: 0.1 uSv/h", true, "reads 0.25 mrem/h less background"},
	} {
		b := read(t, "", counter, "survey-point: {point: R1-1, room: R1, name: bench, at: 2027-01-01T00:00, "+c.level+"}",
			"point-reading: {point: R1-1, meter: WC1, at: 2027-03-04T17:00, shown: as typed, "+c.reading+"}")
		r := b.Rooms[0].Points[0].Readings[0]
		if r.NetAction != c.action || r.Shown != "as typed" || r.Clear() == c.action {
			t.Errorf("%s of %s: %+v", c.reading, c.level, r)
		}
		if c.action && !strings.Contains(b.Findings[0].Text, c.says) {
			t.Errorf("%s: %q", c.reading, b.Findings[0].Text)
		}
	}
}

// A room is not released on a survey by a meter whose calibration had run out, nor held by a
// point that was set afterwards.
func TestReleasedOnAnOldMeter(t *testing.T) {
	const (
		room     = "room: {room: R1, name: lab, at: 2027-01-01T00:00}"
		released = "release-room: {room: R1, at: 2027-03-04T18:00}"
		swabbed  = "point-reading: {point: R1-1, meter: WC1, at: 2027-03-04T17:00, swab: {gross: 101 counts, time: 60 s, blank: 100 counts, blank-time: 60 s, efficiency: 40 %, removed: 10 %, area: 300 cm2}}"
		later    = "survey-point: {point: R1-2, room: R1, name: door, action: 0.4 Bq/cm2, at: 2027-03-08T00:00}"
	)
	for due, want := range map[string]bool{"2027-03-01": true, "2027-06-01": false} {
		b := read(t, "", "instrument: {id: WC1, what: wipe-counter, at: 2027-01-01T00:00, due: "+due+"T00:00}", room, point, swabbed, released, later)
		found := map[hotlab.Code]bool{}
		for _, f := range b.Findings {
			found[f.Code] = true
		}
		if found[hotlab.RoomReleasedEarly] != want || found[hotlab.MeterOverdue] != want {
			t.Errorf("due %s: %+v", due, b.Findings)
		}
	}
}

// The dead time of a counter is taken off its counts, by hand: 24 000 counts in 60 s are m
// = 400 cps, and with 200 us after each n = m/(1 - 200e-6 m) = 400/0.92 = 434.7826 cps
// (non-paralysable counter; G. F. Knoll, Radiation Detection and Measurement, chapter 4; from
// memory, not seen). Less the blank of 100/(60 - 0.02) = 1.667222 cps, over 0.40, 0.10
// and 300 cm2: 36.09295 Bq/cm2, where 33.19444 would be read without. At 600 us the counter
// is blind for a quarter of the time, and nothing is said of the surface.
func TestDeadTimeIsTakenOff(t *testing.T) {
	const read24 = "point-reading: {point: R1-1, meter: WC1, at: 2027-03-04T17:00, swab: {gross: 24000 counts, time: 60 s, blank: 100 counts, blank-time: 60 s, efficiency: 40 %, removed: 10 %, area: 300 cm2}}"
	with := func(dead string) hotlab.Book {
		return read(t, "", strings.Replace(counter, "at: 2027", dead+"at: 2027", 1), point, read24)
	}
	for dead, want := range map[string]float64{"": 33.19444, "dead-time: 0.0002 s, ": 36.09295} {
		got := with(dead).Rooms[0].Points[0].Readings[0].Swab
		if got == nil || math.Abs(float64(got.Surface)/want-1) > 1e-6 {
			t.Errorf("with %q: %+v, not %v", dead, got, want)
		}
	}
	b := with("dead-time: 0.0006 s, ")
	if b.Rooms[0].Points[0].Readings[0].Swab != nil || !strings.Contains(b.Findings[0].Text, "blind for more than a tenth of the time") {
		t.Errorf("%+v", b.Findings)
	}
	// A bin counted at its release: 700 against 645 in 60 s are 0.9167 cps, below the
	// critical level 1.645 sqrt(2 645)/60 = 0.9846 cps. Blind for 8 ms after each count, the
	// meter was awake for 54.4 and 54.84 s: 1.1062 cps, above 1.0794.
	bin := []string{
		vial, discard, "instrument: {id: SV1, what: survey-meter, dead-time: 0.008 s, at: 2027-01-01T00:00}", "close-bin: {bin: W1, at: 2027-03-04T16:30}",
		`release-bin: {bin: W1, meter: SV1, at: 2027-03-09T09:00, gross: 700 counts, time: 60 s, blank: 645 counts, blank-time: 60 s, sensitive: "yes", bare: "yes", labels: defaced, route: trash}`,
	}
	above := func(lines ...string) (found bool) {
		for _, f := range read(t, "", lines...).Findings {
			found = found || f.Code == hotlab.BinAboveBackground
		}
		return found
	}
	if above(append([]string{vial, discard}, bin[3:]...)...) || !above(bin...) {
		t.Error("the dead time of the meter does not reach the counts of a bin")
	}
}

// A figure beyond a limit reads as beyond it: 37.004 GBq are not 37 GBq where 37 GBq are
// allowed, and 5.0004 mSv not 5 mSv.
func TestBeyondALimitReadsBeyondIt(t *testing.T) {
	const year = "profile: ours\ntitle: t\napproved-by: MP1\napproved-on: 2027-01-10\nvalues:\n" +
		"  - {key: effective-limit, figure: 50 mSv, compare: \">\", citation: c, mark: site, from: 2027-01-01}\n" +
		"  - {key: package-surface, figure: 2 mSv/h, compare: \">\", citation: c, mark: site, from: 2027-01-01}\n" +
		"  - {key: fetus-limit, figure: 5 mSv, compare: \">\", citation: c, mark: site, from: 2027-01-01}\n"
	held := "receive: {vial: S1, lot: L, labelled: 37.004 GBq, reference: 2027-03-10T12:00Z, volume: 5 mL, at: 2027-03-10T11:59}"
	line := "licence-line: {id: L-1, nuclide: Y-90, form: microspheres, most: 37 GBq, from: 2027-01-01T00:00}"
	for _, c := range []struct {
		profile string
		lines   []string
		says    string
	}{
		{"", []string{held, line}, "37.004 GBq is held of Y-90"},
		{"", []string{strings.Replace(strings.Replace(held, "37.004", "38.0", 1), "03-10T11:59", "03-09T12:00", 1), strings.Replace(line, "37 GBq", "49.27 GBq", 1)}, "49.272 GBq was held of Y-90"},
		{"", []string{"investigation-level: {worn: body, month: 5 mSv, from: 2027-01-01T00:00}", reported("B-1", "body", "2027-02-01", "2027-03-01", "5.0004 mSv")}, "rp-3 has 5.0004 mSv by body dosemeter in"},
		{"", []string{"investigation-level: {worn: body, year: 5 mSv, from: 2027-01-01T00:00}", reported("B-1", "body", "2027-02-01", "2027-03-01", "5.0004 mSv")}, "rp-3 has 5.0004 mSv this year"},
		{year, []string{reported("B-1", "body", "2027-02-01", "2027-03-01", "50.004 mSv")}, "rp-3 has 50.004 mSv "},
		{year, []string{"pregnancy: {who: rp-3, at: 2027-02-01T00:00}", reported("B-1", "fetus", "2027-02-01", "2027-03-01", "5.0004 mSv")}, "rp-3 has received 5.0004 mSv since"},
		{year, []string{parcel, "parcel-survey: {parcel: PK-1, at: 2027-03-04T09:10, meter: SV1, surface: 2.0004 mSv/h, metre: 8 uSv/h, background: 0 uSv/h}"}, "reads 2.0004 mSv/h at its surface, and more than"},
	} {
		b := read(t, c.profile, c.lines...)
		if !slices.ContainsFunc(b.Findings, func(f hotlab.Finding) bool { return strings.Contains(f.Text, c.says) }) {
			t.Errorf("%q is not said: %+v", c.says, b.Findings)
		}
	}
}

// The dosemeter of an unborn child counts instead of that of the body for its own time alone:
// what the body got between the declaration and that dosemeter counts beside it.
func TestUnbornChildBeforeItsDosemeter(t *testing.T) {
	body := func(from, to, dose string) string { return reported("B-1", "body", from, to, dose) }
	fetus := func(from, to, dose string) string { return reported("F-1", "fetus", from, to, dose) }
	for _, c := range []struct {
		name, says string // empty where 1 mSv is not passed
		reports    []string
	}{
		{"no dosemeter of its own", "1.2 mSv", []string{body("2027-01-10", "2027-02-01", "0.9 mSv"), body("2027-02-01", "2027-03-01", "0.3 mSv")}},
		{"it came a month later", "1.1 mSv", []string{body("2027-01-10", "2027-02-01", "0.9 mSv"), fetus("2027-02-01", "2027-03-01", "0.2 mSv"), body("2027-02-01", "2027-03-01", "0.8 mSv")}},
		{"its periods are not those of the body", "", []string{fetus("2027-01-25", "2027-03-02", "0.1 mSv"), fetus("2027-01-10", "2027-01-25", "0.1 mSv"), body("2027-01-01", "2027-02-01", "0.9 mSv"), body("2027-02-01", "2027-03-01", "0.8 mSv")}},
		{"it was not worn for a week", "1.3 mSv", []string{fetus("2027-01-10", "2027-02-01", "0.2 mSv"), fetus("2027-02-08", "2027-03-01", "0.3 mSv"), body("2027-01-01", "2027-02-01", "0.9 mSv"), body("2027-02-01", "2027-03-01", "0.8 mSv")}},
		{"it showed nothing", "", []string{fetus("2027-01-10", "2027-03-01", "0 mSv"), body("2027-01-01", "2027-02-01", "0.9 mSv"), body("2027-02-01", "2027-03-01", "0.8 mSv")}},
		{"before the declaration", "", []string{body("2026-12-10", "2027-01-10", "3 mSv"), body("2027-01-10", "2027-02-01", "0.9 mSv")}},
	} {
		said := ""
		for _, f := range read(t, "eu", append(c.reports, "pregnancy: {who: rp-3, at: 2027-01-10T00:00}")...).Findings {
			if f.Code == hotlab.FetusDose {
				_, said, _ = strings.Cut(f.Text, "has received ")
				said, _, _ = strings.Cut(said, " since")
			}
		}
		if said != c.says {
			t.Errorf("%s: %q is said, not %q", c.name, said, c.says)
		}
	}
}

// What a fingertip dosemeter of one hand measured is said and held against the level of the
// site also where the ring of the other hand comes to more by the ratio: 60 mSv on the left,
// 30 mSv by three on the right. The fingertips are 90 mSv then, and judged by that level too.
func TestFingertipOfTheOtherHand(t *testing.T) {
	lines := []string{
		"finger-ratio: {who: rp-3, ratio: 3, from: 2027-01-01T00:00, text: t}",
		reported("T-1", "fingertip, hand: left", "2027-01-01", "2027-02-01", "60 mSv"),
		reported("R-1", "ring, hand: right", "2027-01-01", "2027-02-01", "30 mSv"),
	}
	p := read(t, "", lines...).Persons[0]
	tip, _ := p.Fingertip()
	if measured := p.Year[fact.WornTip]; math.Abs(float64(measured/quantity.MilliSievert)-60) > 1e-9 || math.Abs(float64(tip/quantity.MilliSievert)-90) > 1e-9 {
		t.Errorf("%v mSv measured and %v mSv in all", measured/quantity.MilliSievert, tip/quantity.MilliSievert)
	}
	for level, want := range map[string]string{"50 mSv": "rp-3 has 90 mSv this year at the fingertips, by the ratio of the person", "89 mSv": "rp-3 has 90 mSv this year at the fingertips, by the ratio of the person", "91 mSv": ""} {
		said := ""
		for _, f := range read(t, "", append(lines, "investigation-level: {worn: fingertip, year: "+level+", from: 2027-01-01T00:00}")...).Findings {
			if f.Code == hotlab.DoseInvestigate {
				said, _, _ = strings.Cut(f.Text, ", and the site")
			}
		}
		if said != want {
			t.Errorf("a level of %s: %q, want %q", level, said, want)
		}
	}
}
