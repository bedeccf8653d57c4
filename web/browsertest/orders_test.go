package browsertest

import (
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/network"
)

// written are orders as a physician's office writes them, one of each method: the
// fields in the order of the form, those that are chosen with "=" before. An activity
// that is left out follows from the absorbed dose.
var written = []struct {
	id, says  string
	activity  string
	dosimetry [][2]string
}{
	{"Q1", "By surface area", "1.30", [][2]string{
		{"=method", "surface-area"},
		{"height", "170"},
		{"=height.unit", "cm"},
		{"weight", "70"},
		{"=weight.unit", "kg"},
		{"tumour-volume", "300"},
		{"liver-volume", "1500"},
		{"lung-shunt", "5"},
		{"lung-shunt-method", "entered"},
	}},
	{"Q2", "120 Gy to the perfused volume by the mono-compartment method", "", [][2]string{
		{"=method", "mono-compartment"}, {"absorbed-dose", "120"}, {"=to", "perfused-volume"}, {"perfused-mass", "0.8"}, {"=perfused-mass.unit", "kg"}, {"lung-shunt", "8"}, {"lung-shunt-method", "entered"},
	}},
	{"Q3", "Mean dose, normal liver", "1.30", [][2]string{
		{"=method", "partition"}, {"tumour-mass", "0.2"}, {"=tumour-mass.unit", "kg"}, {"normal-mass", "1.4"}, {"=normal-mass.unit", "kg"}, {"tumour-to-normal", "3"}, {"lung-shunt", "6.25"}, {"lung-shunt-method", "entered"},
	}},
	{"Q4", "Mean dose, tumour", "1.40", [][2]string{
		{"=method", "closed-system"}, {"tumour-mass", "0.3"}, {"=tumour-mass.unit", "kg"}, {"closed-system-ratio", "1.2"}, {"tumour-lung-share", "10"},
	}},
}

// TestOrders: an order of each method is written by its form, checked on its bench,
// signed, revised with a reason, and signed again.
func TestOrders(t *testing.T) {
	y := begin(t, keys{}, "--rules", "us")
	d, ph := y.releaser(), y.person("PH1")
	for _, w := range written {
		d.goTo("/day/enter/order")
		ask[bool](d, `[...document.querySelectorAll("#order details")].every(x => x.open = true)`)
		fields := [][2]string{{"id", w.id}, {"patient", "PR-" + w.id}, {"second-identifier", "STAY-" + w.id}, {"territory", "right lobe"}}
		if w.activity != "" {
			fields = append(fields, [2]string{"prescribed", w.activity}, [2]string{"=prescribed.unit", "GBq"})
		}
		fields = append(fields, [2]string{"at", y.infusion.Add(48 * time.Hour).Format("2006-01-02T15:04")}, [2]string{"by", "an invented physician"})
		for _, f := range w.dosimetry {
			name, chosen := strings.CutPrefix(f[0], "=")
			fields = append(fields, [2]string{map[bool]string{true: "="}[chosen] + "dosimetry." + name, f[1]})
		}
		for _, f := range fields {
			if name, chosen := strings.CutPrefix(f[0], "="); chosen {
				d.pick("order", "p0."+name, f[1])
			} else {
				d.fill("order", "p0."+name, f[1])
			}
		}
		if r := d.send("order"); r.Status != 200 {
			t.Fatalf("the order %s: %d:\n%s", w.id, r.Status, d.text("main"))
		}
		y.signs(ph, w.id, w.says, strings.ReplaceAll(w.dosimetry[0][1], "-", " "))
		d.goTo("/history?of=" + w.id)
		d.goTo(ask[string](d, `document.querySelector('a[href^="/entry/"][href$="/correct"]')?.getAttribute("href") ?? ""`))
		d.fill("correct", "p0.reason", "the other lobe was meant")
		d.fill("correct", "p0.with.order.territory", "left lobe")
		d.fill("correct", "p0.with.order.version", "2")
		d.fill("correct", "pin", pin)
		d.send("correct")
		y.signs(ph, w.id, "left lobe", "the order changed after it was signed")
	}
}

// signs has the physician look at the bench of an order and sign it there.
func (y *day) signs(ph *desk, id string, says ...string) {
	y.t.Helper()
	ph.goTo("/order/" + id)
	page := ask[string](ph, `document.querySelector("main").textContent.replace(/\s+/g, " ")`)
	for _, s := range says {
		if !strings.Contains(page, s) {
			y.t.Errorf("order %s: the bench does not say %q:\n%s", id, s, page)
		}
	}
	y.other(ph, "sign-order")
}

// complete is the completion of the order after its residual was read: from there on
// the physician may touch the screen four times; it takes three.
func (y *day) complete() {
	ph := y.person("PH1")
	ph.goTo("/")
	c := &counting{hand: ph.hand}
	ph.hand = c
	defer func() { ph.hand = c.hand }()
	ph.hand.follow(ph, y.bench+"#complete-order")
	ph.fill("complete-order", "pin", pin)
	said := ask[string](ph, `document.getElementById("complete-order").textContent`)
	for _, want := range []string{"no event: within", "10 CFR 35.3045(a)", "Delivered", "complete"} {
		if !strings.Contains(said, want) {
			y.t.Errorf("the completion is not filled in with %q:\n%s", want, said)
		}
	}
	if r := ph.send("complete-order"); r.Status != 200 {
		y.t.Fatalf("the completion: %d:\n%s", r.Status, ph.text("main"))
	}
	ph.says("#notices", "recorded")
	if c.touches == 0 || c.touches > 4 {
		y.t.Errorf("%d touches from the residual to the completed order, want 4 at most", c.touches)
	}
}

// counting is a hand whose touches are counted: a link, a field, a choice, a button.
type counting struct {
	hand
	touches int
}

func (c *counting) into(d *desk, form, name string) {
	c.touches++
	c.hand.into(d, form, name)
}

func (c *counting) pick(d *desk, form, name, value string) {
	c.touches++
	c.hand.pick(d, form, name, value)
}

func (c *counting) send(d *desk, form string) *network.Response {
	c.touches++
	return c.hand.send(d, form)
}

func (c *counting) follow(d *desk, href string) *network.Response {
	c.touches++
	return c.hand.follow(d, href)
}
