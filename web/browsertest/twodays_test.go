package browsertest

import (
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"
)

// share is what the orders allow for what stays behind.
const share = 0.03

// given is a dose as it is worked out here.
type given struct {
	id                   string
	dispensed, delivered float64 // GBq at the infusion
}

// TestTwoDays: one vial serves four orders on two days. P1 and P2 are prepared
// and given on the first; P3 and P4 were written ahead, and are prepared for on
// the second. P3 is cancelled when its dose is drawn, and the dose is given to P4.
// At the end every figure is that of the case file of the order, reckoned anew,
// and both are what follows from the readings by subtraction and half-lives (see
// the package comment).
func TestTwoDays(t *testing.T) {
	y := begin(t, keys{})
	first := y.now()
	infusions := map[string]time.Time{"P1": y.infusion, "P2": y.infusion.Add(90 * time.Minute), "P3": y.infusion.Add(24 * time.Hour), "P4": y.infusion.Add(25 * time.Hour)}
	y.order("P3", "PR-0003", "right lobe", "0.22", infusions["P3"])
	y.order("P4", "PR-0004", "left lobe", "0.22", infusions["P4"])
	var doses []given
	dose := func(id, patient, territory string, prescribed float64) {
		y.turnTo(id, patient, territory, prescribed, infusions[id])
		doses = append(doses, y.prepared())
	}
	dose("P1", "PR-0001", "right lobe", 1.3)
	dose("P2", "PR-0002", "left lobe", 0.85)
	y.forwardTo(first.Add(24 * time.Hour))
	y.turnTo("P3", "PR-0003", "right lobe", 0.22, infusions["P3"])
	y.until("make-up")
	y.cancelled("the invented patient is not well")
	y.giveTo("P4")
	dose("P4", "PR-0004", "left lobe", 0.22)
	for _, g := range doses {
		y.agrees(g)
	}
	y.givenAway("P3")
}

// order writes an order ahead, and has it signed.
func (y *day) order(id, patient, territory, prescribed string, at time.Time) {
	y.t.Helper()
	d := y.releaser()
	d.goTo("/day/enter/order")
	for _, f := range [][2]string{{"id", id}, {"patient", patient}, {"second-identifier", "STAY-" + patient}, {"territory", territory}, {"prescribed", prescribed}, {"at", at.Format("2006-01-02T15:04")}, {"residual", "3"}, {"by", "an invented physician"}} {
		d.fill("order", "p0."+f[0], f[1])
	}
	d.pick("order", "p0.prescribed.unit", "GBq")
	if r := d.send("order"); r.Status != 200 {
		y.t.Fatalf("the order %s: %d:\n%s", id, r.Status, d.text("main"))
	}
	d.says("#notices", "recorded")
	y.written[patient] = true
	signs := y.person("PH1")
	signs.goTo("/order/" + id)
	y.other(signs, "sign-order")
}

// opens unfolds a form.
func (d *desk) opens(form string) {
	d.t.Helper()
	if !ask[bool](d, `!!document.getElementById(%s)`, form) {
		d.t.Fatalf("%s at %s: there is no form %s; the page says:\n%s", d.who, d.location(), form, d.text("main"))
	}
	ask[bool](d, `!!(document.getElementById(%s).closest("details") ?? {}).toggleAttribute?.("open", true)`, form)
}

// other sends a form of the bench that is no step, signed where it asks for it.
func (y *day) other(d *desk, form string) {
	y.t.Helper()
	if ask[bool](d, `!!document.querySelector(%s)`, "form#"+form+" [name=pin]") {
		d.fill(form, "pin", pin)
	}
	if r := d.send(form); r.Status != 200 {
		y.t.Fatalf("%s: %d:\n%s", form, r.Status, d.text("main"))
	}
	d.says("#notices", "recorded")
}

// turnTo turns to another order.
func (y *day) turnTo(id, patient, territory string, prescribed float64, infusion time.Time) {
	y.bench, y.patient, y.territory, y.prescribed, y.infusion = "/order/"+id, patient, territory, prescribed, infusion
}

// forwardTo puts the clock of the laboratory forward.
func (y *day) forwardTo(to time.Time) {
	y.t.Helper()
	to = to.Truncate(time.Minute)
	d := y.releaser()
	d.goTo("/practice")
	d.fill("clock", "to", to.In(y.infusion.Location()).Format("2006-01-02T15:04"))
	y.ahead += to.Sub(y.now())
	d.send("clock")
	d.says("#notices", "stands at")
}

// due is the key of the step that the bench stands at; empty at the end.
func (y *day) due() string {
	y.t.Helper()
	d := y.worker()
	d.goTo(y.bench)
	_, key, _ := strings.Cut(ask[string](d, `document.body.dataset.here`), "/step/")
	return key
}

// until does what the bench asks for, step by step, up to a step that is not done.
func (y *day) until(end string) {
	y.t.Helper()
	for range 2 * len(theDay) {
		key := y.due()
		if key == end {
			return
		}
		y.step(key)
		if y.t.Failed() {
			y.t.Fatalf("%s, at the step %s", y.bench, key)
		}
	}
	y.t.Fatalf("%s does not come to %q", y.bench, end)
}

