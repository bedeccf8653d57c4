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
	const locked = document.querySelector("#notices #locked");
	if (locked) { // whose the page is, and the way in
		within("the lock", locked.querySelector(".notice"));
		within("the PIN", locked.querySelector("input[name=pin]"));
		within("its button", locked.querySelector("button.main"));
		if ([...document.querySelectorAll("main button")].some(seen)) out.push("a button of the page can be pressed under the lock");
		return out;
	}
	within("the band", document.querySelector(".band"));
	within("the sentence", document.querySelector("h1"));
	within("the number", document.querySelector("#number output"));
	within("the verdict", document.querySelector(".verdict > .notice"));
	within("the button", document.querySelector("form#step .act button.main, form#step button.main, .links a.main, .dayplan .foot button.main"));
	within("the signature", document.querySelector("form#step .act input[type=password]"));
	if (!document.querySelector(".verdict > .notice")) out.push("there is no verdict");
	const says = document.querySelector(".verdict:not([open]) .says-it");
	if (says && says.scrollHeight > says.clientHeight + 2) out.push("the verdict is cut: " + says.textContent);
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
	d.atEachSize(state, outside)
}

// atEachSize asks at each size what is wrong with a page.
func (d *desk) atEachSize(state, wrong string) {
	d.t.Helper()
	for _, s := range screens {
		within(d, "making it a "+s.name, chromedp.EmulateViewport(s.width, s.height))
		for _, fault := range ask[[]string](d, wrong) {
			d.t.Errorf("%s, %s: %s", state, s.name, fault)
		}
		d.picture(state + "-" + s.name)
	}
	within(d, "making it a desk", chromedp.EmulateViewport(screens[0].width, screens[0].height))
}

// doers are who does a step where the technologist does not.
var doers = map[string]func(*day) *desk{
	"second-check": (*day).checker, "release": (*day).releaser, "time-out": (*day).nurse, "infusion": (*day).nurse, "close": (*day).releaser,
}

// TestFirstScreen: at each step what is to be done, its number, its verdict and
// its button are in sight at once, before the step and right after it.
func TestFirstScreen(t *testing.T) {
	y := begin(t, keys{})
	for i, s := range theDay {
		d := y.worker()
		if of := doers[s.key]; of != nil {
			d = of(y)
		}
		d.goTo(y.bench)
		d.firstScreen(fmt.Sprintf("step-%02d-%s", i+1, s.key))
		if n := ask[int](d, `document.querySelectorAll("#number .notice.warn, #number .notice.stop").length`); n > 0 {
			t.Errorf("%s: the next normal step shows %d warnings or stops: %s", s.key, n, d.text("#number"))
		}
		for _, page := range []string{"check", "time-out"} { // the pages of their own
			if href := y.bench + "/" + page; ask[bool](d, `!!document.querySelector("main a.main[href='" + %s + "']")`, href) {
				d.goTo(href)
				d.firstScreen(fmt.Sprintf("step-%02d-%s-page", i+1, s.key))
			}
		}
		s.do(y)
		d.firstScreen(fmt.Sprintf("step-%02d-%s-recorded", i+1, s.key))
	}
	y.worker().goTo(y.bench)
	y.worker().firstScreen("step-17-done")
}

// states are what can stand at a step, one after the other in one preparation.
var states = []struct {
	name string
	who  func(*day) *desk
	// path is where it is looked at, below the bench; do leads to the state
	// from there, and stays on its page.
	path string
	do   func(*day, *desk)
	// kind is that of the verdict; empty for any.
	kind string
}{
	{"later", (*day).worker, "/step/draw", nil, "note"},
	{"asked", (*day).worker, "", func(y *day, d *desk) {
		y.full = label*kept(-time.Until(y.reference)) + background
		y.reading(d, y.full/0.037)
		d.send("step")
	}, ""},
	{"wrong", (*day).worker, "", func(y *day, d *desk) {
		d.fill("step", "p0.gross", "three")
		d.send("step")
	}, ""},
	{"warned", (*day).worker, "", func(y *day, d *desk) {
		y.reading(d, 1.12*y.full)
		y.sent(d)
	}, "warn"},
	{"done", (*day).worker, "/step/assay", nil, ""},
	{"somebody-else", (*day).nurse, "", nil, ""},
	{"stopped", (*day).worker, "/step/assay", func(y *day, d *desk) {
		ask[bool](d, `document.querySelector("details.again > summary")?.click() === undefined`)
		y.reading(d, 1.5*y.full)
		y.sent(d)
	}, "stop"},
	{"stopped-draw", (*day).worker, "/step/draw", nil, "stop"},
	{"stopped-releaser", (*day).releaser, "/step/draw", nil, "stop"},
	{"corrected", (*day).worker, "", func(y *day, d *desk) {
		d.goTo(ask[string](d, `document.querySelector(".verdict a[href^='/entry/'], .recorded a").getAttribute("href")`))
		d.fill("correct", "p0.reason", "another vial stood in the meter")
		d.fill("correct", "p0.with.read.gross", three(1.12*y.full)+" GBq")
		d.fill("correct", "pin", pin)
		d.send("correct")
		d.goTo(y.bench)
	}, "warn"},
	{"locked", (*day).worker, "", func(_ *day, d *desk) {
		// What a page that looks by itself is answered after a while of rest, put
		// where its script puts it.
		if !ask[bool](d, `fetch("/pin").then(r => r.text()).then(t => {
			const lock = new DOMParser().parseFromString(t, "text/html").getElementById("locked"), place = document.getElementById("notices");
			place.append(document.adoptNode(lock));
			return true;
		})`) {
			d.t.Error("the page is not locked")
		}
	}, ""},
}

// TestFirstScreenStates: the same where a step is asked about, refused, warned
// of, stopped, done, corrected, locked, or somebody else's, in light and in dark.
func TestFirstScreenStates(t *testing.T) {
	y := begin(t, keys{})
	y.readiness()
	for i, s := range states {
		d := s.who(y)
		d.goTo(y.bench + s.path)
		if s.do != nil {
			s.do(y, d)
		}
		for _, scheme := range []string{"dark", "light"} {
			d.scheme(scheme)
			d.firstScreen(fmt.Sprintf("state-%02d-%s-%s", i+1, s.name, scheme))
		}
		if got := ask[string](d, `document.querySelector(".verdict > .notice")?.className ?? ""`); s.kind != "" && got != "notice "+s.kind {
			t.Errorf("%s: the verdict is a %q: %s", s.name, got, d.text("#number"))
		}
	}
}
