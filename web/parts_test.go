package web

import (
	"strings"
	"testing"
)

// TestResidualParts: after the infusion the vial and the parts are read in the
// activity meter, and the bench has what was delivered from them.
func TestResidualParts(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("infusion")
	s.clock.set("15:12")
	read := func(form string, changes ...string) *page {
		return s.t1.fill(theBench, form, theBench+"/step/"+form, append(changes, "p0.gross.unit", "MBq", "p0.background", "0.2", "p0.background.unit", "MBq")...)
	}
	read("reading", "p0.of", "A1", "p0.gross", "22.0").recorded()
	s.t1.look(theBench).says(200, "these parts are missing from them: line, catheter, swabs")
	read("parts", "p0.holds", "line, catheter and swabs", "p0.gross", "14.1").recorded()
	if p := s.t1.look(theBench).says(200, "known by readings"); strings.Contains(p.text(), "are missing from them") {
		t.Error("parts are missing that were read")
	}
}