// step does one step. What is drawn is the volume that by hand gives what is
// wanted, and not that of the page.
func (y *day) step(key string) {
	y.t.Helper()
	if key == "draw" {
		at := y.held * kept(y.now().Sub(y.reference))
		wanted := y.prescribed / (1 - share) / kept(y.infusion.Sub(y.now()))
		y.at(y.worker(), "Draw the dose")
		y.full, y.drawn = at+background, three(wanted/at*y.liquid/yield)
		y.worker().fill("step", "p0.volume", y.drawn)
		y.sent(y.worker())
		return
	}
	for _, s := range theDay {
		if s.key == key {
			s.do(y)
			return
		}
	}
	y.t.Fatalf("%s asks for the step %q, which nobody foresaw", y.bench, key)
}

// prepared goes to the end of an order, which is given at the planned time.
func (y *day) prepared() given {
	y.t.Helper()
	y.until("time-out")
	from := y.now()
	g := given{id: strings.TrimPrefix(y.bench, "/order/"), dispensed: y.dose()}
	// A minute before, so that the time-out never falls into a minute after the infusion's.
	y.forwardTo(y.infusion.Add(-time.Minute))
	y.until("infusion")
	y.forwardTo(y.infusion)
	y.until("")
	before, after := (182.0+180+184+181)/4-0.2, (5.4+5.2+5.6+5.3)/4-0.2
	g.delivered = g.dispensed * (1 - after/(before*kept(y.now().Sub(from))))
	return g
}

// cancelled cancels the preparation.
func (y *day) cancelled(why string) {
	y.t.Helper()
	d := y.worker()
	d.goTo(y.bench)
	d.opens("cancel")
	d.fill("cancel", "p0.reason", why)
	y.other(d, "cancel")
}

// giveTo has a radiopharmacist give the dose of the order to another one.
func (y *day) giveTo(id string) {
	y.t.Helper()
	d := y.releaser()
	d.goTo(y.bench)
	d.opens("reassign")
	d.pick("reassign", "p0.to", id)
	y.other(d, "reassign")
}

// reckoned is what the program says of an exported order.
type reckoned struct {
	ID        string  `json:"id"`
	Dispensed float64 `json:"dispensed_MBq"`
	Delivered float64 `json:"delivered_MBq"`
	Container string  `json:"container"`
}

// exported takes the case file of an order out by the page, and has the program
// reckon it.
func (y *day) exported(id string) (all []reckoned, text string) {
	y.t.Helper()
	text = ask[string](y.releaser(), `fetch(%s).then(r => r.text())`, "/export/"+id+"/case.yaml")
	path := filepath.Join(y.t.TempDir(), id+".yaml")
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		y.t.Fatal(err)
	}
	out, err := exec.Command(built, "reckon", "--json", path).Output()
	var answer struct{ Orders []reckoned }
	if bad := json.Unmarshal(out, &answer); bad != nil {
		y.t.Fatalf("%s: %v, %v: %s\n%s", id, err, bad, out, text)
	}
	return answer.Orders, text
}

var activityShown = regexp.MustCompile(`(?i)(dispensed|delivered)\D*?(\d+(?:\.\d+)?) (?:± \d+(?:\.\d+)? )?(GBq|MBq)`)

// agrees compares a dose as the page shows it, as the exported case file is
// reckoned, and as it was worked out here.
func (y *day) agrees(g given) {
	y.t.Helper()
	d := y.releaser()
	d.goTo("/order/" + g.id)
	shown := map[string]float64{}
	for _, m := range activityShown.FindAllStringSubmatch(strings.Join(strings.Fields(d.text("#outcome")), " "), -1) {
		x, err := strconv.ParseFloat(m[2], 64)
		if err != nil {
			y.t.Fatal(err)
		}
		shown[strings.ToLower(m[1])] = x * gigas[m[3]]
	}
	all, text := y.exported(g.id)
	for _, o := range all {
		if o.ID != g.id {
			continue
		}
		for _, c := range []struct {
			what             string
			page, file, hand float64
		}{{"dispensed", shown["dispensed"], o.Dispensed / 1000, g.dispensed}, {"delivered", shown["delivered"], o.Delivered / 1000, g.delivered}} {
			// The page rounds to three decimals or more. By hand the minute between
			// the two readings is left out.
			if math.Abs(c.page-c.file) > 0.0005001 || math.Abs(c.file/c.hand-1) > 0.005 {
				y.t.Errorf("%s %s: the page says %v GBq, its case file %v, by hand it is %v; the page:\n%s", g.id, c.what, c.page, c.file, c.hand, d.text("#outcome"))
			}
		}
		return
	}
	y.t.Errorf("%s is not in its case file:\n%s", g.id, text)
}

// givenAway: an order whose dose went to another has none.
func (y *day) givenAway(id string) {
	y.t.Helper()
	d := y.releaser()
	d.goTo("/order/" + id)
	if got := d.text("#outcome"); activityShown.MatchString(got) {
		y.t.Errorf("%s was cancelled, its dose went to another, and the page says %q", id, got)
	}
	all, text := y.exported(id)
	for _, o := range all {
		if o.ID == id && (o.Dispensed != 0 || o.Delivered != 0) {
			y.t.Errorf("%s was cancelled, its dose went to another, and its case file says %+v:\n%s", id, o, text)
		}
	}
}
