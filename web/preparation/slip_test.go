package preparation_test

import (
	"strings"
	"testing"

	"vialwright/web/webtest"
)

// TestASlipAtTheBench: with a reading that the rest of the books contradict the
// bench shows the instruction to read again and no figure of the dose.
func TestASlipAtTheBench(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("remainder")
	s.Clock.Set("11:16")
	p := s.Step(s.T1, "remainder", "p0.gross", "18.5", "p0.gross.unit", "GBq", "p0.background", "0.2", "p0.background.unit", "MBq")
	s.T1.Post(webtest.Bench+"/step/remainder", p.Answered("step", "p0.gross", 1)).Recorded() // it is so, says the person
	p = s.T1.Look(webtest.Bench).Says(200, "Read again, without looking at the first figure", "18.5 GBq is probably 1.85 GBq (point moved)", "withheld", "level not known")
	for _, figure := range []string{"Dispensed, at infusion", "Probability within tolerance", "draw to"} {
		if strings.Contains(p.Body, figure) {
			t.Errorf("the page shows %q", figure)
		}
	}
	if strings.Contains(p.Body, "lift-reading-disagrees") {
		t.Error("an override of a slip is offered")
	}
	// Read again, the slip is what is left to mend; no further reading ends it.
	read(s, "remainder", "11:18", "1.86")
	p = s.T1.Look(webtest.Bench).Says(200, "One entry does not fit", "correct it first", "Correct entry", "withheld")
	if !strings.Contains(p.Body, `<a class="button main" href="/entry/`) {
		t.Error("the button does not lead to the entry that slipped")
	}
	if strings.Contains(p.Body, `id="step"`) || strings.Contains(p.Body, "Read again, without looking") || strings.Contains(p.Text(), "before anything else") {
		t.Error("the bench asks for one more reading after it was read again")
	}
}
