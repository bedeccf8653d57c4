package browsertest

import (
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/network"

	"vialwright/fact"
	"vialwright/rules"
	"vialwright/web"
	"vialwright/web/webtest"
)

// written is an order as a physician's office writes it, its slip and what came of it.
type written struct {
	// fields are what the form is filled in with, in its order; those that are chosen
	// have "=" before. An activity that is left out follows from the absorbed dose.
	fields [][2]string
	// checked is what the bench says of it before it is signed, revised the fields
	// that are put right, and signed what the bench says then.
	checked []string
	revised [][2]string
	signed  []string
	// after is what the bench and the sheet say once it was given, printed what else
	// the sheet says.
	after, printed []string
}

// orders are one of each method, and one that names an activity and no method. The
// formulas of the figures are those that the tests of package dose hold against what is
// published, worked out by hand: K is 49.7254 Gy kg/GBq, delivered are 1.2816 ± 0.0392
// GBq, and an uncertainty is rounded up.
var orders = map[string]written{
	// Du Bois gives 1.8097 m2; (1.8097 - 0.2 + 250/1000)·1000/1500 is 1.240.
	"surface-area": {
		fields: [][2]string{
			{"prescribed", "1.52"},
			{"=prescribed.unit", "GBq"},
			{"=dosimetry.method", "surface-area"},
			{"dosimetry.height", "170"},
			{"=dosimetry.height.unit", "cm"},
			{"dosimetry.weight", "70"},
			{"=dosimetry.weight.unit", "kg"},
			{"dosimetry.tumour-volume", "300"},
			{"dosimetry.liver-volume", "1500"},
			{"dosimetry.lobe-volume", "1000"},
			{"dosimetry.lobe-tumour-volume", "250"},
			{"dosimetry.lung-shunt", "5"},
			{"dosimetry.lung-shunt-method", "planar geometric mean"},
		},
		checked: []string{"By surface area", "1.24 GBq", "ask the physician whether that is meant"},
		revised: [][2]string{{"prescribed", "1.30 GBq"}},
		signed:  []string{"1.30 GBq"},
		after:   []string{"After the infusion, lungs", "3.186 ± 0.098 Gy"}, // 49.7254·1.2816·0.05/1 kg
		printed: []string{"By surface area", "for the lobe"},
	},
	// 120 Gy·m/(49.7254·0.92): 2.10 GBq to 0.8 kg, 1.31 GBq to 0.5 kg.
	"mono-compartment": {
		fields: [][2]string{
			{"=dosimetry.method", "mono-compartment"},
			{"dosimetry.absorbed-dose", "120"},
			{"=dosimetry.to", "perfused-volume"},
			{"dosimetry.perfused-mass", "0.8"},
			{"=dosimetry.perfused-mass.unit", "kg"},
			{"dosimetry.lung-shunt", "8"},
			{"dosimetry.lung-shunt-method", "entered from the report"},
		},
		checked: []string{"2.1 GBq", "120 Gy to the perfused volume by the mono-compartment method", "D = K·A·(1 - L)/m"},
		revised: [][2]string{{"dosimetry.perfused-mass", "0.5 kg"}},
		signed:  []string{"1.31 GBq"},
		after:   []string{"After the infusion, perfused volume", "117.3 ± 3.6 Gy"}, // 49.7254·1.2816·0.92/0.5
		printed: []string{"120 Gy to the perfused volume", "D = K·A·(1 - L)/m"},
	},
	// 1.40 GBq are 49.7254·1.40·0.9375/(3·0.2 + 1.4) = 32.6 Gy to the normal liver, 1.25 are 29.1.
	"partition": {
		fields: [][2]string{
			{"prescribed", "1.40"},
			{"=prescribed.unit", "GBq"},
			{"=dosimetry.method", "partition"},
			{"dosimetry.tumour-mass", "0.2"},
			{"=dosimetry.tumour-mass.unit", "kg"},
			{"dosimetry.normal-mass", "1.4"},
			{"=dosimetry.normal-mass.unit", "kg"},
			{"dosimetry.tumour-to-normal", "3"},
			{"dosimetry.lung-shunt", "6.25"},
			{"dosimetry.lung-shunt-method", "planar geometric mean"},
			{"dosimetry.normal-max", "30"},
		},
		checked: []string{"about 33 Gy is more than 30 Gy (stated in the order)", "EANM"},
		revised: [][2]string{{"prescribed", "1.25 GBq"}},
		signed:  []string{"1.25 GBq", "about 29 Gy"},
		after:   []string{"After the infusion, tumour", "89.6 ± 2.8 Gy"}, // 3·49.7254·1.2816·0.9375/2
		printed: []string{"Mean dose, normal liver, perfused about 29 Gy", "EANM procedure guideline"},
	},
	// A = 110·0.3/49.7254·(1 + 1/R + 1/9): 1.18 GBq for a ratio of 1.5, 1.29 for 1.2.
	"closed-system": {
		fields: [][2]string{
			{"=dosimetry.method", "closed-system"},
			{"dosimetry.absorbed-dose", "110"},
			{"=dosimetry.to", "tumour"},
			{"dosimetry.tumour-mass", "0.3"},
			{"=dosimetry.tumour-mass.unit", "kg"},
			{"dosimetry.closed-system-ratio", "1.5"},
			{"dosimetry.tumour-lung-share", "10"},
		},
		checked: []string{"1.18 GBq", "110 Gy to the tumour by the closed-system method"},
		revised: [][2]string{{"dosimetry.closed-system-ratio", "1.2 to 1"}},
		signed:  []string{"1.29 GBq"},
		after:   []string{"After the infusion, tumour", "109.2 ± 3.4 Gy"}, // 49.7254·1.2816/(1 + 1/1.2 + 1/9)/0.3
		printed: []string{"110 Gy to the tumour", "A = A_T·(1 + 1/R + s/(1 - s))"},
	},
	"an activity alone": {
		fields:  [][2]string{{"prescribed", "1.60"}, {"=prescribed.unit", "GBq"}},
		checked: []string{"1.60 GBq"},
		revised: [][2]string{{"prescribed", "1.30 GBq"}},
		signed:  []string{"1.30 GBq"},
	},
}

