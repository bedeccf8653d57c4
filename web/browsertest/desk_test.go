package browsertest

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// patience is how long a condition may take before the test is given up.
const patience = 90 * time.Second

// desk is one person in a browser of their own.
type desk struct {
	t    *testing.T
	ctx  context.Context
	base string
	who  string
	hand hand
	// look is done at each page before anything else is; nil for nothing.
	look func(*desk)
	// before is called with a form filled in and not yet sent.
	before func(d *desk, form string)
}

// hand is a way of working a page.
type hand interface {
	// into goes into a field of a form.
	into(d *desk, form, name string)
	// pick chooses one of a few.
	pick(d *desk, form, name, value string)
	// send sends the form, and gives what it leads to.
	send(d *desk, form string) *network.Response
	// follow goes where a link leads.
	follow(d *desk, href string) *network.Response
}

// sit opens a browser of its own for a person, who is not signed in yet.
func sit(t *testing.T, base, who string, h hand) *desk {
	t.Helper()
	b, err := browser()
	if err != nil {
		t.Fatal(err)
	}
	ctx, end := chromedp.NewContext(b, chromedp.WithNewBrowserContext())
	t.Cleanup(end)
	options := []chromedp.EmulateViewportOption{}
	if _, ok := h.(touch); ok {
		options = append(options, chromedp.EmulateTouch)
	}
	if err := chromedp.Do(ctx, chromedp.EmulateViewport(1280, 800, options...)); err != nil {
		t.Fatal(err)
	}
	// Several desks are in the foreground at once.
	if _, err := chromedp.Call(ctx, emulation.SetFocusEmulationEnabled, emulation.SetFocusEmulationEnabledParams{Enabled: true}); err != nil {
		t.Fatal(err)
	}
	return &desk{t: t, ctx: ctx, base: base, who: who, hand: h}
}

// signedIn is a desk whose person has signed in.
func signedIn(t *testing.T, base, who string, h hand) *desk {
	t.Helper()
	d := sit(t, base, who, h)
	d.signIn("practice laboratory only")
	return d
}

// signIn opens the account of the person with a password.
func (d *desk) signIn(password string) {
	d.t.Helper()
	d.goTo("/sign-in")
	d.fill("sign-in", "id", d.who)
	d.fill("sign-in", "password", password)
	d.send("sign-in")
	if at := d.location(); at != "/" {
		d.t.Fatalf("%s signed in and is at %s", d.who, at)
	}
}

// within runs an action that has to be done before patience ends.
func within[T any](d *desk, what string, action chromedp.Action[T]) T {
	d.t.Helper()
	ctx, end := context.WithTimeout(d.ctx, patience)
	defer end()
	v, err := chromedp.Run(ctx, action)
	if err != nil {
		d.t.Fatalf("%s, %s: %v", d.who, what, err)
	}
	return v
}

// leads runs actions that lead to another page.
func (d *desk) leads(what string, actions ...chromedp.Action[chromedp.Void]) *network.Response {
	d.t.Helper()
	ctx, end := context.WithTimeout(d.ctx, patience)
	defer end()
	r, err := chromedp.RunResponse(ctx, actions...)
	if err != nil {
		d.t.Fatalf("%s, %s: %v; the page says:\n%s", d.who, what, err, d.text("main"))
	}
	marked(d)
	if d.look != nil {
		d.look(d)
	}
	return r
}

// goTo types an address into the browser's own line.
func (d *desk) goTo(path string) *network.Response {
	d.t.Helper()
	return d.leads("going to "+path, chromedp.Navigate(d.base+path))
}

func (d *desk) reload() *network.Response {
	d.t.Helper()
	return d.leads("reloading", chromedp.Reload())
}

// ask evaluates an expression in the page.
func ask[T any](d *desk, expression string, args ...any) T {
	d.t.Helper()
	return within(d, "asking the page", chromedp.Evaluate[T](script(expression, args...), chromedp.EvalAwaitPromise))
}

// wait waits until an expression is true of the page.
func (d *desk) wait(what, expression string, args ...any) {
	d.t.Helper()
	within(d, "waiting until "+what, chromedp.Poll[chromedp.Void](script(expression, args...), chromedp.WithPollingMutation(), chromedp.WithPollingTimeout(patience)))
}

