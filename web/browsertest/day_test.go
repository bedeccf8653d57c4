package browsertest

import (
	"fmt"
	"maps"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/network"
)

const pin = "2749"

// day is a preparation of the order P1 with the people who do it.
type day struct {
	t     *testing.T
	base  string
	bench string // the address of the order
	hand  hand
	desks map[string]*desk
	// look is done by every desk at each page it arrives at, and before with
	// each form that is filled in and not yet sent.
	look   func(*desk)
	before func(d *desk, form string)

	reference, infusion time.Time
	ahead               time.Duration // what the clock of the laboratory was put forward by
	patient, territory  string
	written             map[string]bool // the patients whose order was written by the form
	prescribed          float64         // GBq
	held, liquid        float64         // GBq at the reference time and mL, in the vial before the draw
	full, left          float64         // GBq, as displayed before the draw and after it
	drawn               string          // mL
	serial              string
}

// stop is one step of the preparation.
type stop struct {
	key string
	do  func(*day)
}

// theDay are the steps from readiness to closing, in which nothing goes wrong.
var theDay = []stop{
	{"readiness", (*day).readiness},
	{"assay", (*day).assay},
	{"draw", (*day).draw},
	{"remainder", (*day).remainder},
	{"make-up", (*day).makeUp},
	{"second-check", (*day).secondCheck},
	{"label", (*day).label},
	{"transfer", (*day).transfer},
	{"baseline", (*day).baseline},
	{"release", (*day).release},
	{"hand-over", (*day).handOver},
	{"time-out", (*day).timeOut},
	{"infusion", (*day).give},
	{"residual", (*day).residual},
	{"survey", (*day).survey},
	{"close", (*day).close},
}

// begin opens the laboratory with further flags, and reads the papers of the vial.
func begin(t *testing.T, h hand, more ...string) *day {
	t.Helper()
	y := &day{t: t, base: open(t, more...), bench: "/order/P1", hand: h, desks: map[string]*desk{}, patient: "PR-0001", territory: "right lobe", prescribed: 1.3, written: map[string]bool{}, held: label, liquid: volume}
	papers := ""
	for _, of := range []string{"S1", "P1"} { // the whole history begins with years of the meter book
		y.worker().goTo("/history?of=" + of)
		papers += y.worker().text("main")
	}
	y.reference = y.clock(papers, `on the label\s+`)
	y.infusion = y.clock(papers, `(?s)PR-0001.*?1\.30 GBq\s+Planned infusion\s+`)
	return y
}

// person is the desk of a person, who signs in when first needed.
func (y *day) person(id string) *desk {
	y.t.Helper()
	d := y.desks[id]
	if d == nil {
		d = signedIn(y.t, y.base, id, y.hand)
		d.look, d.before = y.look, y.before
		y.desks[id] = d
	}
	return d
}

// The worker is a technologist, who prepares; the checker and the releaser are
// radiopharmacists; the nurse is in the suite.
func (y *day) worker() *desk   { return y.person("NT1") }
func (y *day) checker() *desk  { return y.person("RP2") }
func (y *day) releaser() *desk { return y.person("RP1") }
func (y *day) nurse() *desk    { return y.person("NU1") }

// clock reads a time of the invented site, which lies one hour west of UTC or
// on it.
func (y *day) clock(text, after string) time.Time {
	y.t.Helper()
	m := regexp.MustCompile(`(?i)` + after + `(\d{4}-\d\d-\d\d \d\d:\d\d) \(UTC([+-]\d\d:\d\d)?\)`).FindStringSubmatch(text)
	if m == nil {
		y.t.Fatalf("no time after %q in:\n%s", after, text)
	}
	at, err := time.Parse("2006-01-02 15:04-07:00", m[1]+(m[2] + "+00:00")[:6])
	if err != nil {
		y.t.Fatal(err)
	}
	return at
}

const (
	halfLife   = 64.0417 // h
	label      = 3.0     // GBq at the reference time
	volume     = 5.0     // mL
	background = 0.0002  // GBq
	yield      = 0.97
)

// kept is what is left of an activity after a time, or what it was before.
func kept(d time.Duration) float64 { return math.Exp2(-d.Hours() / halfLife) }