// TestOrders: an order of each method is written by its form, checked on its bench,
// signed, revised with a reason, which voids the signature, signed again, and completed
// after the residual was read, each in a browser; the sheet of it is read as it is
// printed. What lies between is done by the forms of the bench without a browser, in
// which other tests walk through them.
func TestOrders(t *testing.T) {
	needsBrowser(t)
	us, err := rules.Load("us")
	if err != nil {
		t.Fatal(err)
	}
	for method, w := range orders {
		t.Run(method, func(t *testing.T) {
			s := webtest.NewStory(webtest.New(t, func(c *web.Config) { c.Practice, c.Rules = true, &us }).Hire())
			s.Second = "STAY-7"
			office, ph := sit(t, s.HTTP.URL, "RP1", touch{}), sit(t, s.HTTP.URL, "DR1", touch{})
			office.signIn(webtest.Password)
			ph.signIn(webtest.Password)
			office.writes(w.fields)
			ph.signs(append(w.checked, strings.ReplaceAll(strings.Replace(method, "an activity alone", "", 1), "-", " "))...)
			office.revises(s, w.revised)
			ph.signs(append(w.signed, "the order changed after it was signed", "left lobe")...)
			for _, c := range webtest.Chapters[1:] {
				if c.Tell(s); c.Key == "residual" {
					break
				}
			}
			ph.see("/")
			ph.completes(webtest.Bench, webtest.PIN)
			ph.tells(w.after...)
			x, _ := s.Facts("complete-order")[0].(*fact.CompleteOrder)
			if x.Outcome != "no event: within" || x.Version != "2" || x.Reason != fact.Complete || x.Late != "" || x.Delivered.Text != "1.282 GBq" {
				t.Errorf("completed as %+v", x)
			}
			sheet := strings.Join(strings.Fields(s.T1.Printed("/sheet/P1.pdf")), " ")
			for _, want := range slices.Concat(w.after, w.printed, []string{
				"DEMO-0042; STAY-7", "version 2", "left lobe", "a slip in the office", `The order says "or at stasis" yes`, "order completed", "no event: within", "10 CFR 35.3045(a) [verified]",
			}) {
				if !strings.Contains(sheet, want) {
					t.Errorf("the sheet does not say %q:\n%s", want, sheet)
				}
			}
		})
	}
}

