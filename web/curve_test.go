package web

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"time"

	"vialwright/dispensing"
	"vialwright/quantity"
	"vialwright/settling"
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
func readCurve(b *browser, at string, list [][2]string, changes ...string) *page {
	b.Helper()
	fields := []string{"p0.at", "10:20:00", "p0.background", "0.2", "p0.background.unit", "MBq"}
	for i, r := range list {
		fields = append(fields, rowOf(i+1, "since"), r[0], rowOf(i+1, "gross"), r[1])
	}
	return b.fill(at, "curve", at, append(fields, changes...)...)
}

// TestReadingWhileItSettles goes the whole way: the readings, the fit in words
// and in a picture, and what the bench says beside the clock.
func TestReadingWhileItSettles(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("receipt")
	s.clock.set("10:40")
	if !strings.Contains(s.t1.look("/").body, `href="`+theCurve+`"`) {
		t.Error("the case does not lead to the page")
	}
	s.t1.look(theCurve).says(200, "M1, 3 GBq in 5 mL", "No such vial was read while it settled by this meter.")
	before := s.t1.look(theBench + "/step/assay").text()
	if strings.Contains(before, "is off by") {
		t.Error("the bench knows of a curve before there is one")
	}
	if p := readCurve(s.t1, theCurve, rows).recorded(); p.location != theCurve {
		t.Errorf("it leads to %s", p.location)
	}
	p := s.t1.look(theCurve).says(200, "12 readings of S1 with 5 mL in it, shaken at 2027-03-04 10:20", "Freshly shaken 3.240 ± 0.0", "Change when all has settled -4.00 ± 0.68 %", "Time constant", "over 9: the curve fits",
		"Effect At the 95 % level the reading changes while the vial settles. Read within 20 s of shaking, else the reading is off by more than 1 % (an assumption).", "Read up to 10 min after shaking")
	for _, want := range []string{"picture-wide", "picture-narrow", "1 % off after 20 s", "within 1 % of the fresh reading, an assumption"} {
		if !strings.Contains(strings.ReplaceAll(p.body, "\u00a0", " "), want) {
			t.Errorf("the picture has no %q", want)
		}
	}
	// After 45 s it reads 4 %·(1 − exp(−45/70)) = 1.9 % too low.
	const line = "M1: read within 20 s of shaking, else the reading is off by more than 1\u00a0% (an assumption)."
	s.t1.look(theBench).says(200, line+" None was read so long after shaking as now.", "S1 was shaken 20 min ago")
	s.touch(s.t1, "one").recorded()
	s.t1.look(theBench).says(200, line+" A reading now is off by less than 0.1\u00a0%.")
	s.clock.add(45 * time.Second)
	s.t1.look(theBench).says(200, line+" A reading now is off by about 1.9\u00a0%, too low.")
	if strings.Contains(s.t1.look(theBench+"/step/draw").text(), "is off by") {
		t.Error("the line stands beside a step where nothing is read")
	}
	s.t1.look("/history").says(200, "settling test", "after 15 s 3.2149 GBq")
	st, err := s.srv.reckon(s.theFile(), s.clock.now())
	if err != nil || len(st.Case.Readings) != 0 {
		t.Errorf("the books hold %d readings, %v", len(st.Case.Readings), err)
	}
	text := ""
	for _, e := range (&request{Server: s.srv, r: httptest.NewRequest("GET", "/", nil)}).paperRecord(st).Entries {
		text += e.Text + "\n"
	}
	if !strings.Contains(text, "after 15 s 3.2149 GBq") {
		t.Errorf("the sheet says %s", text)
	}
	s.assay()
	s.draw()
	s.t1.look(theBench).says(200, "Assay of remainder", line, "That was measured with 5 mL in the vial, which holds 2.8 mL now.")
}

// TestCurveIsOfTheKind: another case with such a vial has it, one with another
// does not; the newest counts, whatever was recorded first.
func TestCurveIsOfTheKind(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("receipt")
	s.clock.set("10:40")
	readCurve(s.t1, theCurve, rows).recorded()
	s.rp.look("/") // which asks for the PIN again
	for vial, labelled := range map[string]string{"S7": "3.0", "S8": "6.0"} {
		s.t1.fill("/day/enter/receive", "receive", "/day/enter/receive", "p0.vial", vial, "p0.lot", "L-0400", "p0.labelled", labelled, "p0.labelled.unit", "GBq",
			"p0.reference", "2027-03-04T18:00", "p0.volume", "5.0", "p0.at", "10:05").recorded()
	}
	s.mp.look(theCurve).says(200, "12 readings of S1", "M1, 6 GBq in 5 mL", "No such vial was read")
	s.clock.set("10:50")
	flat := [][2]string{{"0", "3.24"}, {"60", "3.24"}, {"300", "3.24"}, {"600", "3.24"}}
	readCurve(s.t1, theCurve, flat, "p0.of", "S7", "p0.at", "10:15:00").recorded()
	s.t1.look(theCurve).says(200, "12 readings of S1")
	readCurve(s.t1, theCurve, flat, "p0.of", "S7", "p0.at", "10:30:00").recorded()
	s.t1.look(theCurve).says(200, "4 readings of S7", "No effect At the 95 % level the reading does not change while the vial settles: up to 10 min after shaking no change of the reading was found.")
	s.t1.look(theBench).says(200, "M1: up to 10 min after shaking no change of the reading was found.")
	at := "/entry/" + decimal(mustCase(s).Newest) + "/correct"
	s.t1.fill(at, "correct", at, "p0.reason", "the vial was taken out between", "p0.strike", "yes").recorded()
	s.t1.look(theCurve).says(200, "12 readings of S1")
}

