package preparation_test

import (
	"strings"
	"testing"

	"vialwright/web/webtest"
)

// TestResidualParts: after the infusion the vial and the parts are read in the
// activity meter, and the bench has what was delivered from them.
func TestResidualParts(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("infusion")
	s.Clock.Set("15:12")
	read := func(form string, changes ...string) *webtest.Page {
		return s.T1.Fill(webtest.Bench, form, webtest.Bench+"/step/"+form, append(changes, "p0.gross.unit", "MBq", "p0.background", "0.2", "p0.background.unit", "MBq")...)
	}
	read("reading", "p0.of", "A1", "p0.gross", "22.0").Recorded()
	s.T1.Look(webtest.Bench).Says(200, "these parts are missing from them: line, catheter, swabs")
	read("parts", "p0.holds", "line, catheter and swabs", "p0.gross", "14.1").Recorded()
	if p := s.T1.Look(webtest.Bench).Says(200, "known by readings"); strings.Contains(p.Text(), "are missing from them") {
		t.Error("parts are missing that were read")
	}
}
