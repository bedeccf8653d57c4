package browsertest

import (
	"strings"
	"testing"
)

// TestTwoBenches: two people fill in the same step at two benches. The second
// is told of the first one's entry as it is recorded, is asked to look again
// when sending, keeps what was typed, and overwrites nothing.
func TestTwoBenches(t *testing.T) {
	y := begin(t, keys{})
	y.readiness()
	one, two := y.worker(), y.releaser()
	for _, d := range []*desk{one, two} {
		y.at(d, "Measure the vial")
	}
	y.reading(two, 3.21)
	y.reading(one, 3.17)
	y.sent(one)
	two.wait("it is told", `!!document.getElementById("live-notice")?.innerText.includes("What you typed is still here")`)
	if got := two.value("step", "p0.gross"); got != "3.210" {
		t.Errorf("what was typed at the second bench became %q", got)
	}
	if r := two.send("step"); r.Status != 409 {
		t.Errorf("the second entry is answered with %d", r.Status)
	}
	two.says("#step", "Look again")
	two.says("#step", "NT1")
	two.says("#step", "3.17")
	if got := two.value("step", "p0.gross"); got != "3.210" {
		t.Errorf("after the refusal there stands %q", got)
	}
	one.goTo(y.case_ + "/history")
	if text := one.text("main"); strings.Contains(text, "3.210") || !strings.Contains(text, "3.170") {
		t.Errorf("the record holds the second entry, or not the first:\n%s", text)
	}
}

// TestEnterTwice: a scanner that sends Enter twice records once.
func TestEnterTwice(t *testing.T) {
	y := begin(t, keys{})
	y.readiness()
	d := y.worker()
	y.at(d, "Measure the vial")
	y.reading(d, 3.17)
	d.leads("pressing Enter twice", press(enter+enter))
	d.goTo(y.case_ + "/history")
	if n := strings.Count(d.text("main"), "3.170"); n != 1 {
		t.Errorf("the reading was recorded %d times", n)
	}
}