// now is the time in the laboratory.
func (y *day) now() time.Time { return time.Now().Add(y.ahead) }

// dose is the activity of the dose at the infusion, worked out by hand.
func (y *day) dose() float64 { return (y.full - y.left) * kept(y.infusion.Sub(y.now())) }

func three(x float64) string { return strconv.FormatFloat(x, 'f', 3, 64) }

// number is the one number of the page.
func (y *day) number(d *desk) string {
	y.t.Helper()
	got, _ := y.amount(d)
	return got
}

// amount is the one number of the page with its unit.
func (y *day) amount(d *desk) (number, unit string) {
	y.t.Helper()
	got := strings.Fields(d.text("#number output"))
	if len(got) < 2 {
		y.t.Fatalf("%s at %s: there is no number", d.who, d.location())
	}
	return got[0], got[1]
}

// at goes to the bench, which has to stand at a step.
func (y *day) at(d *desk, title string) {
	y.t.Helper()
	d.goTo(y.bench)
	if got := d.stands(); got != title {
		y.t.Fatalf("%s: the bench stands at %q, not %q:\n%s", d.who, got, title, d.text("main"))
	}
}

// stands is the title of the step that the bench shows.
func (d *desk) stands() string {
	d.t.Helper()
	return ask[string](d, `document.querySelector(".bench")?.dataset.stands ?? ""`)
}

// sent sends the form of the step, which has to be recorded.
func (y *day) sent(d *desk) {
	y.t.Helper()
	y.recorded(d, d.send("step"))
}

func (y *day) recorded(d *desk, r *network.Response) {
	y.t.Helper()
	if r.Status != 200 {
		y.t.Fatalf("%s: %d at %s:\n%s", d.who, r.Status, d.location(), d.text("main"))
	}
	d.says("#notices", "recorded")
}

func (y *day) readiness() {
	y.at(y.worker(), "Check that everything is ready")
	for i := range 6 {
		y.worker().pick("step", fmt.Sprintf("p%d.result", i), "pass")
	}
	y.sent(y.worker())
}

// reading types what a meter shows, with as many digits as keep a small dose, the
// difference of two readings, well within the 0.3 % to which it is compared.
func (y *day) reading(d *desk, gross float64) {
	y.t.Helper()
	d.fill("step", "p0.gross", strconv.FormatFloat(gross, 'f', 5, 64))
	d.pick("step", "p0.gross.unit", "GBq")
	d.fill("step", "p0.background", "0.2")
	d.pick("step", "p0.background.unit", "MBq")
}

func (y *day) assay() {
	y.at(y.worker(), "Assay of vial")
	y.full = y.held*kept(y.now().Sub(y.reference)) + background
	y.reading(y.worker(), y.full)
	y.sent(y.worker())
}

func (y *day) draw() {
	y.at(y.worker(), "Draw the dose")
	y.drawn = y.number(y.worker())
	y.worker().fill("step", "p0.volume", y.drawn)
	y.sent(y.worker())
}

func (y *day) remainder() {
	y.at(y.worker(), "Assay of remainder")
	if got := y.worker().text("#number output"); got != "" {
		y.t.Errorf("a step that asks for a reading shows the number %q", got)
	}
	v, err := strconv.ParseFloat(y.drawn, 64)
	if err != nil {
		y.t.Fatal(err)
	}
	y.left = (y.full-background)*(1-yield*v/y.liquid) + background
	y.held, y.liquid = (y.left-background)/kept(y.now().Sub(y.reference)), y.liquid-v
	y.reading(y.worker(), y.left)
	y.sent(y.worker())
}

func (y *day) makeUp() {
	y.at(y.worker(), "Make up the volume")
	y.worker().fill("step", "p0.volume", y.number(y.worker()))
	y.worker().pick("step", "p0.diluent", "water for injection")
	y.worker().fill("step", "p0.lot", "PRACTICE-W1")
	y.sent(y.worker())
}

func (y *day) transfer() {
	y.at(y.worker(), "Transfer into the administration vial")
	y.sent(y.worker())
}

func (y *day) baseline() {
	y.at(y.worker(), "Baseline dose rate")
	y.rates("before", "182 180 184 181")
}

