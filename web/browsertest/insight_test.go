package browsertest

import (
	"testing"

	"github.com/chromedp/chromedp"
)

// inSight tells of what is below the field with the focus, its fault, whether it lies in the
// screen with nothing on top of it.
const inSight = `(says => { const r = says.getBoundingClientRect();
	return document.activeElement.name + ": " + [r.top + 4, r.bottom - 4].every(y => document.elementFromPoint(r.x + 8, y) === says || says.contains(document.elementFromPoint(r.x + 8, y))); })(document.querySelector("form#step .field.wrong .says"))`

// TestFaultInSight: on a small screen, what is wrong with a field at the end of a form comes
// into sight with it, though the row of steps lies above. A reading that was taken from the
// meter is of a time that its folded field says as the clock on the wall does.
func TestFaultInSight(t *testing.T) {
	y := begin(t, keys{})
	y.readiness()
	d := y.worker()
	y.at(d, "Assay of vial")
	d.wait("the meter can be read", `document.querySelector("#step .live .take").getAttribute("aria-disabled") !== "true"`)
	ask[bool](d, `(document.querySelector("#step .live .take").click(), true)`)
	d.wait("the time is said, with its date where that is another day", `((said, day) => /When ([01]\d|2[0-3]):[0-5]\d$/.test(said) || /When \d{4}-\d\d-\d\dT[\d:]+/.test(said) && !said.includes("When " + day))(document.querySelector("#step .rest-says").innerText.trim().replace(/\s+/g, " "), document.getElementById("foot").dataset.now.slice(0, 10))`)
	d.fill("step", "p0.background", "0.2 of it")
	d.fill("step", "p0.gross", "3.2")
	d.pick("step", "p0.gross.unit", "GBq")
	d.pick("step", "p0.background.unit", "MBq")
	for _, size := range [][2]int64{{640, 400}, {390, 500}, {390, 844}} {
		within(d, "making it smaller", chromedp.EmulateViewport(size[0], size[1]))
		if r := d.send("step"); r.Status != 422 {
			t.Fatalf("%d: not refused:\n%s", r.Status, d.text("main"))
		}
		if got := ask[string](d, inSight); got != "p0.background: true" {
			t.Errorf("%v: %s", size, got)
		}
	}
}
