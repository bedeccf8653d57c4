package browsertest

import (
	"strings"
	"testing"
)

// TestTwoBenches: two people fill in the same step at two benches. The second
// is told of the first one's entry as it is recorded, and keeps what was typed.
// A reading was seen, and goes in beside the other; a draw is asked about again,
// and overwrites nothing.
func TestTwoBenches(t *testing.T) {
	y := begin(t, keys{})
	y.readiness()
	one, two := y.worker(), y.releaser()
	y.both("Assay of vial")
	y.reading(two, 3.21)
	y.reading(one, 3.17)
	y.sent(one)
	y.stillTyped(two, "p0.gross", "3.21000")
	y.sent(two)
	y.both("Draw the dose")
	one.fill("step", "p0.volume", y.number(one))
	two.fill("step", "p0.volume", "2.31")
	y.sent(one)
	y.stillTyped(two, "p0.volume", "2.31")
	if r := two.send("step"); r.Status != 409 {
		t.Errorf("the second draw is answered with %d", r.Status)
	}
	two.says("#step", "Look again")
	two.says("#step", "NT1")
	if got := two.value("step", "p0.volume"); got != "2.31" {
		t.Errorf("after the refusal there stands %q", got)
	}
	one.goTo("/history")
	text := one.text("main")
	for _, want := range []string{"3.170", "3.210"} {
		if !strings.Contains(text, want) {
			t.Errorf("the record does not hold the reading %s:\n%s", want, text)
		}
	}
	if strings.Contains(text, "2.31 mL") {
		t.Errorf("the record holds the second draw:\n%s", text)
	}
}

// both go to the bench, which has to stand at a step.
func (y *day) both(title string) {
	y.t.Helper()
	for _, d := range []*desk{y.worker(), y.releaser()} {
		y.at(d, title)
	}
}

// stillTyped: a desk is told of what another recorded, and what was typed stands.
func (y *day) stillTyped(d *desk, field, want string) {
	y.t.Helper()
	d.wait("it is told", `!!document.getElementById("live-notice")?.innerText.includes("What you typed is still here")`)
	if got := d.value("step", field); got != want {
		y.t.Errorf("what was typed into %s became %q", field, got)
	}
}

// TestEnterTwice: a scanner that sends Enter twice records once.
func TestEnterTwice(t *testing.T) {
	y := begin(t, keys{})
	y.readiness()
	d := y.worker()
	y.at(d, "Assay of vial")
	y.reading(d, 3.17)
	d.leads("pressing Enter twice", press(enter+enter))
	d.goTo("/history")
	if n := strings.Count(d.text("main"), "3.170"); n != 1 {
		t.Errorf("the reading was recorded %d times", n)
	}
}
