package browsertest

import (
	"fmt"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// drawing is a desk before the sketch of a room of the invented quarter.
func drawing(t *testing.T) *desk {
	d := signedIn(t, open(t, "--past", "20"), "NT1", keys{})
	d.goTo("/hot-lab/sketch/R1")
	return d
}

// onCanvas is where a place of the room lies on the screen.
func (d *desk) onCanvas(x, y int) (float64, float64) {
	d.t.Helper()
	at := ask[[]float64](d, `(() => { const s = document.getElementById("canvas"); s.scrollIntoView({ block: "center" }); const p = new DOMPoint(%s, %s).matrixTransform(s.getScreenCTM()); return [p.x, p.y]; })()`, x, y)
	return at[0], at[1]
}

// presses clicks at a place of the room.
func (d *desk) presses(x, y int) {
	d.t.Helper()
	a, b := d.onCanvas(x, y)
	within(d, fmt.Sprintf("pressing at %d, %d", x, y), chromedp.MouseClickXY(a, b))
}

// drags drags from one place of the room to another.
func (d *desk) drags(x, y, toX, toY int) {
	d.t.Helper()
	a, b := d.onCanvas(x, y)
	toA, toB := d.onCanvas(toX, toY)
	within(d, "dragging", chromedp.DragAndDropXY(a, b, toA, toB))
}

// holds fails unless a field of the sketch holds a text.
func (d *desk) holds(name, want string) {
	d.t.Helper()
	if got := d.value("sketch", name); got != want {
		d.t.Errorf("%s holds %q, want %q", name, got, want)
	}
}

// recorded sends the sketch, and looks for what was drawn on the page of surveys and on that of
// the sketch again.
func (d *desk) recorded(lines string) {
	d.t.Helper()
	d.fill("sketch", "p3.name", "sink")
	d.send("sketch")
	d.says("#notices", "The sketch is recorded")
	d.says("main", "3. sink (R1-3)")
	d.goTo("/hot-lab/sketch/R1")
	d.holds("p0.sketch", lines)
	if n := ask[int](d, `document.querySelectorAll("#canvas circle").length`); n != 3 {
		d.t.Errorf("%d points are drawn, want 3", n)
	}
	d.atEachSize("page-sketch", crooked)
}

// A room is drawn with a pointer: a line by its corners, a rectangle by dragging, a point that
// is new, and one that is moved.
func TestSketchByPointer(t *testing.T) {
	d := drawing(t)
	lines := d.value("sketch", "p0.sketch")
	if n := ask[int](d, `document.querySelectorAll("#canvas polyline").length`); n == 0 || lines == "" {
		t.Fatal("the sketch that there is, is not drawn")
	}
	d.presses(10, 90)
	d.presses(30, 90)
	d.presses(30, 98)
	lines += "; 10,90 30,90 30,98"
	d.holds("p0.sketch", lines)
	d.says("#drawing-says", "The line has 3")
	within(d, "choosing the rectangle", chromedp.Click(`[data-mode="rectangle"]`))
	d.drags(60, 60, 90, 72)
	lines += "; 60,60 90,60 90,72 60,72 60,60"
	d.holds("p0.sketch", lines)
	within(d, "choosing the point", chromedp.Click(`[data-mode="point"]`))
	d.presses(70, 30)
	d.holds("p3.x", "70")
	d.holds("p3.y", "30")
	within(d, "choosing to move", chromedp.Click(`[data-mode="move"]`))
	d.drags(40, 12, 20, 25)
	d.holds("p1.x", "20")
	d.holds("p1.y", "25")
	d.recorded(lines)
	d.holds("p1.x", "20")
}

// The same with keys alone.
func TestSketchByKeys(t *testing.T) {
	d, h := drawing(t), keys{}
	lines := d.value("sketch", "p0.sketch")
	types := func(what ...string) {
		t.Helper()
		for _, k := range what {
			within(d, "a key", press(k))
		}
	}
	tool := func(mode string) {
		t.Helper()
		d.reload() // Tab goes on from the top
		h.reach(d, "the tool "+mode, `e.dataset.mode === %s`, mode)
		types(enter)
		h.reach(d, "the drawing", `e.id === "canvas"`)
	}
	tool("lines") // the cross stands in the middle
	types(enter, kb.ArrowRight, kb.ArrowRight, enter, down, enter, kb.Escape)
	lines += "; 50,50 60,50 60,55"
	d.holds("p0.sketch", lines)
	d.settled("sketch")
	tool("rectangle")
	types(enter, kb.ArrowLeft, kb.ArrowLeft, kb.ArrowUp, enter)
	lines += "; 50,50 40,50 40,45 50,45 50,50"
	d.holds("p0.sketch", lines)
	types(kb.Backspace)
	lines = lines[:len(lines)-len("; 50,50 40,50 40,45 50,45 50,50")]
	d.holds("p0.sketch", lines)
	d.settled("sketch")
	tool("point")
	types(down, down, enter)
	d.holds("p3.x", "50")
	d.holds("p3.y", "60")
	d.settled("sketch")
	tool("move") // the new point is 10 below the cross
	types(down, down, enter, kb.ArrowRight, enter, kb.ArrowRight)
	d.holds("p3.x", "55")
	d.recorded(lines)
	d.holds("p3.x", "55")
}
