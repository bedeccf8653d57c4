package browsertest

import (
	"strings"
	"testing"
)

// TestLiveUpdateKeepsTheStep: a page that shows a step goes on showing that
// step when somebody else does it: neither the number nor the form of the next
// step comes into it.
func TestLiveUpdateKeepsTheStep(t *testing.T) {
	y := begin(t, keys{})
	y.readiness()
	one, two := y.worker(), y.releaser()
	y.both("Assay of vial")
	before := two.text("#number")
	y.reading(two, 3.21)
	y.reading(one, 3.17)
	y.sent(one)
	y.stillTyped(two, "p0.gross", "3.21000")
	if got := two.stands(); got != "Assay of vial" {
		t.Errorf("the step became %q", got)
	}
	if got := two.text("#number"); strings.Contains(got, "mL") || strings.Contains(got, "Draw") {
		t.Errorf("beside the reading, which had %q, stands the number of the draw: %q", before, got)
	}
	if got := ask[string](two, `document.getElementById("step").getAttribute("action")`); !strings.HasSuffix(got, "/step/assay") {
		t.Errorf("the form goes to %q", got)
	}
}
