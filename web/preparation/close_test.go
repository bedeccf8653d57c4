package preparation_test

import (
	"strings"
	"testing"

	"vialwright/web/webtest"
)

// What is left in the administration vial goes into a waste item as the record is closed, and
// no item that left takes it; left empty, the record closes as well, and the page of the waste
// bins asks for it.
func TestCloseWithWhatIsLeft(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("survey")
	page := s.RP.Look(webtest.Bench+"/step/close").Says(200, "goes into waste item")
	if n := strings.Count(page.Text(), "goes into waste item"); n != 1 {
		t.Errorf("%d containers are asked about", n)
	}
	s.Step(s.RP, "close", "p1.into", "W1").Recorded()
	if text := s.AsElsewhere("T1").Look("/inventory").Text(); !strings.Contains(text, "W1 waste bin:") || strings.Contains(text, " dose:") {
		t.Errorf("the residual is not in the bin: %s", text)
	}
}
