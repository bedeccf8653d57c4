package preparation_test

import (
	"net/http"
	"strings"
	"testing"

	"vialwright/web/webtest"
)

// TestResidualParts: after the infusion the vial and the parts are read in the
// activity meter, and the bench has what was delivered from them. Until all
// were read it cannot be said whether enough was given.
func TestResidualParts(t *testing.T) {
	s := ruled(t, "p0.or-at-stasis", "no")
	s.Clock.Set("14:10")
	s.Step(s.Nurse, "infusion", "p0.start", "2027-03-04T13:30", "p0.stop", "2027-03-04T14:05", "p0.reason", "complete").Recorded()
	s.Clock.Set("15:12")
	read := func(form string, changes ...string) *webtest.Page {
		return s.T1.Fill(webtest.Bench, form, webtest.Bench+"/step/"+form, append(changes, "p0.gross.unit", "MBq", "p0.background", "0.2", "p0.background.unit", "MBq")...)
	}
	asks := s.T1.Fill(webtest.Bench, "reading", webtest.Bench+"/step/reading", "p0.of", "A1", "p0.gross", "22.0", "p0.gross.unit", "GBq", "p0.background", "0.2").
		Says(http.StatusUnprocessableEntity, "what A1 held before it was emptied: is it 22.0 MBq?")
	if _, behind, _ := strings.Cut(asks.Body, `id="reading"`); strings.Count(asks.Body, "autofocus") != strings.Count(behind, "autofocus") {
		t.Error("a form that was not sent has the focus before the question")
	}
	read("reading", "p0.of", "A1", "p0.gross", "22.0").Recorded()
	s.T1.Look(webtest.Bench).Says(200, "these parts are missing from them: line, catheter, swabs").
		Says(200, "Cannot say: the residual of the parts that were not read: line, catheter, swabs")
	read("parts", "p0.holds", "line, catheter and swabs", "p0.gross", "14.1").Recorded()
	if p := s.T1.Look(webtest.Bench).Says(200, "known by readings").Says(200, "No event: within"); strings.Contains(p.Text(), "are missing from them") || strings.Contains(p.Text(), "were not read") {
		t.Error("parts are missing that were read")
	}
}

// TestResidualWithoutBaseline: where nobody read the dose rate of the full dose, the step
// asks for a reading in the activity meter, and a dose rate is not taken for the residual.
func TestResidualWithoutBaseline(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("transfer")
	s.Clock.Set("14:10")
	s.T1.Fill(webtest.Bench, "deviation", webtest.Bench+"/step/deviation", "p0.text", "the baseline was forgotten").Recorded()
	s.Step(s.Nurse, "infusion", "p0.start", "2027-03-04T13:30", "p0.stop", "2027-03-04T14:05", "p0.reason", "complete").Recorded()
	s.Clock.Set("15:12")
	p := s.T1.Look(webtest.Bench).Says(200, "Read A1 with the residual in the activity meter", "can be compared")
	if strings.Contains(p.Body, "after.rate") {
		t.Error("a dose rate is asked for that nothing can be compared with")
	}
	s.Step(s.T1, "residual", "p0.gross", "30", "p0.gross.unit", "MBq", "p0.background", "0.2", "p0.background.unit", "MBq").Recorded()
	s.T1.Look(webtest.Bench).Says(200, "known by readings", "Survey the area")
	s.T1.Look(webtest.Bench+"/step/residual").Says(200, "30 MBq", "Correct")
}
