package browsertest

import (
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// TestAskByOneKey: a reading in the wrong unit is asked about with the focus on
// the question; one key answers, and what was meant is recorded. A form that was
// recorded does not come back in the next one.
func TestAskByOneKey(t *testing.T) {
	y := begin(t, keys{})
	y.readiness()
	d := y.worker()
	y.at(d, "Assay of vial")
	y.full = label*kept(-time.Until(y.reference)) + background
	y.reading(d, y.full/0.037) // the meter shows mCi
	d.settled("step")
	d.reload()
	if !ask[bool](d, `new Promise((says) => requestAnimationFrame(() => requestAnimationFrame(() => { const f = document.activeElement; says(f.name === "p0.gross" && f.value !== "" && f.selectionStart === 0 && f.selectionEnd === f.value.length) })))`) {
		t.Error("what is kept in the field with the focus is not typed over")
	}
	if r := d.send("step"); r.Status != 422 {
		t.Fatalf("%d: not asked:\n%s", r.Status, d.text("main"))
	}
	d.says("form#step .question", "27 times what labels and volumes say")
	if !ask[bool](d, `!!document.activeElement.closest(".answers")`) {
		t.Error("the question has not the focus")
	}
	if !ask[bool](d, `(b => { const r = b.getBoundingClientRect(); return document.elementFromPoint(r.x + r.width / 2, r.bottom - 4) === b })(document.querySelector("form#step button.main"))`) {
		t.Error("the button is not in sight")
	}
	d.picture("ask")
	r := d.leads("answering by one key", chromedp.KeyEvent("1"))
	if r.Status != 200 {
		t.Fatalf("%d:\n%s", r.Status, d.text("main"))
	}
	d.says("#notices", "mCi")
	d.says("#notices", "recorded")
	if got := d.text("main"); ask[bool](d, `document.body.textContent.includes("It is not recorded yet")`) {
		t.Errorf("what was recorded comes back:\n%s", got)
	}
	y.draw()
}