func (y *day) rates(half, rates string) {
	y.t.Helper()
	y.worker().fill("step", "p0."+half+".rate", rates)
	y.worker().fill("step", "p0."+half+".background", "0.2")
	y.sent(y.worker())
}

// secondCheck is by somebody who sees no figure of the first one's.
func (y *day) secondCheck() {
	y.notYet()
	y.worker().goTo(y.bench)
	if len(y.told(y.worker())) == 0 {
		y.t.Error("the bench of the one who works tells no figure: what is looked for is not found where it is")
	}
	d := y.checker()
	d.goTo(y.bench)
	y.blind(d)
	d.hand.follow(d, y.bench+"/check")
	y.blind(d)
	y.reading(d, y.left) // what is left in the vial: minutes later it is 2e-4 less
	d.fill("step", "p0.activity", three(y.dose()))
	d.pick("step", "p0.activity.unit", "GBq")
	d.fill("step", "pin", pin)
	if r := d.send("step"); r.Status != 200 {
		y.t.Fatalf("the second check: %d:\n%s", r.Status, d.text("main"))
	}
	d.says("main", "confirms the dose")
	d.says("main", "the reading before the draw is shared")
}

// notYet: the dose cannot be released before it was checked, neither on the
// page nor around it.
func (y *day) notYet() {
	y.t.Helper()
	d := y.releaser()
	d.goTo(y.bench + "/step/release")
	if !ask[bool](d, `document.getElementById("main").textContent.toLowerCase().includes("nobody has checked this dose")`) { // it may be folded behind a graver one
		y.t.Errorf("%s: the release does not say that nobody has checked the dose:\n%s", d.location(), d.text("main"))
	}
	if ask[bool](d, `!!document.querySelector("form#step")`) {
		y.t.Error("a dose that nobody has checked can be released: the page has the form")
	}
	status := ask[int](d, `fetch(%s, {method: "POST", body: new URLSearchParams({nonce: "aaaaaaaaaaaaaaaa", head: "999", "p0.serial": "WK99-VFTV-W544", pin: %s})}).then(r => r.status)`, y.bench+"/step/release", pin)
	if status < 400 {
		y.t.Errorf("a release that was sent without the page is answered with %d", status)
	}
	d.goTo(y.bench)
	if got := d.text("#steps [aria-current=step] .name"); got != "Second check, by another person" {
		y.t.Errorf("after the refused release the bench stands at %q", got)
	}
}

// blind: no reading and no figure of the dose is in the page, shown or not.
func (y *day) blind(d *desk) {
	y.t.Helper()
	if told := y.told(d); len(told) > 0 {
		y.t.Errorf("%s, %s: the page of the second check tells %q", d.who, d.location(), told)
	}
}

// activity is one in the source of a page, without its tags: with its unit, or
// bare where a field holds it.
var activity = regexp.MustCompile(`(\d+(?:\.\d+)?)(?: ± \d+(?:\.\d+)?)?\)? (GBq|MBq|mCi)|value="(\d+\.\d+)"`)

// gigas are the units of an activity in GBq.
var gigas = map[string]float64{"GBq": 1, "MBq": 1e-3, "mCi": 0.037}

// told are the activities in the page that lie within 1.5 % of the reading after
// the draw, of the dose, or of what was prescribed; the reading before the draw
// is given for the check, and what the meter shows now is the checker's own.
func (y *day) told(d *desk) []string {
	y.t.Helper()
	const source = `(page => { page.querySelectorAll(".live").forEach(e => e.remove()); return page.outerHTML + page.textContent.replace(/\s+/g, " ") })(document.documentElement.cloneNode(true))`
	known := []float64{y.left, y.full - y.left, y.dose(), y.prescribed}
	var out []string
	for _, m := range activity.FindAllStringSubmatch(ask[string](d, source), -1) {
		x, err := strconv.ParseFloat(m[1]+m[3], 64)
		if err != nil {
			y.t.Fatal(err)
		}
		units := []float64{gigas[m[2]]}
		if m[2] == "" {
			units = slices.Collect(maps.Values(gigas))
		}
		for _, unit := range units {
			near := func(known float64) bool { return math.Abs(x*unit/known-1) < 0.015 }
			if slices.ContainsFunc(known, near) {
				out = append(out, m[0])
			}
		}
	}
	return out
}

