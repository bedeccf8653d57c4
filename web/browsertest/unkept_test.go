package browsertest

import (
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// another is a further tab of the browser of a desk.
func (d *desk) another() *desk {
	d.t.Helper()
	ctx, end := chromedp.NewContext(d.ctx)
	d.t.Cleanup(end)
	if err := chromedp.Do(ctx, chromedp.EmulateViewport(1280, 800)); err != nil {
		d.t.Fatal(err)
	}
	return &desk{t: d.t, ctx: ctx, base: d.base, who: d.who, hand: d.hand}
}

// filled asks for what stands in the fields of the step.
func (d *desk) filled(want map[string]string) {
	d.t.Helper()
	for name, text := range want {
		if got := d.value("step", name); got != text {
			d.t.Errorf("%s at %s: in %s stands %q, want %q", d.who, d.location(), name, got, text)
		}
	}
}

// names writes who signs in on the page that says that it is signed out.
func (d *desk) names(who string) {
	d.t.Helper()
	d.fill("sign-in", "id", who)
	d.fill("sign-in", "password", "practice laboratory only")
}

// hiddenLock gives what cannot be seen at the end of a locked page: that it is locked, and the
// field that is typed into.
const hiddenLock = `(() => {
	const field = document.activeElement, notice = document.querySelector("#locked > .notice"), out = [];
	scrollTo(0, document.documentElement.scrollHeight);
	if (scrollY === 0) out.push("the page is not scrolled");
	for (const e of [notice, field]) {
		if (e === field) e.scrollIntoView({ block: "nearest" });
		const r = e.getBoundingClientRect(), top = document.elementFromPoint(r.left + 30, r.top + r.height / 2);
		if (!top || !e.contains(top)) out.push((e.name || "the lock") + " is out of sight, from " + Math.round(r.top) + " to " + Math.round(r.bottom));
	}
	return out;
})()`

// TestSignedOutElsewhere: the person signs out in another tab while a form is being filled
// in. The page says that what is typed from then on is not kept by the program, and it stands
// in the form again once that person signs in there.
func TestSignedOutElsewhere(t *testing.T) {
	y := begin(t, keys{})
	d := y.signedOutElsewhere()
	d.says("#locked", "You are signed out on this page")
	d.says("#locked", "Not kept")
	d.fill("step", "p0.background", "0.2")
	d.pick("step", "p0.background.unit", "MBq")
	within(d, "making it a phone", chromedp.EmulateViewport(390, 844))
	d.fill("step", "p0.background", "0.2")
	for _, fault := range ask[[]string](d, hiddenLock) {
		t.Error(fault)
	}
	d.picture("signed-out-elsewhere")
	within(d, "making it a desk", chromedp.EmulateViewport(1280, 800))
	d.names(d.who)
	within(d, "signing in", chromedp.Evaluate[chromedp.Void](`document.getElementById("sign-in").requestSubmit()`))
	again := chromedp.Poll[chromedp.Void](`!!document.getElementById("step")?.textContent.includes("It is not recorded yet")`, chromedp.WithPollingTimeout(patience))
	var err error
	for range 5 { // the page goes while it is asked: to the order, and to the order with what was typed
		if _, err = chromedp.Run(d.ctx, again); err == nil {
			break
		}
	}
	if err != nil {
		t.Fatal(err)
	}
	d.filled(map[string]string{"p0.gross": "3.17", "p0.gross.unit": "GBq", "p0.background": "0.2", "p0.background.unit": "MBq"})
	d.picture("signed-in-again")
	y.sent(d)
	d.holdsNothing()
}

// TestSomebodyElseSignsIn: what waits in a tab for one person is gone from it once somebody
// else signs in there.
func TestSomebodyElseSignsIn(t *testing.T) {
	y := begin(t, keys{})
	d := y.signedOutElsewhere()
	d.says("#locked", "It stays in this tab until somebody else signs in here")
	if held := ask[int](d, `sessionStorage.length`); held == 0 {
		t.Error("nothing waits in the tab")
	}
	d.names("RP1")
	d.send("sign-in")
	d.goTo(y.bench)
	d.filled(map[string]string{"p0.gross": "", "p0.background": ""})
	d.holdsNothing()
}

// signedOutElsewhere is the desk of the worker, who signs out in another tab and types on.
func (y *day) signedOutElsewhere() *desk {
	y.readiness()
	d := y.worker()
	y.at(d, "Assay of vial")
	other := d.another()
	other.goTo("/me")
	other.leads("signing out", chromedp.Evaluate[chromedp.Void](`document.querySelector("form[action='/sign-out'] button").click()`))
	d.fill("step", "p0.gross", "3.17")
	d.pick("step", "p0.gross.unit", "GBq")
	d.wait("it says so", `!!document.querySelector("#notices #locked")`)
	return d
}

// holdsNothing tells that nothing of what was typed is left in the tab.
func (d *desk) holdsNothing() {
	d.t.Helper()
	if left := ask[int](d, `sessionStorage.length`); left != 0 {
		d.t.Errorf("%d things are left in the tab", left)
	}
}

// TestNoAnswer: the program is gone when a button is pressed. The page stays with what was
// typed and says so, and once the program is back the same press records it, once.
func TestNoAnswer(t *testing.T) {
	needsBrowser(t)
	journal := filepath.Join(t.TempDir(), "lab.vialwright")
	at, stop := start(t, "--journal", journal)
	listen := strings.TrimPrefix(strings.TrimSuffix(at, "/"), "http://")
	y := &day{t: t, base: at, bench: "/order/P1", hand: keys{}, desks: map[string]*desk{}, held: label, liquid: volume}
	d := y.worker()
	d.goTo("/day/enter/note")
	d.fill("note", "p0.text", "the tongs lie in the second drawer")
	pressed := func(want string) {
		t.Helper()
		d.hand.(keys).reach(d, "the button", `e.type === "submit" && e.form?.id === "note"`)
		within(d, "pressing it", chromedp.KeyEvent(enter))
		d.wait("it says so", `!!document.getElementById("live-notice")?.textContent.includes(%s)`, want)
		if got := d.value("note", "p0.text"); got != "the tongs lie in the second drawer" {
			t.Errorf("what was typed became %q", got)
		}
	}
	stop()
	for range 2 {
		pressed("The program does not answer. Nothing was recorded as far as this page knows. What you typed is still here.")
	}
	d.picture("no-answer")
	start(t, "--journal", journal, "--listen", listen)
	d.send("note")
	d.says("#notices", "recorded")
	d.goTo("/history")
	if n := strings.Count(d.text("main"), "the tongs lie in the second drawer"); n != 1 {
		t.Errorf("the note was recorded %d times", n)
	}
}

// TestNowAfterTheClockWasPutForward: a page that is open while the clock of the practice
// laboratory is put forward fills in the time of then by its buttons.
func TestNowAfterTheClockWasPutForward(t *testing.T) {
	y := begin(t, keys{})
	for _, s := range theDay {
		if s.key == "infusion" {
			break
		}
		s.do(y)
	}
	d := y.nurse()
	d.goTo(y.bench)
	const later = `(m => new Date(Date.parse(document.querySelector("[data-now]").dataset.now) + m * 60e3).toLocaleString("sv-SE", {timeZone: document.querySelector("[data-zone]").dataset.zone}).replace(" ", "T").slice(0, 16))`
	to := ask[string](d, later+`(37)`)
	other := d.another()
	other.goTo("/practice")
	other.fill("clock", "to", to)
	other.send("clock")
	d.wait("the page has heard of it", `document.getElementById("live-notice")?.textContent.includes("What you typed is still here")`)
	got := ask[string](d, `(b => (b.click(), document.getElementById(b.dataset.fills).value))(document.querySelector("button[data-fills]"))`)
	at, err := time.Parse("2006-01-02T15:04", to)
	if err != nil {
		t.Fatal(err)
	}
	if since := []string{to[11:], at.Add(time.Minute).Format("15:04")}; !slices.Contains(since, got) { // it may be a slow machine
		t.Errorf("the clock was put forward to %s, and the button fills in %s", to, got)
	}
}
