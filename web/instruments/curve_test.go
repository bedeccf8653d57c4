package instruments_test

import (
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"testing"
	"time"

	"vialwright/fact"
	"vialwright/web/kit"
	"vialwright/web/webtest"
)

const theCurve = "/curve"

// rows are twelve readings of 3.24 GBq, background in it, that fall by 4 %
// with 70 s, and decay: no real meter.
var rows = [][2]string{
	{"0", "3.2400"},
	{"15", "3.2149"},
	{"30", "3.1945"},
	{"45", "3.1781"},
	{"60", "3.1648"},
	{"90", "3.1454"},
	{"120", "3.1326"},
	{"180", "3.1186"},
	{"240", "3.1124"},
	{"300", "3.1094"},
	{"420", "3.1068"},
	{"600", "3.1048"},
}

// readCurve fills the form in and sends it.
func readCurve(b *webtest.Browser, at string, list [][2]string, changes ...string) *webtest.Page {
	b.Helper()
	fields := []string{"p0.at", "10:20:00", "p0.background", "0.2", "p0.background.unit", "MBq"}
	for i, r := range list {
		fields = append(fields, rowOf(i+1, "since"), r[0], rowOf(i+1, "gross"), r[1])
	}
	return b.Fill(at, "curve", at, append(fields, changes...)...)
}

// TestReadingWhileItSettles goes the whole way: the readings, the fit in words
// and in a picture, and what the bench says beside the clock.
func TestReadingWhileItSettles(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("receipt")
	s.Clock.Set("10:40")
	if !strings.Contains(s.T1.Look("/").Body, `href="`+theCurve+`"`) {
		t.Error("the case does not lead to the page")
	}
	s.T1.Look(theCurve).Says(200, "M1, 3 GBq in 5 mL", "There is no settling test of this kind of vial with this meter.")
	before := s.T1.Look(webtest.Bench + "/step/assay").Text()
	if strings.Contains(before, "is off by") {
		t.Error("the bench knows of a curve before there is one")
	}
	if p := readCurve(s.T1, theCurve, rows).Recorded(); p.Location != theCurve {
		t.Errorf("it leads to %s", p.Location)
	}
	p := s.T1.Look(theCurve).Says(200, "12 readings of S1 with 5 mL in it, resuspended at 2027-03-04 10:20", "Freshly resuspended 3.240 ± 0.0", "Change when all has settled -4.00 ± 0.68 %", "Time constant", ", 9: the curve fits",
		"Effect At the 95 % level the reading changes while the vial settles. Read within 20 s of resuspension, else the reading is off by more than 1 % (an assumption).", "Read up to 10 min after resuspension")
	for _, want := range []string{"picture-wide", "picture-narrow", "1 % off after 20 s", "within 1 % of the fresh reading, an assumption"} {
		if !strings.Contains(strings.ReplaceAll(p.Body, "\u00a0", " "), want) {
			t.Errorf("the picture has no %q", want)
		}
	}
	// After 45 s it reads 4 %·(1 − exp(−45/70)) = 1.9 % too low.
	const line = "M1: read within 20 s of resuspension, else the reading is off by more than 1\u00a0% (an assumption)."
	s.T1.Look(webtest.Bench).Says(200, line+" No reading of the test is as late as now.", "S1 was resuspended 20 min ago")
	s.Touch(s.T1, "one").Recorded()
	s.T1.Look(webtest.Bench).Says(200, line+" A reading now is off by less than 0.1\u00a0%.")
	s.Clock.Add(45 * time.Second)
	s.T1.Look(webtest.Bench).Says(200, line+" A reading now is off by about 1.9\u00a0%, too low.")
	if strings.Contains(s.T1.Look(webtest.Bench+"/step/draw").Text(), "is off by") {
		t.Error("the line stands beside a step where nothing is read")
	}
	s.T1.Look("/history").Says(200, "settling test", "after 15 s 3.2149 GBq")
	if n := len(s.Reckoned(webtest.Case(s)).Case.Readings); n != 0 {
		t.Errorf("the books hold %d readings", n)
	}
	text := s.RP.Printed("/sheet/P1.pdf")
	if !strings.Contains(text, "after 15 s 3.2149 GBq") {
		t.Errorf("the sheet says %s", text)
	}
	s.Go("assay", "draw")
	s.T1.Look(webtest.Bench).Says(200, "Assay of remainder", line, "That was measured with 5 mL in the vial, which holds 2.8 mL now.")
}

