package browsertest

import (
	"context"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"

	"vialwright/web/webtest"
)

// planned is a morning whose planning is done in the browser; what is drawn and given by
// that plan is entered by the forms of the bench, which other tests fill in there.
type planned struct {
	*desk
	lab   *webtest.Lab
	bench *webtest.Doses
}

// see goes to a page, with the PIN where the screen was locked meanwhile.
func (d *desk) see(path string) {
	d.t.Helper()
	d.goTo(path)
	if d.location() == "/pin" {
		d.fill("pin", "pin", webtest.PIN)
		d.send("pin")
	}
}

// row is what the day plan says of an order: where from, draw, infusion.
func (p *planned) row(order string) string {
	p.t.Helper()
	const row = `[...document.querySelectorAll(".dayplan tbody tr")].find(r => r.querySelector("th").innerText === %s)?.innerText ?? ""`
	return strings.Join(strings.Fields(ask[string](p.desk, row, order)), " ")
}

// key presses an access key, which types nothing.
func (p *planned) key(k string) {
	p.t.Helper()
	down := input.DispatchKeyEventParams{Type: "keyDown", Modifiers: int64(chromedp.ModifierAlt), Key: k, UnmodifiedText: k}
	p.leads("the access key "+k, chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, input.DispatchKeyEvent, down)
		return err
	}))
}

// touch picks an order, and moves it by a button, where one is named.
func (p *planned) touch(order, button string) {
	p.t.Helper()
	const link = `[...document.querySelectorAll(".dayplan a")].find(a => a.innerText === %s)?.getAttribute("href") ?? ""`
	if ask[string](p.desk, `document.querySelector(".dayplan [aria-current]")?.innerText ?? ""`) != order {
		p.hand.follow(p.desk, ask[string](p.desk, link, order))
	}
	if button != "" {
		p.hand.follow(p.desk, ask[string](p.desk, link, button))
	}
}

// looks holds the page to what a first screen shows, with what is pressed in it.
func (p *planned) looks(state string) {
	p.t.Helper()
	p.atEachSize(state, crooked)
	p.firstScreen(state)
}

// take takes the plan that is shown.
func (p *planned) take(reason string) {
	p.t.Helper()
	p.says("main", "Every order is planned")
	if reason != "" {
		p.fill("re-plan", "p0.reason", reason)
	}
	if r := p.send("re-plan"); r.Status != 200 {
		p.t.Fatalf("the plan: %d:\n%s", r.Status, p.text("main"))
	}
	p.says("#notices", "The plan is taken")
}

var fromVial = regexp.MustCompile(`\b(S\d) ([0-9.]+) mL`)

// prepares does what the plan says of an order at an hour of the morning.
func (p *planned) prepares(order, at string) {
	p.t.Helper()
	p.lab.Clock.Set(at)
	p.see("/plan")
	m := fromVial.FindStringSubmatch(p.row(order))
	if m == nil {
		p.t.Fatalf("no vial and volume for %s: %q", order, p.row(order))
	}
	p.bench.Prepare(order, m[1], m[2], at)
}

