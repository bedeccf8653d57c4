package instruments_test

import (
	"net/http"
	"regexp"
	"strings"
	"testing"

	"vialwright/web/webtest"
)

// The book from the first instrument on: what is entered, what a test comes to, what is
// due, the chart, and the certificate.
func TestMeterBook(t *testing.T) {
	l := webtest.New(t, nil).Hire()
	mp, t1 := l.As("MP1"), l.As("T1")
	mp.Look("/instruments").Says(200, "No instrument is in the book yet.")
	const enter = "/instruments/enter/"
	p := mp.Fill(enter+"instrument", "enter", enter+"instrument", "p0.id", "M1", "p0.what", "activity-meter", "p0.serial", "A17", "p0.at", "2027-03-01T08:00").Recorded()
	if p.Location != "/instruments" {
		t.Errorf("it leads to %s", p.Location)
	}
	mp.Look("/instruments").Says(200, "Activity meter", "M1: background of the day was never done.")
	// A source from the future, and one in the wrong unit, are refused beside their field.
	source := []string{"p0.id", "CS1", "p0.nuclide", "Cs-137", "p0.activity", "7.4", "p0.activity.unit", "MBq", "p0.u", "1.5", "p0.reference", "2023-09-03T08:00", "p0.at", "2027-03-01T08:00"}
	mp.Fill(enter+"check-source", "enter", enter+"check-source", append(source, "p0.reference", "2072-09-03T08:00")...).Says(422, "Check the year of both dates")
	// What a certificate says is of no time where none is written, and never of now.
	mp.Fill(enter+"check-source", "enter", enter+"check-source", append(source, "p0.reference", "")...).Says(422, "it is empty")
	mp.Fill(enter+"check-source", "enter", enter+"check-source", append(source, "p0.half-life", "30.05", "p0.half-life.unit", "d")...).Says(422, "more than 0.5 %")
	mp.Fill(enter+"check-source", "enter", enter+"check-source", append(source, "p0.half-life", "", "p0.half-life.unit", "")...).Recorded()
	mp.Fill(enter+"calibration", "enter", enter+"calibration", "p0.of", "M1", "p0.container", "shipping-vial", "p0.setting", "Y-90", "p0.factor", "0.93", "p0.u", "0.5", "p0.basis", "label", "p0.from", "2027-03-01T08:00", "p0.fill", "1 5").Recorded()

	const of = "/instruments/of/M1"
	for _, mbq := range []string{"6.84", "6.83", "6.82", "6.835", "6.845", "6.2"} {
		t1.Fill(of+"/test/constancy", "test", of+"/test/constancy", "p0.setting", "Cs-137", "p0.with", "CS1", "p0.readings.1.gross", mbq, "p0.readings.1.gross.unit", "MBq", "p0.readings.1.background", "0", "p0.readings.1.background.unit", "MBq").Recorded()
		l.Clock.Add(60e9)
	}
	t1.Fill(of+"/test/background", "test", of+"/test/background", "p0.readings.1.gross", "0.2", "p0.readings.1.gross.unit", "MBq").Recorded()
	body := t1.Look(of).Says(200, "M1: activity meter", "Serial number", "A17", "constancy, good: 6.84 MBq for 6.826 MBq expected (source CS1): +0.2", "M1: constancy of the day failed on 4 Mar 2027.", "constancy, bad: 6.2 MBq",
		"The constancy of M1 on 4 Mar 2027 departs by -9.17 %, more than the tolerance of 5 % (assumed, no source).", "The constancy of M1", "6 tests from 4 Mar 2027 to 4 Mar 2027; limits at three standard deviations, from the first 5 that passed.",
		"Doses are calculated with a factor of 1 for the shipping vial, and the calibration of 1 Mar 2027 has 0.93.", "A year", "Earlier").Body
	if !strings.Contains(body, "picture-wide") || strings.Contains(body, "background of the day was never done") {
		t.Error("there is no chart, or the background is still due")
	}
	if text := t1.Printed(of + "/certificate.pdf"); !strings.Contains(text, "Calibration certificate M1") || !strings.Contains(text, "0.93") || !strings.Contains(text, "Record head") {
		t.Errorf("the certificate says %s", text)
	}
	t1.Look(of+"?span=all").Says(200, "All years", "6 tests")
	t1.Look(of+"?span=30&until=2027-02-01").Says(200, "No test was made in this time.", "Later")
	t1.Look("/instruments/of/M7").Says(404, "There is no such instrument")
	t1.Look(enter + "instrument").Says(403)
}

