package browsertest

import (
	"testing"
	"time"
)

// TestCautions: what is wrong stands where the figure would be acted on, with
// the word of its severity, and a stop takes the step away.
func TestCautions(t *testing.T) {
	y := begin(t, keys{})
	d := y.worker()
	d.goTo(y.bench)
	if got := ask[int](d, `document.querySelectorAll("#number .notice.warn, #number .notice.stop").length`); got != 0 {
		t.Errorf("the first step, with nothing wrong, shows %d warnings or stops:\n%s", got, d.text("#number"))
	}
	y.readiness()
	y.at(d, "Assay of vial")
	y.reading(d, 1.4*label*kept(-time.Until(y.reference)))
	y.sent(d)
	d.goTo(y.bench + "/step/draw")
	d.says("#number .notice.stop", "stop")
	d.says("#number .notice.stop", "Read S1 again")
	if ask[bool](d, `!!document.querySelector("form#step")`) {
		t.Error("a vial that holds two fifths more than its label says can be drawn from")
	}
}
