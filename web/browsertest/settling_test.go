package browsertest

import (
	"testing"

	"github.com/chromedp/chromedp"
)

// sinceResuspended is when the vial was resuspended, as the page has it; empty for never.
const sinceResuspended = `document.querySelector("#settling [data-since]")?.dataset.since ?? ""`

// toDraw goes on to the draw, with the volume typed and the focus in it.
func (y *day) toDraw() *desk {
	y.t.Helper()
	y.readiness()
	y.assay()
	d := y.worker()
	y.at(d, "Draw the dose")
	y.drawn = y.number(d)
	d.fill("step", "p0.volume", y.drawn)
	return d
}

// shaken says that the vial was resuspended, and asks that the clock began again and
// that nothing else of the page has changed.
func (y *day) shaken(d *desk, how string, action chromedp.Action[chromedp.Void]) {
	y.t.Helper()
	before, typed, focus := ask[string](d, sinceResuspended), ask[string](d, typedIn, "step"), ask[string](d, `document.activeElement.name`)
	ask[int](d, `(window.same = true) && 0`)
	within(d, how, action)
	d.wait("the clock has begun again", `(`+sinceResuspended+`) !== %s`, before)
	if got := ask[string](d, typedIn, "step"); got != typed {
		y.t.Errorf("%s: typed was %s, and there stands %s", how, typed, got)
	}
	if !ask[bool](d, `window.same === true`) {
		y.t.Errorf("%s led to another page", how)
	}
	if got := ask[string](d, `document.activeElement.name`); how == "by a key" && got != focus {
		y.t.Errorf("%s: the focus was in %q, and is in %q", how, focus, got)
	}
	d.says("#settling", "Still mixed")
	// On a machine with much to do the trials take longer than the vial stays mixed.
	d.wait("the trials are in", `/with 95\u00a0%% probability|may be off by more than/.test(document.getElementById("settling").textContent)`)
}

const altShift = chromedp.ModifierAlt | chromedp.ModifierShift

// TestSettlingClock: the clock of the vial begins by one key and by one touch,
// runs, keeps what is typed, and what it said is in the record of the draw.
func TestSettlingClock(t *testing.T) {
	y := begin(t, keys{})
	d := y.toDraw()
	d.says("#settling", "Not resuspended")
	y.shaken(d, "by a key", chromedp.KeyEvent("S", chromedp.KeyModifiers(altShift)))
	first := d.text("#settling [data-since]")
	d.wait("the clock runs", `document.querySelector("#settling [data-since]").textContent !== %s`, first)
	d.wait("the count runs down", `/^\d+ s$/.test(document.querySelector("#settling b").textContent)`)
	y.shaken(d, "by a touch", chromedp.Tap(chromedp.CSS("#resuspended button")))
	y.sent(d)
	d.goTo("/history")
	for _, want := range []string{"draw begun within", "expected, of mixed", "with 95 % probability", "needle tip 5 mm up, assumed"} {
		d.says("#history", want)
	}
	if n := ask[int](d, `[...document.querySelectorAll("#history .head strong")].filter(e => e.textContent === "resuspended").length`); n != 2 {
		t.Errorf("the vial was resuspended twice, and %d times it is recorded", n)
	}
}

// TestSettlingScreen takes the picture of docs/screens.
func TestSettlingScreen(t *testing.T) {
	if !renewing {
		t.Skip("VIALWRIGHT_SCREENS is not 1: the picture stays as it is")
	}
	y := begin(t, keys{})
	d := y.toDraw()
	y.shaken(d, "by a key", chromedp.KeyEvent("S", chromedp.KeyModifiers(altShift)))
	d.wait("some seconds have gone", `document.querySelector("#settling-picture svg title").textContent.startsWith("S1, 1")`)
	d.renew("settling")
	d.scheme("dark")
	ask[bool](d, `document.getElementById("settling-picture").scrollIntoView({block: "end"}) === undefined`)
	d.picture("settling-picture-dark-desk")
	d.scheme("light")
	within(d, "making it a phone", chromedp.EmulateViewport(390, 844))
	d.picture("settling-clock-phone")
	ask[bool](d, `document.getElementById("settling-picture").scrollIntoView() === undefined`)
	d.picture("settling-picture-phone")
}
