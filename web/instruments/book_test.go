package instruments_test

import (
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
		"The constancy of M1 on 4 Mar 2027 departs by -9.17 %, more than the tolerance of 5 % (assumed, no source).", "The constancy of M1", "6 tests; limits at three standard deviations",
		"Doses are reckoned with a factor of 1 for the shipping vial, and the calibration of 1 Mar 2027 has 0.93.", "Last year").Body
	if !strings.Contains(body, "picture-wide") || strings.Contains(body, "background of the day was never done") {
		t.Error("there is no chart, or the background is still due")
	}
	if text := t1.Printed(of + "/certificate.pdf"); !strings.Contains(text, "Calibration certificate M1") || !strings.Contains(text, "0.93") {
		t.Errorf("the certificate says %s", text)
	}
	t1.Look(of+"?span=all").Says(200, "All years")
	t1.Look("/instruments/of/M7").Says(404, "There is no such instrument")
	t1.Look(enter + "instrument").Says(403)
}