// writes writes an order by its form, with what all of these orders say.
func (d *desk) writes(fields [][2]string) {
	d.t.Helper()
	d.goTo("/day/enter/order")
	ask[bool](d, `[...document.querySelectorAll("#order details")].every(x => x.open = true)`)
	for _, f := range slices.Concat([][2]string{
		{"id", "P1"},
		{"patient", "DEMO-0042"},
		{"second-identifier", "STAY-7"},
		{"territory", "right lobe"},
		{"at", "2027-03-04T13:30"},
		{"residual", "2"},
		{"by", "an invented physician"},
		{"=or-at-stasis", "yes"},
	}, fields) {
		if name, chosen := strings.CutPrefix(f[0], "="); chosen {
			d.pick("order", "p0."+name, f[1])
		} else {
			d.fill("order", "p0."+name, f[1])
		}
	}
	if r := d.send("order"); r.Status != 200 {
		d.t.Fatalf("the order: %d:\n%s", r.Status, d.text("main"))
	}
	d.says("#notices", "entered")
}

// revises corrects the order with a reason, as version 2 for the other lobe.
func (d *desk) revises(s *webtest.Story, fields [][2]string) {
	d.t.Helper()
	d.goTo(webtest.Entry(1))
	d.fill("correct", "p0.reason", "a slip in the office")
	for _, f := range append([][2]string{{"territory", "left lobe"}, {"version", "2"}}, fields...) {
		d.fill("correct", "p0.with.order."+f[0], f[1])
	}
	d.fill("correct", "pin", webtest.PIN)
	if r := d.send("correct"); r.Status != 200 || d.location() != webtest.Bench {
		d.t.Fatalf("the revision: %d:\n%s", r.Status, d.text("main"))
	}
	s.Territory = "left lobe"
}

// signs has the physician look at the bench of the order, which says what it is to
// say, and sign it there.
func (d *desk) signs(says ...string) {
	d.t.Helper()
	d.goTo(webtest.Bench)
	d.tells(says...)
	if slices.Contains(says, "about 29 Gy") {
		ask[bool](d, `[...document.querySelectorAll("summary")].find(s => s.textContent.startsWith("Check of the prescription")).parentNode.open = true`)
		ask[bool](d, `(document.activeElement?.blur(), scrollTo(0, 0), true)`)
		d.renew("prescription")
	}
	d.fill("sign-order", "pin", webtest.PIN)
	if r := d.send("sign-order"); r.Status != 200 {
		d.t.Fatalf("the signature: %d:\n%s", r.Status, d.text("main"))
	}
	d.says("#notices", "recorded")
}

// complete is the completion of the order after its residual was read.
func (y *day) complete() {
	ph := y.person("PH1")
	ph.goTo("/")
	ph.completes(y.bench, pin)
}

// completes is the completion of an order after its residual was read: from the board
// on, what was delivered with its uncertainty, the probability of being beyond the
// limit, the paragraph, the reason and the clock are in sight, and the order is signed
// as completed, all in four touches of the screen at most.
func (d *desk) completes(bench, pin string) {
	d.t.Helper()
	c := &counting{hand: d.hand}
	d.hand = c
	defer func() { d.hand = c.hand }()
	d.hand.follow(d, bench+"#complete-order")
	d.fill("complete-order", "pin", pin)
	said := d.text("#complete-order")
	for _, want := range []string{"no event: within", "10 CFR 35.3045(a)", "Delivered", " ± ", "Probability of being beyond the limit", "complete", "Complete the order at the latest", " left)"} {
		if !strings.Contains(said, want) {
			d.t.Errorf("the completion is not filled in with %q:\n%s", want, said)
		}
	}
	if r := d.send("complete-order"); r.Status != 200 {
		d.t.Fatalf("the completion: %d:\n%s", r.Status, d.text("main"))
	}
	d.says("#notices", "completed")
	if c.touches == 0 || c.touches > 4 {
		d.t.Errorf("%d touches from the residual to the completed order, want 4 at most", c.touches)
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