// A new entry begins with what is in force: each field that it takes over says so, and
// those that are of the entry alone are empty.
func TestEntryBeginsWithTheLastOne(t *testing.T) {
	l := webtest.New(t, nil).Hire()
	mp := l.As("MP1")
	l.Tell("instrument: {id: M1, what: activity-meter, serial: A17, low: 10 kBq, high: 20 GBq, calibrated: 2026-03-01T08:00, due: 2028-03-01T08:00, at: 2027-03-01T08:00, reason: new}",
		"check-source: {id: CS1, nuclide: Cs-137, activity: 7.4 MBq, u: 1.5 %, reference: 2023-09-03T08:00, at: 2027-03-01T08:00}",
		"calibration: {of: M1, container: syringe, setting: Y-90, factor: 0.94, u: 2 %, basis: label, low: 100 MBq, high: 3 GBq, fill: [1 mL, 5 mL], from: 2027-03-02T08:00, due: 2027-12-31T08:00, by: mp-1}",
		"meter-test: {of: M1, test: constancy, with: CS1, setting: Cs-137, insert: dipper, repeatability: 0.3 %, readings: [{gross: 6.84 MBq}], at: 2027-03-03T07:30}")
	for at, want := range map[string][]string{
		"/instruments/enter/calibration?of=M1&container=syringe&basis=label": {"p0.factor", "0.94", "p0.u", "2", "p0.fill", "1 5", "p0.high", "3", "p0.high.unit", "GBq", "p0.setting", "Y-90", "p0.from", "", "p0.due", "", "p0.by", ""},
		"/instruments/enter/instrument?of=M1":                                {"p0.serial", "A17", "p0.low", "10 kBq", "p0.calibrated", "2026-03-01T08:00:00-01:00", "p0.at", "", "p0.reason", ""},
		"/instruments/enter/check-source?of=CS1":                             {"p0.nuclide", "Cs-137", "p0.activity", "7.4", "p0.activity.unit", "MBq", "p0.at", ""},
		"/instruments/of/M1/test/constancy":                                  {"p0.setting", "Cs-137", "p0.insert", "dipper", "p0.repeatability", "0.3", "p0.with", "CS1", "p0.basis", "", "p0.readings.1.gross", ""},
		"/instruments/enter/calibration":                                     {"p0.factor", "", "p0.setting", ""},
	} {
		p, id := mp.Look(at), "enter"
		if strings.HasSuffix(at, "constancy") {
			id = "test"
		}
		form := p.Form(id)
		carried := strings.Count(p.Text(), "Carried over from ")
		for i := 0; i < len(want); i += 2 {
			if got := form.Get(want[i]); got != want[i+1] {
				t.Errorf("%s: %s is %q, not %q", at, want[i], got, want[i+1])
			}
		}
		if (carried > 0) != (strings.Contains(at, "?") || strings.HasSuffix(at, "constancy")) {
			t.Errorf("%s: %d fields are marked", at, carried)
		}
	}
	// It is recorded as it stands, with what is new.
	const at = "/instruments/enter/calibration?of=M1&container=syringe&basis=label"
	mp.Fill(at, "enter", at, "p0.factor", "0.95", "p0.from", "2027-03-04T08:00").Recorded()
	mp.Look("/instruments/of/M1").Says(200, "Syringe, label basis", "Factor 0.95", "Fill volume 1 mL, 5 mL Holds from 2027-03-04", "A new calibration, syringe, label basis", "A change of M1")
	const change = "/instruments/enter/instrument?of=M1"
	mp.Fill(change, "enter", change, "p0.state", "withdrawn", "p0.at", "2027-03-04T08:30").Recorded()
	mp.Look("/instruments/of/M1").Says(200, "M1: activity meter, withdrawn", "A17", "10 kBq")
}

