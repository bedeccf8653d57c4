package browsertest

import (
	"fmt"
	"regexp"
	"strings"
	"testing"

	"vialwright/web/webtest"
)

// planned is a morning whose planning is done on the screen; what is drawn and given
// by that plan is recorded without the forms of the bench, which other tests walk
// through.
type planned struct {
	*desk
	lab *webtest.Lab
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

// touch picks an order, and moves it by a button.
func (p *planned) touch(order, button string) {
	p.t.Helper()
	const link = `[...document.querySelectorAll(".dayplan a")].find(a => a.innerText === %s)?.getAttribute("href") ?? ""`
	if ask[string](p.desk, `document.querySelector(".dayplan [aria-current]")?.innerText ?? ""`) != order {
		p.hand.follow(p.desk, ask[string](p.desk, link, order))
	}
	p.hand.follow(p.desk, ask[string](p.desk, link, button))
}

// take takes the plan that is shown.
func (p *planned) take(reason string) {
	p.t.Helper()
	p.says("main", "Every order is served")
	if reason != "" {
		p.fill("re-plan", "p0.reason", reason)
	}
	if r := p.send("re-plan"); r.Status != 200 {
		p.t.Fatalf("the plan: %d:\n%s", r.Status, p.text("main"))
	}
	p.says("#notices", "The plan is taken")
}

var fromVial = regexp.MustCompile(`\b(S\d) ([0-9.]+) mL`)

// draws does what the plan says of an order at an hour of the morning.
func (p *planned) draws(order, at string) {
	p.t.Helper()
	p.lab.Clock.Set(at)
	p.see("/plan")
	m := fromVial.FindStringSubmatch(p.row(order))
	if m == nil {
		p.t.Fatalf("no vial and volume for %s: %q", order, p.row(order))
	}
	p.lab.Tell(fmt.Sprintf("draw: {from: %s, into: Y-%s, for: %s, at: 2027-03-04T%s, volume: %s mL}", m[1], order, order, at, m[2]))
}

func (p *planned) gives(order, from, hour string) {
	p.t.Helper()
	p.lab.Clock.Set(hour + ":45")
	p.lab.Tell(fmt.Sprintf("infuse: {for: %s, from: %s, start: 2027-03-04T%s:00, stop: 2027-03-04T%s:40, reason: complete}", order, from, hour, hour))
}

// TestPlannedMorning plays a morning with six orders and three vials on the screen, to
// the last dose: the second patient is cancelled after the draw, and her dose is given
// to the fourth, who then comes an hour late.
func TestPlannedMorning(t *testing.T) {
	needsBrowser(t)
	lab := webtest.Morning(webtest.New(t, webtest.InPractice).Hire())
	for _, id := range []string{"P2", "P4"} { // a dose goes from one signed order to another
		lab.As("DR1").Fill("/order/"+id, "sign-order", "/order/"+id+"/step/sign-order").Recorded()
	}
	p := &planned{sit(t, lab.HTTP.URL, "T1", keys{}), lab}
	p.signIn(webtest.Password)
	p.see("/plan")
	p.renew("plan")
	p.take("")
	p.says("main", "there is no better plan")
	p.draws("P1", "09:00")
	p.draws("P2", "10:00")
	p.gives("P1", "Y-P1", "10")
	lab.Tell("cancel: {for: P2, reason: the invented patient is not well, at: 2027-03-04T10:50}")
	lab.Clock.Set("10:55")
	p.see("/plan")
	p.says("main", "Y-P2 could serve P4 until")
	rp := &planned{sit(t, lab.HTTP.URL, "RP1", keys{}), lab}
	rp.signIn(webtest.Password)
	p.hand.follow(p.desk, "/order/P2")
	rp.see("/order/P2")
	rp.givesAway("P4")
	p.see("/plan")
	if got := p.row("P4"); !strings.Contains(got, "Y-P2") || !strings.Contains(got, "drawn 13:00") {
		t.Errorf("the dose of P2 was given to P4, and the plan says %q", got)
	}
	p.take("P2 cancelled, her dose given to P4")
	p.draws("P3", "11:00")
	// The fourth comes an hour late. There is one suite: the fifth has it then.
	p.see("/plan")
	p.touch("P4", "Later")
	p.touch("P4", "Later")
	p.says("main", "cannot be served")
	p.see("/plan")
	p.touch("P4", "Swap with next")
	p.take("")
	p.draws("P5", "12:00")
	p.gives("P3", "Y-P3", "12")
	p.gives("P5", "Y-P5", "13")
	p.draws("P6", "14:00")
	p.gives("P4", "Y-P2", "14")
	p.gives("P6", "Y-P6", "15")
	p.see("/plan")
	p.says("main", "No order of today is open")
	p.see("/order/P4")
	p.says("main", "Y-P2")
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
