package browsertest

import (
	"fmt"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// screens are the two sizes at which the bench is looked at: a desk's and a
// phone's.
var screens = []struct {
	name          string
	width, height int64
}{{"desk", 1280, 800}, {"phone", 390, 844}}

// outside gives what of the first screen is not in sight, or lies under
// something else: the sentence, the number, the verdict and the button, and any
// field that the foot covers while it has the focus.
const outside = `(() => {
	scrollTo(0, 0);
	document.activeElement?.blur();
	for (const e of document.querySelectorAll("*")) if (e.scrollTop) e.scrollTop = 0;
	const out = [], line = (r) => Math.round(r.top) + " to " + Math.round(r.bottom) + " of " + innerHeight;
	const seen = (e) => { if (!e.checkVisibility()) return false; const r = e.getBoundingClientRect(); return r.width > 0 && r.height > 0; };
	const within = (what, e) => {
		if (!e || !seen(e)) return;
		const r = e.getBoundingClientRect();
		if (r.top < 0 || r.bottom > innerHeight || r.left < 0 || r.right > innerWidth) { out.push(what + " lies from " + line(r)); return; }
		const top = document.elementFromPoint(r.left + Math.min(r.width / 2, 60), r.top + r.height / 2);
		if (!(e.contains(top) || top?.contains(e) && getComputedStyle(e).display === "inline")) out.push(what + " is covered by " + (top?.outerHTML ?? "").slice(0, 80));
	};
	within("the band", document.querySelector(".band"));
	within("the sentence", document.querySelector("h1"));
	within("the number", document.querySelector("#number output"));
	within("the verdict", document.querySelector(".verdict > .notice"));
	within("the button", document.querySelector("form#step .act button.main, form#step button.main, .links a.main"));
	if (!document.querySelector(".verdict > .notice")) out.push("there is no verdict");
	for (const e of document.querySelectorAll("form#step .fields input:not([type=hidden])")) {
		if (!seen(e)) continue;
		e.focus();
		const r = e.getBoundingClientRect(), top = document.elementFromPoint(r.left + r.width / 2, r.top + r.height / 2);
		if (!(top && (e === top || e.parentNode.contains(top)))) out.push("the field " + e.name + " lies under " + (top?.outerHTML ?? "the edge").slice(0, 80) + ", from " + line(r));
	}
	document.activeElement?.blur();
	scrollTo(0, 0);
	if (document.documentElement.scrollWidth > innerWidth) out.push("the page is " + document.documentElement.scrollWidth + " wide");
	return out;
})()`

// firstScreen looks at the page that a desk is at, at each size.
func (d *desk) firstScreen(state string) {
	d.t.Helper()
	for _, s := range screens {
		within(d, "making it a "+s.name, chromedp.EmulateViewport(s.width, s.height))
		for _, fault := range ask[[]string](d, outside) {
			d.t.Errorf("%s, %s: %s", state, s.name, fault)
		}
		d.picture(fmt.Sprintf("%s-%s", state, s.name))
	}
	within(d, "making it a desk", chromedp.EmulateViewport(1280, 800))
}

// TestFirstScreen: at each step, and in each state a step can be in, what is to
// be done, its number, its verdict and its button are in sight at once.
func TestFirstScreen(t *testing.T) {
	began := time.Now()
	y := begin(t, keys{})
	who := map[string]func() *desk{"second-check": y.checker, "release": y.releaser, "time-out": y.nurse, "infusion": y.nurse, "close": y.releaser}
	for i, s := range theDay {
		d := y.worker()
		if of := who[s.key]; of != nil {
			d = of()
		}
		d.goTo(y.bench)
		d.firstScreen(fmt.Sprintf("%02d-%s", i+1, s.key))
		s.do(y)
	}
	t.Logf("%v", time.Since(began))
}