// A planned change of scale is shown on the orders that wait for their dose, but not to
// who may still check one; a meter that was withdrawn and used is named.
func TestChangeOfScaleAndWithdrawnMeter(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("draw")
	s.Tell("instrument: {id: M1, what: activity-meter, at: 2027-03-01T08:00}",
		"calibration: {of: M1, container: shipping-vial, factor: 1.24, u: 0 %, basis: label, from: 2027-03-01T08:00}",
		"calibration: {of: M1, container: shipping-vial, factor: 1, u: 1.9 %, basis: traceable, from: 2027-03-01T08:00}")
	const of = "/instruments/of/M1"
	s.MP.Look(of).Says(200, "A planned change of scale")
	// 1.3 GBq times 1.24, u = 1.9 %; 1.3/1.24 = 1.0484, 19.35 % less.
	s.T1.Look(of).Says(200, "1.3 GBq becomes 1.612 ± 0.031 GBq", "1.17 GBq to 1.43 GBq becomes 1.451 GBq to 1.773 GBq", "the patient would get 1.048 GBq on the scale in use now, -19.35 %")
	checker := s.As("T2").Look(of).Says(200, "Orders not shown before your second check: 1").Text()
	if strings.Contains(checker, "1.612") || strings.Contains(checker, "1.3 GBq") {
		t.Errorf("a checker is shown the order: %s", checker)
	}
	if strings.Contains(s.T1.Look(of).Text(), "was used on") {
		t.Error("a meter in use is said to be withdrawn")
	}
	s.Tell("instrument: {id: M1, what: activity-meter, state: withdrawn, at: 2027-03-02T08:00}")
	for _, at := range []string{of, "/instruments"} {
		s.T1.Look(at).Says(200, "M1 was used on 4 Mar 2027", "it was withdrawn on 2 Mar 2027")
	}
}

// A test in two units that an older version recorded is read as it stands, is not judged,
// and can be struck out; typed now it is refused beside its reading.
func TestMixedTestOfBefore(t *testing.T) {
	l := webtest.New(t, nil).Hire()
	mp := l.As("MP1")
	l.Tell("instrument: {id: M1, what: activity-meter, serial: A17, calibrated: 2026-03-01T08:00, due: 2028-03-01T08:00, at: 2027-03-01T08:00, reason: new}",
		"meter-test: {of: M1, test: background, readings: [{gross: 6.81 MBq}, {rate: 3 uSv/h}], at: 2027-03-03T07:30}")
	mp.Look("/instruments/of/M1").Says(200, "cannot be judged", "two units or at two fills")
	at := ""
	for _, link := range regexp.MustCompile(`/entry/\d+/correct`).FindAllString(mp.Look("/history").Body, -1) {
		if strings.Contains(mp.Look(link).Body, "6.81 MBq") {
			at = link
		}
	}
	mp.Fill(at, "correct", at, "p0.reason", "another remark", "p0.with.meter-test.text", "looked at again").Says(http.StatusUnprocessableEntity, "the readings of one test are all activities, dose rates or count rates")
	mp.Fill(at, "correct", at, "p0.reason", "of two instruments", "p0.strike", "yes").Recorded()
	if text := mp.Look("/instruments/of/M1").Text(); strings.Contains(text, "cannot be judged") {
		t.Errorf("struck out, it is still judged: %s", text)
	}
}

// A test of several readings is corrected reading by reading: what is put right is one of
// them, and the others stay as they are, in their order.
func TestOneReadingOfSeveralIsCorrected(t *testing.T) {
	l := webtest.New(t, nil).Hire()
	mp := l.As("MP1")
	l.Tell("instrument: {id: M1, what: activity-meter, serial: A17, calibrated: 2026-03-01T08:00, due: 2028-03-01T08:00, at: 2027-03-01T08:00, reason: new}",
		"check-source: {id: CS1, nuclide: Cs-137, activity: 7.4 MBq, u: 1.5 %, reference: 2023-09-03T08:00, at: 2027-03-01T08:00}",
		"meter-test: {of: M1, test: constancy, with: CS1, setting: Cs-137, insert: dipper, readings: [{gross: 6.81 MBq}, {gross: 68.4 MBq}, {gross: 6.86 MBq}], at: 2027-03-03T07:30}")
	links := regexp.MustCompile(`/entry/\d+/correct`).FindAllString(mp.Look("/history").Body, -1)
	at := ""
	for _, link := range links {
		if strings.Contains(mp.Look(link).Body, "68.4 MBq") {
			at = link
		}
	}
	if at == "" {
		t.Fatalf("no correction of the test is offered among %v", links)
	}
	mp.Look(at).Says(200, "2: ", "6.81 MBq", "6.86 MBq")
	mp.Fill(at, "correct", at, "p0.reason", "the point was typed in the wrong place", "p0.with.meter-test.readings.2.gross", "6.84 MBq").Recorded()
	mp.Look("/instruments/of/M1").Says(200, "constancy, good: 6.837 MBq")
}
