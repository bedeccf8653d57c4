package browsertest

import (
	"bytes"
	"context"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// unprinted gives what paper would not tell or not need: a text too pale for white paper, unless
// the ground it stands on is printed, what is there to be pressed, and what is folded away.
const unprinted = `(() => {
	const out = [], light = (c) => { const [r, g, b] = c.match(/[\d.]+/g).map(Number); return (0.2126 * r + 0.7152 * g + 0.0722 * b) / 255; };
	const said = (e) => (e.id || e.className || e.tagName) + ": " + e.textContent.trim().slice(0, 40);
	for (const e of document.querySelectorAll("body *")) {
		if (!e.checkVisibility({ contentVisibilityAuto: true }) || e.closest("svg, .hidden")) continue;
		const own = [...e.childNodes].some((n) => n.nodeType === 3 && n.data.trim()), s = getComputedStyle(e);
		if (own && light(s.color) > 0.6 && s.printColorAdjust !== "exact") out.push("pale: " + said(e));
		if (e.matches("button, input, form, .count")) out.push("to be pressed: " + said(e));
	}
	for (const e of document.querySelectorAll(".verdict .notice:not(summary)")) {
		if (!e.checkVisibility()) out.push("folded away: " + said(e));
	}
	return out;
})()`

// TestPrint: what is printed from the browser is readable on white paper in light and in dark,
// with every finding of the verdict, nothing to be pressed, and no empty page.
func TestPrint(t *testing.T) {
	y := begin(t, keys{})
	for _, s := range theDay[:3] {
		s.do(y)
	}
	d := y.worker()
	for _, path := range []string{y.bench, y.bench + "/step/release", "/", "/history?of=P1"} {
		d.goTo(path)
		for _, theme := range []string{"light", "dark"} {
			ask[bool](d, `(document.documentElement.dataset.theme = %s) !== ""`, theme)
			d.medium("print")
			within(d, "making it a sheet of paper", chromedp.EmulateViewport(720, 1040))
			for _, fault := range ask[[]string](d, unprinted) {
				t.Errorf("%s, %s: %s", path, theme, fault)
			}
			d.medium("")
		}
	}
	d.goTo(y.bench)
	r, err := chromedp.Call(d.ctx, page.PrintToPDF, page.PrintToPDFParams{})
	if err != nil {
		t.Fatal(err)
	}
	if n := bytes.Count(r.Data, []byte("/Type /Page\n")); n < 1 || n > 2 {
		t.Errorf("the bench is printed on %d pages", n)
	}
}

// medium shows the page as on a medium; empty for the screen.
func (d *desk) medium(medium string) {
	d.t.Helper()
	ctx, end := context.WithTimeout(d.ctx, patience)
	defer end()
	if _, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: medium}); err != nil {
		d.t.Fatal(err)
	}
}
