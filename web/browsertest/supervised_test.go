package browsertest

import "testing"

// TestSupervised: a technologist whose training lapsed does the readiness check beside a
// radiopharmacist, by keys: the first screen says so and still holds the button, a wrong
// PIN is refused with everything that was picked still there, and the right one records it.
func TestSupervised(t *testing.T) {
	y := begin(t, keys{})
	mp, d := y.physicist(), y.worker()
	mp.goTo("/hot-lab/enter/training")
	ask[bool](mp, `document.querySelectorAll("details.rest").forEach(x => x.open = true) ?? true`)
	mp.pick("training", "p0.who", d.who)
	for _, f := range [][2]string{{"in", "unsealed sources"}, {"at", y.now().AddDate(-1, 0, -2).Format("2006-01-02T15:04")}, {"until", y.now().AddDate(0, 0, -2).Format("2006-01-02T15:04")}} {
		mp.fill("training", "p0."+f[0], f[1])
	}
	mp.send("training")
	mp.says("#notices", "recorded")
	d.goTo(y.bench)
	d.says("form#step", "Your training in unsealed sources held until")
	d.firstScreen("state-supervised")
	for _, name := range []string{"p0.result", "p1.result", "p2.result", "p3.result", "p4.result", "p5.result"} {
		d.pick("step", name, "pass")
	}
	d.pick("step", "supervisor", "RP1")
	d.fill("step", "supervisor-pin", "1357")
	if r := d.send("step"); r.Status != 422 {
		t.Fatalf("a wrong PIN: %d", r.Status)
	}
	d.says("form#step", "the PIN of RP1: that is not right")
	if d.value("step", "p5.result") != "pass" || d.value("step", "supervisor") != "RP1" || d.value("step", "supervisor-pin") != "" {
		t.Error("what was picked is gone, or the PIN stands there")
	}
	d.firstScreen("state-supervised-refused")
	d.fill("step", "supervisor-pin", pin)
	y.sent(d)
	d.goTo("/history?of=" + d.who)
	d.goTo("/history")
	d.says("main", "I stood by and supervised this")
}
