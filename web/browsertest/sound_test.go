package browsertest

import (
	"testing"

	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// listens writes down what the pages would say and sound, since a machine without
// loudspeakers has neither voice nor sound.
const listens = `(() => {
	window.said = []; window.sounded = [];
	Object.defineProperty(window, "speechSynthesis", { value: { speak: (u) => said.push(u.text) } });
	window.SpeechSynthesisUtterance = class { constructor(text) { this.text = text; } };
	const Real = OscillatorNode;
	window.OscillatorNode = class extends Real { constructor(c, o) { super(c, o); sounded.push(o.frequency); } };
})()`

// TestSoundAndKeys: nothing is heard unless somebody wants it; then what is recorded
// and the end of the time for a draw are heard, and a pedal that was chosen restarts
// the clock of the vial and records the draw.
func TestSoundAndKeys(t *testing.T) {
	y := begin(t, keys{})
	d := y.worker()
	if _, err := chromedp.Call(d.ctx, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: listens}); err != nil {
		t.Fatal(err)
	}
	y.toDraw()
	if ask[int](d, `said.length + sounded.length`) != 0 {
		t.Error("it is heard, and nobody switched that on")
	}
	d.goTo("/screen")
	d.pick("screen", "tones", "yes")
	d.pick("screen", "speech", "yes")
	for name, key := range map[string]string{"resuspended": "F8", "record": "PageDown"} {
		ask[bool](d, `document.querySelector("[name=" + %s + "]").focus() === undefined`, name)
		pedal(d, key)
		if got := ask[string](d, `document.querySelector("[name=" + %s + "]").value`, name); got != key {
			t.Fatalf("the key %s was pressed for %s, and there stands %q", key, name, got)
		}
	}
	d.send("screen")
	d.says("#notices", "are kept")
	if ask[int](d, `sounded.length`) == 0 {
		t.Error("what was recorded is not heard")
	}
	y.at(d, "Draw the dose")
	d.fill("step", "p0.volume", y.drawn)
	pedal(d, "F8")
	d.wait("the clock has begun", `(`+sinceResuspended+`) !== ""`)
	ask[bool](d, `(document.querySelector("#settling .settles").dataset.until = new Date(Date.now() - 1).toISOString()) !== ""`)
	d.wait("the end of the time for a draw is heard", `said.length > 0 && sounded.includes(880)`)
	if text := ask[string](d, `said[0]`); len(text) < 10 {
		t.Error("nothing is said at the end of the time for a draw")
	}
	d.leads("recording by the pedal", chromedp.KeyEvent(kb.PageDown))
	if at := ask[string](d, `document.querySelector(".bench").dataset.stands`); at == "Draw the dose" {
		t.Error("the pedal was pressed, and the bench still asks for the draw")
	}
}

// pedal presses a key that does not type.
func pedal(d *desk, code string) {
	d.t.Helper()
	ask[bool](d, `(document.activeElement || document.body).dispatchEvent(new KeyboardEvent("keydown", { code: %s, key: %s, bubbles: true, cancelable: true })) !== null`, code, code)
}
