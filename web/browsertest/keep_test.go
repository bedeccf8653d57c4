package browsertest

import (
	"strings"
	"testing"

	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
)

// TestReload: at every step the page is loaded again with the form filled in
// and not sent. What was typed stands there again, except a secret, and the
// bench stands at the same step.
func TestReload(t *testing.T) {
	y := begin(t, keys{})
	reloaded := 0
	y.before = func(d *desk, form string) {
		if form == "step" {
			d.keptOver(form)
			reloaded++
		}
	}
	for _, d := range y.desks {
		d.before = y.before
	}
	y.whole()
	if reloaded < len(theDay) {
		t.Errorf("%d forms were loaded again, of %d steps", reloaded, len(theDay))
	}
}

// typedIn is what stands in a form, without secrets and what the server put in.
const typedIn = `JSON.stringify([...new FormData(document.getElementById(%s))].filter(([n]) => !["pin", "pin2", "nonce", "head"].includes(n)))`

// keptOver loads the page again, and types the PIN again.
func (d *desk) keptOver(form string) {
	d.t.Helper()
	typed, title := ask[string](d, typedIn, form), d.text("h1")
	d.settled(form)
	d.reload()
	if got := ask[string](d, typedIn, form); got != typed {
		d.t.Errorf("%s at %q: typed was\n%s\nand after a reload there stands\n%s", d.who, title, typed, got)
	}
	if got := d.text("h1"); got != title {
		d.t.Errorf("%s was at %q, and after a reload is at %q", d.who, title, got)
	}
	for _, name := range []string{"pin", "pin2"} {
		if !ask[bool](d, `!!document.querySelector(%s)`, "form#step [name="+name+"]") {
			continue
		}
		if got := d.value(form, name); got != "" {
			d.t.Errorf("%s at %q: the PIN is there again", d.who, title)
		}
		d.fill(form, name, pin)
	}
}

// settled tells the page that something was typed, and waits until that is
// kept.
func (d *desk) settled(form string) {
	d.t.Helper()
	kept := func(e network.EventResponseReceived) bool { return strings.Contains(e.Response.URL, "/draft?") }
	within(d, "waiting until it is kept", chromedp.WaitEvent(network.ResponseReceived, kept,
		chromedp.Evaluate[chromedp.Void](script(`document.getElementById(%s).dispatchEvent(new Event("input", {bubbles: true}))`, form))))
}