// script puts arguments into an expression, as JSON.
func script(expression string, args ...any) string {
	texts := make([]any, len(args))
	for i, a := range args {
		data, err := json.Marshal(a)
		if err != nil {
			panic(err) // arguments are texts and numbers
		}
		texts[i] = data
	}
	return fmt.Sprintf(expression, texts...)
}

// text is what a person can see of a part of the page; empty without it.
func (d *desk) text(selector string) string {
	d.t.Helper()
	return ask[string](d, `document.querySelector(%s)?.innerText ?? ""`, selector)
}

func (d *desk) location() string {
	d.t.Helper()
	return ask[string](d, `location.pathname`)
}

// says fails unless a part of the page holds a text, in whatever case of
// letters it is shown.
func (d *desk) says(selector, want string) {
	d.t.Helper()
	if got := d.text(selector); !strings.Contains(strings.ToLower(got), strings.ToLower(want)) {
		d.t.Errorf("%s at %s: %s does not say %q but:\n%s", d.who, d.location(), selector, want, got)
	}
}

// tells fails unless the page holds each of some texts, folded away or not.
func (d *desk) tells(texts ...string) {
	d.t.Helper()
	page := ask[string](d, `document.querySelector("main").textContent.replace(/\s+/g, " ")`)
	for _, want := range texts {
		if !strings.Contains(page, want) {
			d.t.Errorf("%s at %s: the page does not say %q:\n%s", d.who, d.location(), want, page)
		}
	}
}

// value is what stands in a field.
func (d *desk) value(form, name string) string {
	d.t.Helper()
	return ask[string](d, `(new FormData(document.getElementById(%s))).get(%s) ?? ""`, form, name)
}

// fill types into a field.
func (d *desk) fill(form, name, text string) {
	d.t.Helper()
	d.hand.into(d, form, name)
	if ask[bool](d, `document.activeElement.value !== ""`) {
		within(d, "marking what stands there", chromedp.Steps(chromedp.KeyEvent(end), chromedp.KeyEvent(home, chromedp.KeyModifiers(chromedp.ModifierShift))))
	}
	within(d, "typing", chromedp.KeyEvent(text))
	if got := ask[string](d, `document.activeElement.value`); got != text {
		d.t.Fatalf("%s typed %q into %s, and there stands %q", d.who, text, name, got)
	}
}

// pick chooses one of a few.
func (d *desk) pick(form, name, value string) {
	d.t.Helper()
	d.hand.pick(d, form, name, value)
	if got := d.value(form, name); got != value {
		d.t.Fatalf("%s chose %q of %s, and it stands at %q", d.who, value, name, got)
	}
}

// send sends a form.
func (d *desk) send(form string) *network.Response {
	d.t.Helper()
	if d.before != nil {
		d.before(d, form)
	}
	return d.hand.send(d, form)
}

// marked looks at the page: practice is written on it at the top, in its title
// and in each picture.
func marked(d *desk) {
	d.t.Helper()
	const mark = "PRACTICE - not for patient use"
	at := d.location()
	if got := ask[string](d, `document.title`); !strings.HasPrefix(got, "PRACTICE") {
		d.t.Errorf("%s: the title %q is not marked", at, got)
	}
	seen := ask[bool](d, `(() => { const m = document.querySelector(".practice-mark"), r = m?.getBoundingClientRect();
		return !!m && m.innerText.includes(%s) && r.top + scrollY < 100 && r.height > 10; })()`, mark)
	if !seen {
		d.t.Errorf("%s: the page is not marked at its top", at)
	}
	if n := ask[int](d, `[...document.querySelectorAll("svg")].filter(s => !s.textContent.includes(%s)).length`, mark); n != 0 {
		d.t.Errorf("%s: %d pictures are not marked", at, n)
	}
}

// shot takes a picture of the screen.
func (d *desk) shot() []byte {
	d.t.Helper()
	ctx, end := context.WithTimeout(d.ctx, patience)
	defer end()
	r, err := chromedp.Call(ctx, page.CaptureScreenshot, page.CaptureScreenshotParams{})
	if err != nil {
		d.t.Fatal(err)
	}
	return r.Data
}