func (y *day) label() {
	y.at(y.worker(), "Label the dose")
	y.sent(y.worker())
	y.serial = ask[string](y.worker(), `(document.querySelector('a[href^="/labels/"]')?.textContent ?? "").replace("Label ", "").split(":")[0].trim()`)
	if !regexp.MustCompile(`^[0-9A-Z]{4}-[0-9A-Z]{4}-[0-9A-Z]{4}$`).MatchString(y.serial) {
		y.t.Fatalf("the label has the serial %q", y.serial)
	}
}

func (y *day) release() {
	d := y.releaser()
	y.at(d, "Release the dose")
	number, unit := y.amount(d)
	shown, err := strconv.ParseFloat(number, 64)
	if err != nil {
		y.t.Fatal(err)
	}
	shown *= gigas[unit]
	// The bench rounds to four digits; between the readings and the check lie
	// minutes, of 2e-4 each.
	if off := shown/y.dose() - 1; math.Abs(off) > 0.003 {
		y.t.Errorf("the bench shows %v GBq, by hand it is %.4f GBq", shown, y.dose())
	}
	d.fill("step", "p0.serial", y.serial)
	d.fill("step", "pin", pin)
	y.sent(d)
}

func (y *day) handOver() {
	d := y.worker()
	y.at(d, "Hand the dose over")
	d.fill("step", "p0.serial", y.serial)
	d.fill("step", "p0.to", "NU1")
	d.fill("step", "p0.place", "suite 2")
	d.fill("step", "pin", pin)
	d.fill("step", "pin2", pin) // of the nurse, who stands beside it
	y.sent(d)
}

func (y *day) timeOut() {
	d := y.nurse()
	y.at(d, "Time-out in the suite")
	read, unit := y.amount(d)
	d.hand.follow(d, y.bench+"/time-out")
	d.fill("step", "p0.patient", y.patient)
	if y.written[y.patient] { // by the form, which asks for two identifiers
		d.fill("step", "p0.second-identifier", "STAY-"+y.patient)
	}
	d.fill("step", "p0.territory", y.territory)
	d.fill("step", "p0.activity", read)
	d.pick("step", "p0.activity.unit", unit)
	d.fill("step", "p0.with", "PH1")
	d.fill("step", "pin", pin)
	d.fill("step", "pin2", pin) // of the physician
	y.sent(d)
}

// give: the infusion is over at once, which is asked about.
func (y *day) give() {
	d := y.nurse()
	y.at(d, "Give the dose")
	at := y.now().In(y.infusion.Location()).Format("2006-01-02T15:04:05")
	if got := ask[string](d, `(() => { const i = document.querySelector("#step input[name='p0.start']"); i.parentNode.querySelector("button").click(); return i.value; })()`); got != at[11:16] && got != y.now().In(y.infusion.Location()).Format("15:04") {
		d.t.Errorf("the button fills in %q at %s", got, at)
	}
	d.fill("step", "p0.start", at)
	d.fill("step", "p0.stop", at)
	d.pick("step", "p0.reason", "complete")
	d.send("step")
	d.pick("step", "p0.stop.answer", ask[string](d, `document.querySelector("#step [name='p0.stop.answer']").value`))
	y.recorded(d, d.hand.send(d, "step")) // what is done before each form is not done again: an answer is not kept over a reload
}

func (y *day) residual() {
	y.at(y.worker(), "Residual")
	y.rates("after", "5.4 5.2 5.6 5.3")
}

func (y *day) survey() {
	y.at(y.worker(), "Survey the area")
	y.worker().fill("step", "p0.background", "0.2")
	for i := range 3 {
		y.worker().fill("step", fmt.Sprintf("p%d.rate", i), "0.2")
		y.worker().fill("step", fmt.Sprintf("p%d.wipe", i), "0.1")
	}
	y.sent(y.worker())
}

func (y *day) close() {
	d := y.releaser()
	y.at(d, "Close the record")
	d.fill("step", "p1.into", "W1")
	if ask[bool](d, `!!document.querySelector("form#step [name=pin]")`) {
		d.fill("step", "pin", pin)
	}
	y.sent(d)
}