// TestPlannedMorning plays a morning with six orders and three vials on the screen, to
// the last dose: the second patient is cancelled after the draw, and her dose is given
// to the fourth, who then comes an hour late.
func TestPlannedMorning(t *testing.T) {
	needsBrowser(t)
	lab := webtest.Morning(webtest.New(t, webtest.InPractice).Hire())
	bench := webtest.NewDoses(lab)
	p := &planned{sit(t, lab.HTTP.URL, "T1", keys{}), lab, bench}
	p.signIn(webtest.Password)
	p.see("/plan")
	p.renew("plan")
	p.looks("plan-first")
	if ask[string](p.desk, `getComputedStyle(document.querySelector(".dayplan .entry > .fields")).display`) != "none" {
		t.Error("a row without a field in sight pushes the reason and the button of the plan over its rows")
	}
	p.take("")
	p.says("main", "there is no better plan")
	p.see("/plan?why=1")
	p.says("main", "Why this plan")
	p.looks("plan-why")
	p.see("/plan/ahead")
	p.says("main", "Coming days")
	p.atEachSize("plan-ahead", crooked)
	p.see("/plan/calendar")
	p.atEachSize("plan-calendar", crooked)
	if r := p.send("give"); r.Status != 200 {
		t.Fatalf("an address of a calendar: %d", r.Status)
	}
	p.atEachSize("plan-calendar-given", crooked)
	p.prepares("P1", "09:00")
	lab.Clock.Set("09:45")
	bench.HandOver("P1", 10)
	p.prepares("P2", "10:00")
	bench.Give("P1", 10)
	bench.Cancel("P2", "the invented patient is not well")
	p.see("/plan")
	p.says("main", "The dose in A2, drawn for P2, serves P4.")
	p.looks("plan-cancelled")
	rp := &planned{sit(t, lab.HTTP.URL, "RP1", keys{}), lab, bench}
	rp.signIn(webtest.Password)
	p.hand.follow(p.desk, "/order/P2")
	rp.see("/order/P2")
	rp.givesAway("P4")
	bench.GivenAway("P2", "P4")
	p.see("/plan")
	if got := p.row("P4"); !strings.Contains(got, "A2") || !strings.Contains(got, "drawn 13:00") {
		t.Errorf("the dose of P2 was given to P4, and the plan says %q", got)
	}
	p.take("P2 cancelled, her dose given to P4")
	bench.Baseline("P4")
	bench.Check("P4")
	bench.Release("P4")
	p.prepares("P3", "11:00")
	// The fourth comes an hour late. There is one suite: the fifth has it then.
	p.see("/plan")
	p.touch("P4", "Later")
	p.touch("P4", "Later")
	p.says("main", "P4 cannot be served")
	p.looks("plan-late")
	p.touch("P4", "Earlier")
	p.touch("P4", "Earlier")
	p.says("main", "Every order is planned")
	if got := p.row("P4"); !strings.Contains(got, "drawn 13:00") {
		t.Errorf("later and earlier by as much, and the plan says %q", got)
	}
	p.touch("P6", "Cancel")
	p.says("main", "P6 cancelled")
	if got := p.row("P6"); got != "" {
		t.Errorf("P6 is cancelled, and the plan says %q", got)
	}
	p.see("/plan")
	p.touch("P4", "")
	p.key("l")
	if got := p.text(".dayplan .rest"); !strings.Contains(got, "P4 later by 30 min") {
		t.Errorf("the access key of Later, and the page says %q", got)
	}
	p.see("/plan")
	p.touch("P4", "Swap with next")
	p.looks("plan-swapped")
	p.take("")
	bench.HandOver("P3", 12)
	p.prepares("P5", "12:00")
	bench.Give("P3", 12)
	bench.HandOver("P5", 13)
	bench.Give("P5", 13)
	bench.HandOver("P4", 14)
	p.prepares("P6", "14:00")
	bench.Give("P4", 14)
	bench.HandOver("P6", 15)
	bench.Give("P6", 15)
	p.see("/plan")
	p.says("main", "No order of today is open")
	p.looks("plan-over")
	p.see("/order/P4")
	p.says("main", "A2")
}

// givesAway gives the dose of a cancelled order to another one, at its bench.
func (p *planned) givesAway(to string) {
	p.t.Helper()
	p.opens("reassign")
	p.pick("reassign", "p0.to", to)
	if ask[bool](p.desk, `!!document.querySelector("form#reassign [name=pin]")`) {
		p.fill("reassign", "pin", webtest.PIN)
	}
	if r := p.send("reassign"); r.Status != 200 {
		p.t.Fatalf("giving a dose to %s: %d:\n%s", to, r.Status, p.text("main"))
	}
	p.says("#notices", "recorded")
}