// TestCurveIsOfTheKind: another case with such a vial has it, one with another
// does not; the newest counts, whatever was recorded first.
func TestCurveIsOfTheKind(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("receipt")
	s.Clock.Set("10:40")
	readCurve(s.T1, theCurve, rows).Recorded()
	s.RP.Look("/") // which asks for the PIN again
	for vial, labelled := range map[string]string{"S7": "3.0", "S8": "6.0"} {
		s.T1.Fill("/day/enter/receive", "receive", "/day/enter/receive", "p0.vial", vial, "p0.lot", "L-0400", "p0.labelled", labelled, "p0.labelled.unit", "GBq",
			"p0.reference", "2027-03-04T18:00", "p0.volume", "5.0", "p0.at", "10:05").Recorded()
	}
	s.MP.Look(theCurve).Says(200, "12 readings of S1", "M1, 6 GBq in 5 mL", "There is no settling test of this kind of vial")
	s.Clock.Set("10:50")
	flat := [][2]string{{"0", "3.24"}, {"60", "3.24"}, {"300", "3.24"}, {"600", "3.24"}}
	readCurve(s.T1, theCurve, flat, "p0.of", "S7", "p0.at", "10:15:00").Recorded()
	s.T1.Look(theCurve).Says(200, "12 readings of S1")
	readCurve(s.T1, theCurve, flat, "p0.of", "S7", "p0.at", "10:30:00").Recorded()
	s.T1.Look(theCurve).Says(200, "4 readings of S7", "No effect At the 95 % level the reading does not change while the vial settles: up to 10 min after resuspension no change of the reading was found.")
	s.T1.Look(webtest.Bench).Says(200, "M1: up to 10 min after resuspension no change of the reading was found.")
	at := "/entry/" + webtest.Decimal(webtest.Case(s).Newest) + "/correct"
	s.T1.Fill(at, "correct", at, "p0.reason", "the vial was taken out between", "p0.strike", "yes").Recorded()
	s.T1.Look(theCurve).Says(200, "12 readings of S1")
}

// rowOf is the control of a row.
func rowOf(n int, what string) string { return kit.Control(0, "readings."+strconv.Itoa(n)+"."+what) }

// TestCurveRefused: what is wrong is said beside the field, and what was typed
// stays.
func TestCurveRefused(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("receipt")
	s.Clock.Set("10:40")
	for _, c := range []struct {
		name    string
		changes []string
		says    string
	}{
		{"backwards", []string{rowOf(3, "since"), "10"}, "10 s comes after 15 s"},
		{"below its background", []string{rowOf(5, "gross"), "0.1 MBq"}, "the background 0.2 MBq is not below the reading 0.1 MBq"},
		{"half a row", []string{rowOf(12, "gross"), ""}, "gross is missing"},
		{"no number", []string{rowOf(2, "gross"), "three"}, "it does not begin with a number"},
		{"too few", []string{rowOf(2, "gross"), ""}, "it is empty"},
		{"still to come", []string{"p0.at", "2027-03-04T10:35:00"}, "the last reading is in the future"},
		{"no time", []string{"p0.at", "yesterday"}, "yesterday"},
		{"no curve", []string{rowOf(1, "gross"), "9", rowOf(2, "gross"), "0.5 MBq", rowOf(3, "gross"), "0.3 MBq"}, "No curve of this form with positive readings fits"},
	} {
		p := readCurve(s.T1, theCurve, rows, c.changes...)
		p.Says(http.StatusUnprocessableEntity, c.says)
		if v := p.Form("curve"); v.Get(c.changes[0]) != c.changes[1] {
			t.Errorf("%s: the field holds %q", c.name, v.Get(c.changes[0]))
		}
	}
	for _, r := range webtest.Case(s).Records {
		if fact.Word(r.Fact) == "settling-test" {
			t.Error("one was recorded")
		}
	}
	// Rows may be left empty, and the readings be in another unit.
	v := s.T1.Look(theCurve + "?unit=MBq").Form("curve")
	for i, n := range []int{1, 2, 3, 4, 9, 12} {
		v.Set(rowOf(n, "since"), rows[i][0])
		v.Set(rowOf(n, "gross"), strings.Replace(rows[i][1], ".", "", 1)[:4])
	}
	v.Set("p0.at", "10:20:00")
	v.Set("p0.background", "0.2")
	s.T1.Post(theCurve+"?unit=MBq", v).Recorded()
	s.T1.Look(theCurve).Says(200, "6 readings of S1")
	s.T1.Look("/history").Says(200, "after 60 s 3164 MBq", "after 90 s 3145 MBq")
	s.DR.Look(theCurve).Says(403)
}

// TestCurveIsBlind: who may still do the second check of an order of the case
// sees neither the page nor, on that of another case, the figures; and nothing
// new on the bench.
func TestCurveIsBlind(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("receipt")
	s.Clock.Set("10:40")
	readCurve(s.T1, theCurve, rows).Recorded()
	s.RP.Look("/") // which asks for the PIN again
	s.T1.Fill("/day/enter/receive", "receive", "/day/enter/receive", "p0.vial", "S7", "p0.lot", "L-0400", "p0.labelled", "3.0", "p0.labelled.unit", "GBq",
		"p0.reference", "2027-03-04T18:00", "p0.volume", "5.0", "p0.at", "10:05").Recorded()
	for _, c := range webtest.Chapters[3:9] {
		c.Tell(s)
	}
	s.MP.Look(theCurve).Says(403, "You may do the second check")
	s.MP.Post(theCurve, url.Values{}).Says(403, "You may do the second check")
	for _, path := range []string{theCurve, webtest.Bench, webtest.Bench + "/step/assay", webtest.Bench + "/step/remainder", webtest.Bench + "/check", "/day"} {
		for _, figure := range []string{"3.24", "3.11", "3.1", "-4.0", "is off by", "20 s"} {
			// The reading before the draw is given for the check.
			if p := s.MP.Look(path); strings.Contains(p.Text(), figure) && !(figure == "3.24" && path == webtest.Bench+"/check") {
				t.Errorf("%s shows %s: %s", path, figure, p.Text())
			}
		}
	}
	s.T1.Look(theCurve).Says(200, "Freshly resuspended 3.240")
	s.Go("second-check")
	s.MP.Look(theCurve).Says(200, "Freshly resuspended 3.240")
}
