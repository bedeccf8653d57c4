package browsertest

import (
	"fmt"

	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

const (
	tab   = kb.Tab
	enter = kb.Enter
	space = " "
	down  = kb.ArrowDown
	home  = kb.Home
	end   = kb.End
)

// keys is a hand on a keyboard. It never points at anything.
type keys struct{}

// reach presses Tab until what has the focus is what is sought.
func (keys) reach(d *desk, what, isIt string, args ...any) {
	d.t.Helper()
	const most = 250 // no page of the bench has as many stops
	for range most {
		if ask[bool](d, `(e => !!e && (`+isIt+`))(document.activeElement)`, args...) {
			return
		}
		within(d, "pressing Tab", chromedp.KeyEvent(tab))
	}
	d.t.Fatalf("%s at %s: Tab does not reach %s; the page says:\n%s", d.who, d.location(), what, d.text("main"))
}

// closed tells whether a field that is to be corrected still stands as it was.
const closed = `!!document.querySelector("#" + %s + " details.was:not([open]) [name='" + %s + "']")`

func (k keys) into(d *desk, form, name string) {
	d.t.Helper()
	if ask[bool](d, closed, form, name) {
		k.reach(d, "what stands in "+name, `e.tagName === "SUMMARY" && !!e.parentNode.querySelector("#" + %s + " [name='" + %s + "']")`, form, name)
		within(d, "pressing Enter", chromedp.KeyEvent(enter))
	}
	k.reach(d, "the field "+name, `e.form?.getAttribute("id") === %s && e.name === %s`, form, name)
}

func (k keys) pick(d *desk, form, name, value string) {
	d.t.Helper()
	k.into(d, form, name)
	within(d, "pressing Space", chromedp.KeyEvent(space))
	for range 12 { // no group is as large
		if ask[bool](d, `document.activeElement.value === %s && document.activeElement.checked`, value) {
			return
		}
		within(d, "pressing the arrow", chromedp.KeyEvent(down))
	}
	d.t.Fatalf("%s: the arrows do not reach %q of %s", d.who, value, name)
}

// send presses Enter where the focus is in the form, as a scanner does; else
// on its button.
func (k keys) send(d *desk, form string) *network.Response {
	d.t.Helper()
	if !ask[bool](d, `document.activeElement.form?.getAttribute("id") === %s`, form) {
		k.reach(d, "the button of "+form, `e.form?.getAttribute("id") === %s && e.tagName === "BUTTON"`, form)
	}
	return d.leads("pressing Enter in "+form, chromedp.KeyEvent(enter))
}

func (k keys) follow(d *desk, href string) *network.Response {
	d.t.Helper()
	k.reach(d, "the link to "+href, `e.tagName === "A" && e.getAttribute("href") === %s`, href)
	return d.leads("following "+href, chromedp.KeyEvent(enter))
}

// touch is a gloved finger, and the keyboard that the screen puts up for it.
type touch struct{}

func (touch) tap(d *desk, selector string) chromedp.Action[chromedp.Void] {
	return chromedp.Tap(chromedp.CSS(selector))
}

func (h touch) into(d *desk, form, name string) {
	d.t.Helper()
	if ask[bool](d, closed, form, name) {
		within(d, "tapping what stands in "+name, h.tap(d, fmt.Sprintf(`#%s .was:has(input[name=%q]) > summary`, form, name)))
	}
	within(d, "tapping "+name, h.tap(d, fmt.Sprintf(`#%s input[name=%q]`, form, name)))
	if !ask[bool](d, `document.activeElement.name === %s`, name) {
		d.t.Fatalf("%s tapped %s, and the focus is elsewhere", d.who, name)
	}
}

func (h touch) pick(d *desk, form, name, value string) {
	d.t.Helper()
	within(d, "tapping "+value, h.tap(d, fmt.Sprintf(`#%s label:has(input[name=%q][value=%q])`, form, name, value)))
}

func (h touch) send(d *desk, form string) *network.Response {
	d.t.Helper()
	return d.leads("tapping the button of "+form, h.tap(d, "#"+form+" button.main"))
}

func (h touch) follow(d *desk, href string) *network.Response {
	d.t.Helper()
	return d.leads("tapping "+href, h.tap(d, fmt.Sprintf(`a[href=%q]`, href)))
}

func press(text string) chromedp.Action[chromedp.Void] { return chromedp.KeyEvent(text) }