// TestCurveRefused: what is wrong is said beside the field, and what was typed
// stays.
func TestCurveRefused(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("receipt")
	s.clock.set("10:40")
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
		{"still to come", []string{"p0.at", "2027-03-04T10:35:00"}, "the last of the readings is still to come"},
		{"no time", []string{"p0.at", "yesterday"}, "yesterday"},
		{"no curve", []string{rowOf(1, "gross"), "9", rowOf(2, "gross"), "0.5 MBq", rowOf(3, "gross"), "0.3 MBq"}, "no curve of this form with positive readings fits"},
	} {
		p := readCurve(s.t1, theCurve, rows, c.changes...)
		p.says(http.StatusUnprocessableEntity, c.says)
		if v := p.form("curve"); v.Get(c.changes[0]) != c.changes[1] {
			t.Errorf("%s: the field holds %q", c.name, v.Get(c.changes[0]))
		}
	}
	for _, r := range s.theFile().Records {
		if r.Fact.Kind() == "settling-test" {
			t.Error("one was recorded")
		}
	}
	// Rows may be left empty, and the readings be in another unit.
	v := s.t1.look(theCurve + "?unit=MBq").form("curve")
	for i, n := range []int{1, 2, 3, 4, 9, 12} {
		v.Set(rowOf(n, "since"), rows[i][0])
		v.Set(rowOf(n, "gross"), strings.Replace(rows[i][1], ".", "", 1)[:4])
	}
	v.Set("p0.at", "10:20:00")
	v.Set("p0.background", "0.2")
	s.t1.post(theCurve+"?unit=MBq", v).recorded()
	s.t1.look(theCurve).says(200, "6 readings of S1")
	s.t1.look("/history").says(200, "after 60 s 3164 MBq", "after 90 s 3145 MBq")
	s.dr.look(theCurve).says(403)
}

// TestCurveIsBlind: who may still do the second check of an order of the case
// sees neither the page nor, on that of another case, the figures; and nothing
// new on the bench.
func TestCurveIsBlind(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("receipt")
	s.clock.set("10:40")
	readCurve(s.t1, theCurve, rows).recorded()
	s.rp.look("/") // which asks for the PIN again
	s.t1.fill("/day/enter/receive", "receive", "/day/enter/receive", "p0.vial", "S7", "p0.lot", "L-0400", "p0.labelled", "3.0", "p0.labelled.unit", "GBq",
		"p0.reference", "2027-03-04T18:00", "p0.volume", "5.0", "p0.at", "10:05").recorded()
	for _, c := range chapters[3:9] {
		c.tell(s)
	}
	s.mp.look(theCurve).says(403, "you may do the second check")
	s.mp.post(theCurve, url.Values{}).says(403, "you may do the second check")
	for _, path := range []string{theCurve, theBench, theBench + "/step/assay", theBench + "/step/remainder", theBench + "/check", "/day"} {
		for _, figure := range []string{"3.24", "3.11", "3.1", "-4.0", "is off by", "20 s"} {
			// The reading before the draw is given for the check.
			if p := s.mp.look(path); strings.Contains(p.text(), figure) && !(figure == "3.24" && path == theBench+"/check") {
				t.Errorf("%s shows %s: %s", path, figure, p.text())
			}
		}
	}
	s.t1.look(theCurve).says(200, "Freshly shaken 3.240")
	s.check()
	s.mp.look(theCurve).says(200, "Freshly shaken 3.240")
}

// TestOffInWords.
func TestOffInWords(t *testing.T) {
	for _, c := range []struct {
		off  quantity.Fraction
		want string
	}{
		{0.0004, "less than 0.1 %"},
		{-0.00049, "less than 0.1 %"},
		{-0.0006, "about 0.1 %, too low"},
		{-0.0061, "about 0.6 %, too low"},
		{0.023, "about 2.3 %, too high"},
	} {
		if got := offBy(c.off); got != c.want {
			t.Errorf("%v is %q, want %q", c.off, got, c.want)
		}
	}
	small := &curve{SettlingTest: dispensing.SettlingTest{Meter: "M1"}, fit: settling.Settled{Fresh: 3e9, Amplitude: 0.005, Tau: 60, Effect: true, Last: 600}}
	quick := &curve{fit: settling.Settled{Fresh: 3e9, Amplitude: 0.5, Tau: 20, Effect: true, Last: 600}}
	if got := quick.within(); got != "the reading is off by more than 1 % (an assumption) within the first second after shaking." {
		t.Error(got)
	}
	if got := small.within(); got != "up to 10 min after shaking the reading is off by no more than 1 % (an assumption)." {
		t.Error(got)
	}
}
