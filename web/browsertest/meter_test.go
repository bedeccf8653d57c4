package browsertest

import (
	"fmt"
	"testing"
)

// TestReadingIsTakenByKeys and by touch: an invented meter settles beside the
// field, and its reading goes into the record without being typed.
func TestReadingIsTakenByKeys(t *testing.T) { readingIsTaken(t, keys{}) }

func TestReadingIsTakenByTouch(t *testing.T) { readingIsTaken(t, touch{}) }

// taker is a hand that can press a button of a meter.
type taker interface {
	hand
	take(d *desk, form, field string)
}

const (
	takeButton = `document.querySelector("#" + %s + " [data-field='" + %s + "'] button.take")`
	takeable   = `(b => !b.hasAttribute("aria-disabled") && b.dataset.value !== "")(` + takeButton + `)`
)

func (k keys) take(d *desk, form, field string) {
	d.t.Helper()
	k.reach(d, "the button that takes "+field, `e === `+takeButton, form, field)
	within(d, "pressing Space on the button of "+field, press(space))
}

func (h touch) take(d *desk, form, field string) {
	d.t.Helper()
	within(d, "tapping the button of "+field, h.tap(d, fmt.Sprintf(`#%s [data-field=%q] button.take`, form, field)))
}

func readingIsTaken(t *testing.T, h taker) {
	y := begin(t, h)
	y.readiness()
	d := y.worker()
	y.at(d, "Assay of vial")
	d.says("form#step", "Invented meter M1 with S1 in it:")
	// Nothing can be taken while it moves; what is typed meanwhile stays.
	const early = `(b => { const moving = b.hasAttribute("aria-disabled"); b.click();
		return moving ? new FormData(document.getElementById("step")).get("p0.gross") : ""; })(` + takeButton + `)`
	if got := ask[string](d, early, "step", "p0.gross"); got != "" {
		t.Errorf("%q was taken from a display that moves", got)
	}
	d.fill("step", "p0.background", "0.3")
	d.pick("step", "p0.background.unit", "MBq")
	d.wait("the meter has settled", takeable, "step", "p0.gross")
	h.take(d, "step", "p0.gross")
	taken := d.value("step", "p0.gross")
	if taken == "" || d.value("step", "p0.gross.unit") != "GBq" || d.value("step", "p0.gross.line") == "" || d.value("step", "p0.at") == "" {
		t.Fatalf("taken: %q %q, line %q, at %q", taken, d.value("step", "p0.gross.unit"), d.value("step", "p0.gross.line"), d.value("step", "p0.at"))
	}
	d.says("form#step", "Taken from M1: "+taken+" GBq.")
	if got := d.value("step", "p0.background") + d.value("step", "p0.background.unit"); got != "0.3MBq" {
		t.Errorf("the background that was typed is now %q", got)
	}
	d.wait("the line is a newer one", takeButton+`.value.split(" ")[1] !== %s`, "step", "p0.gross", d.value("step", "p0.gross.line"))
	if _, ok := h.(keys); ok && !ask[bool](d, `document.activeElement === `+takeButton, "step", "p0.gross") {
		t.Error("the focus has left the button when the line changed")
	}
	look(d)
	h.take(d, "step", "p0.background")
	background := d.value("step", "p0.background")
	if background == "0.3" {
		t.Error("the background was not taken")
	}
	y.sent(d)
	d.goTo("/history")
	d.says("main", taken+" GBq, from meter M1")
	d.says("main", background+" MBq, from meter M1")
	d.says("main", "PRACTICE-M1 Y-90 "+taken+" GBq steady")
	changed(y)
}

// look: the button has a name that says what it takes and from where, is as
// large as a finger needs, and nothing is said by colour alone.
func look(d *desk) {
	d.t.Helper()
	if name := ask[string](d, takeButton+`.textContent.replace(/\s+/g, " ").trim()`, "step", "p0.gross"); len(name) < len("Take 1.000 GBq from M1") {
		d.t.Errorf("the button is called %q", name)
	}
	size := ask[[]float64](d, `(r => [r.width, r.height])(`+takeButton+`.getBoundingClientRect())`, "step", "p0.gross")
	if size[0] < 44 || size[1] < 44 {
		d.t.Errorf("the button is %v px", size)
	}
}

// changed: a number that was changed after it was taken is a typed one.
func changed(y *day) {
	y.t.Helper()
	d := y.worker()
	y.at(d, "Draw the dose")
	d.goTo(y.bench + "/step/assay")
	d.says("main", "By NT1") // what was recorded stands there, and the form is one touch away
	ask[bool](d, `document.querySelector("details.again > summary").click() === undefined`)
	d.wait("the meter has settled", takeable, "step", "p0.gross")
	d.hand.(taker).take(d, "step", "p0.gross")
	d.fill("step", "p0.gross", "3.2")
	if got := d.value("step", "p0.gross.line"); got != "" {
		y.t.Errorf("the form still names the line %q", got)
	}
	d.fill("step", "p0.background", "0.2")
	d.pick("step", "p0.background.unit", "MBq")
	y.sent(d)
	d.goTo("/history")
	d.says("main", "3.2 GBq, typed")
}
