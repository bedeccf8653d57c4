package preparation_test

import (
	"testing"

	"vialwright/rules"
	"vialwright/web"
	"vialwright/web/webtest"
)

// A site whose profile blocks an overdue meter: readiness asks for what the meter shows, a
// constancy that fails blocks it, and a reading by an overdue meter holds the dose until
// a person who may gives a reason.
func TestReadinessReadsTheMeterBook(t *testing.T) {
	p, err := rules.Read([]byte(`profile: our-site
title: An invented site
over: us
over-edition: 2026-11-30
approved-by: MP1
approved-on: 2027-01-10
values:
  - {key: meter-overdue, figure: blocks, citation: site policy 3, mark: site}
  - {key: meter-linearity-every, figure: 90 d, citation: site policy 3, mark: site}
`))
	if err != nil {
		t.Fatal(err)
	}
	s := webtest.NewStory(webtest.New(t, func(c *web.Config) { c.Rules = &p }).Hire())
	const enter = "/instruments/enter/"
	s.MP.Fill(enter+"instrument", "enter", enter+"instrument", "p0.id", "M1", "p0.what", "activity-meter", "p0.at", "2027-03-01T08:00").Recorded()
	s.MP.Fill(enter+"check-source", "enter", enter+"check-source", "p0.id", "CS1", "p0.nuclide", "Cs-137", "p0.activity", "7.4", "p0.activity.unit", "MBq", "p0.u", "1.5", "p0.reference", "2023-09-03T08:00", "p0.at", "2027-03-01T08:00").Recorded()
	s.MP.Fill(enter+"calibration", "enter", enter+"calibration", "p0.of", "M1", "p0.container", "shipping-vial", "p0.setting", "Y-90", "p0.insert", "dipper", "p0.factor", "1", "p0.u", "0.5", "p0.basis", "label", "p0.low", "100", "p0.low.unit", "MBq", "p0.high", "3.0", "p0.high.unit", "GBq", "p0.from", "2027-03-01T08:00").Recorded()
	s.MP.Fill(enter+"calibration", "enter", enter+"calibration", "p0.of", "M1", "p0.container", "waste-item", "p0.setting", "Y-90 low", "p0.insert", "none", "p0.factor", "1", "p0.u", "0.5", "p0.basis", "label", "p0.low", "1", "p0.low.unit", "MBq", "p0.high", "3.0", "p0.high.unit", "GBq", "p0.from", "2027-03-01T08:00").Recorded()
	s.Go("order")
	s.T1.Look(webtest.Bench+"/step/readiness").Says(200, "Meter M1: background as displayed", "Meter M1: constancy as displayed", "Check source")
	ready := []string{
		"p0.readings.1.gross", "0.2", "p0.readings.1.gross.unit", "MBq", "p1.readings.1.gross.unit", "MBq", "p1.readings.1.background", "0.2", "p1.readings.1.background.unit", "MBq", "p1.with", "CS1", "p1.setting", "Cs-137",
		"p2.result", "pass", "p3.result", "pass", "p4.result", "pass", "p5.result", "pass",
	}
	s.Step(s.T1, "readiness", append(ready, "p1.readings.1.gross", "6.2")...).Recorded()
	s.T1.Look(webtest.Bench).Says(200, "Failed: constancy of M1")
	s.Clock.Set("10:05")
	s.Step(s.T1, "readiness", "p1.readings.1.gross", "7.03", "p1.readings.1.gross.unit", "MBq", "p1.readings.1.background", "0.2", "p1.readings.1.background.unit", "MBq", "p1.with", "CS1", "p1.setting", "Cs-137").Recorded()
	s.T1.Look("/instruments/of/M1").Says(200, "constancy, good: 6.83 MBq", "M1: test of linearity was never done.")
	s.Go("receipt")
	s.Clock.Set("11:00")
	// The setting is asked once, and the reading lies above what was tested.
	assay := []string{"p0.gross", "3.24", "p0.gross.unit", "GBq", "p0.background", "0.2", "p0.background.unit", "MBq"}
	s.Step(s.T1, "assay", assay...).Says(422, "Setting of the meter")
	s.Step(s.T1, "assay", append(assay, "p0.setting", "Y-90", "p0.insert", "dipper")...).Recorded()
	s.T1.Look(webtest.Bench).Says(200, "The reading of 3.24 GBq is 1.1 times the top of the range that its meter was tested for, 3 GBq")
	s.T1.Look(webtest.Bench).Says(200, "M1: test of linearity was never done", "It adds 2.9 % to the standard uncertainty of the reading")
	const lift = webtest.Bench + "/step/lift-meter-overdue"
	s.RP.Fill(webtest.Bench, "lift-meter-overdue", lift, "p0.reason", "the series is running, and ends on Friday").Recorded()
	s.Go("draw", "remainder")
	for _, h := range s.Reckoned(webtest.Case(s)).Preparation("P1").Holds {
		if h.Code == "meter-overdue" {
			t.Errorf("it holds again: %+v", h)
		}
	}
	// The checker is asked like anybody who reads, and the check is compared with the book.
	s.Go("make-up", "transfer", "baseline")
	s.Clock.Set("11:40")
	const check = webtest.Bench + "/check"
	own := []string{"p0.gross", "1.87", "p0.gross.unit", "GBq", "p0.background", "0.2", "p0.background.unit", "MBq", "p0.activity", "1.33", "p0.activity.unit", "GBq"}
	s.MP.Fill(check, "step", check, own...).Says(422, "Setting of the meter")
	setUpStops := func() (n int) {
		for _, h := range s.Reckoned(webtest.Case(s)).Preparation("P1").Holds {
			if h.Code == "meter-set-up" {
				n++
			}
		}
		return n
	}
	if n := setUpStops(); n != 0 {
		t.Errorf("readings with the setting of the calibration: %d stops", n)
	}
	s.MP.Fill(check, "step", check, append(own, "p0.setting", "Y-90 low", "p0.insert", "dipper")...).Recorded()
	if n := setUpStops(); n != 1 {
		t.Errorf("a check with another setting: %d stops", n)
	}
	s.T1.Look(webtest.Bench).Says(200, "The setting was Y-90 low, and the factor of the shipping vial holds for Y-90")
	// Somebody else has noted another setting since: T1 is asked again.
	s.Step(s.T1, "assay", assay...).Says(422, "Setting of the meter")
}
