package browsertest

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// charted gives what is wrong with the charts of an instrument: one that is wider than the
// screen, or whose texts are smaller than 11 pixels.
const charted = `[...document.querySelectorAll("section.chart svg")].filter(s => s.checkVisibility()).flatMap(s => {
	const out = [], box = s.getBoundingClientRect(), view = s.viewBox.baseVal;
	if (box.left < 0 || box.right > innerWidth) out.push("a chart ends at " + box.right);
	for (const t of s.querySelectorAll("text")) {
		const px = parseFloat(getComputedStyle(t).fontSize) * box.width / view.width;
		if (px < 11) out.push(t.textContent + " has " + px + " px");
	}
	return out;
})`

// TestYearOfAMeter: a year of an invented meter names each of its faults with its date on
// the list and on its page; the charts can be read on a desk and a phone, and looked
// through by keys; the certificate is a sheet.
func TestYearOfAMeter(t *testing.T) {
	d := signedIn(t, open(t, "--past", "5"), "RP1", keys{})
	d.goTo("/instruments")
	now := time.Now()
	day := func(days int) string { return now.AddDate(0, 0, days-365).Format("Jan 2006") }
	// The days of the faults, from the beginning of the year: see package experience/invented.
	faults := []string{"departs by -", "that is what source CS2 reads", "has drifted by -2.", "The calibration for the syringe of M2 lapsed on"}
	dates := []string{day(63), day(100), day(245), day(300)}
	for i, f := range faults {
		d.says("main", f)
		if !strings.Contains(d.text("main"), dates[i]) && i != 2 { // a drift is dated to within a fortnight
			t.Errorf("%s: %s is not on the page", f, dates[i])
		}
	}
	for _, due := range []string{"M2: background of the day has been due since", "M2: calibration for the syringe has been due since", "CS1: leak test"} {
		d.says("main", due)
	}
	d.atEachSize("page-instruments-year", crooked)

	const of = "/instruments/of/M2"
	d.goTo(of)
	for _, f := range faults {
		d.says("main", f)
	}
	points := func() int {
		return ask[int](d, `document.querySelector("#series-1").closest("section").querySelector("svg").querySelectorAll("circle, rect").length`)
	}
	month := points()
	hand := d.hand.(keys)
	for _, step := range []struct{ name, link string }{{"year", "?span=year#charts"}, {"month", "?span=30#charts"}} {
		hand.follow(d, of+step.link)
		d.says("main", "tests from ")
		if at := ask[int](d, `Math.round(document.getElementById("charts").getBoundingClientRect().top)`); at < -2 || at > 400 {
			t.Errorf("%s: the charts stand at %d", step.link, at)
		}
		for _, s := range screens {
			within(d, "making it a "+s.name, chromedp.EmulateViewport(s.width, s.height))
			for _, fault := range ask[[]string](d, charted) {
				t.Errorf("%s, %s: %s", step.link, s.name, fault)
			}
			ask[bool](d, `document.getElementById("series-1").scrollIntoView() === undefined`)
			d.picture("instrument-charts-" + step.name + "-" + s.name)
		}
		within(d, "making it a desk", chromedp.EmulateViewport(screens[0].width, screens[0].height))
	}
	if few := points(); few >= month {
		t.Errorf("a month has %d marks, three months %d", few, month)
	}
	newest := d.text("section.chart .says")
	hand.follow(d, ask[string](d, `[...document.querySelectorAll("#charts a")].find(a => a.textContent === "Earlier").getAttribute("href")`))
	if d.text("section.chart .says") == newest {
		t.Errorf("earlier shows the same: %s", newest)
	}
	d.says("#charts", "Later")

	// The sheet comes as a file, and one of some pages.
	type answer struct {
		Status int
		Type   string
		Size   int
	}
	if a := ask[answer](d, `fetch(%s).then(async r => ({Status: r.status, Type: r.headers.get("Content-Type"), Size: (await r.arrayBuffer()).byteLength}))`, of+"/certificate.pdf"); a.Status != 200 || a.Type != "application/pdf" || a.Size < 5000 {
		t.Errorf("the certificate is %+v", a)
	}
}

// blocking is a profile in which an overdue meter holds the work.
const blocking = `profile: our-site
title: An invented site
over: us
over-edition: 2026-11-30
approved-by: MP1
approved-on: 2026-01-10
values:
  - {key: meter-overdue, figure: blocks, citation: site policy 3, mark: site}
`

// TestReadinessFromTheMeterBook: readiness asks what the meter shows and is worked out from
// it; a reading with a meter whose calibration is overdue holds the dose until a person who
// may gives a reason.
func TestReadinessFromTheMeterBook(t *testing.T) {
	profile := filepath.Join(t.TempDir(), "our-site.yaml")
	if err := os.WriteFile(profile, []byte(blocking), 0o600); err != nil {
		t.Fatal(err)
	}
	y := begin(t, keys{}, "--rules", profile)
	at := func(days int) string {
		return y.now().In(y.infusion.Location()).AddDate(0, 0, days).Format("2006-01-02T15:04")
	}
	mp := y.person("MP1")
	enter := func(kind string, fields ...string) {
		t.Helper()
		mp.goTo("/instruments/enter/" + kind)
		mp.set("enter", fields...)
		mp.fill("enter", "pin", pin)
		if r := mp.send("enter"); r.Status != 200 {
			t.Fatalf("%s: %d:\n%s", kind, r.Status, mp.text("main"))
		}
	}
	enter("instrument", "p0.id", "M1", "p0.what", "activity-meter", "p0.calibrated", at(-400), "p0.due", at(-35), "p0.at", at(-400))
	enter("check-source", "p0.id", "K1", "p0.nuclide", "Cs-137", "p0.activity", "7.4", "p0.activity.unit", "MBq", "p0.u", "1.5", "p0.reference", at(-400), "p0.at", at(-400))

	d := y.worker()
	y.at(d, "Check that everything is ready")
	expected := 7.4 * 0.97505 // 400 d of 30.05 a: 2^(-400/(30.05*365.2422))
	ready := func(mbq float64) {
		t.Helper()
		d.goTo(y.bench + "/step/readiness")
		d.set("step", "p0.readings.1.gross", "0.2", "p0.readings.1.gross.unit", "MBq", "p1.readings.1.gross", three(mbq+0.2), "p1.readings.1.gross.unit", "MBq",
			"p1.readings.1.background", "0.2", "p1.readings.1.background.unit", "MBq", "p1.with", "K1", "p1.setting", "Cs-137")
		for _, part := range []string{"p2", "p3", "p4", "p5"} {
			if ask[bool](d, `!!document.querySelector("#step [name='" + %s + ".result']")`, part) {
				d.pick("step", part+".result", "pass")
			}
		}
		y.sent(d)
	}
	ready(0.93 * expected)
	d.goTo(y.bench)
	d.says("main", "Failed: constancy of M1")
	ready(1.004 * expected)
	y.at(d, "Assay of vial")
	y.full = y.held*kept(y.now().Sub(y.reference)) + background
	y.reading(d, y.full)
	y.sent(d)
	d.goTo(y.bench)
	d.says("main", "Stop M1: test of accuracy was never done")
	d.says("main", "+1 more")
	d.firstScreen("meter-overdue-blocks")
	if ask[bool](d, `!!document.getElementById("lift-meter-overdue")`) {
		t.Error("a technologist is offered to lift it")
	}
	r := y.releaser()
	r.goTo(y.bench)
	if !ask[bool](r, `document.querySelector("#lift-meter-overdue [name='p0.reason']").required`) {
		t.Error("no reason is asked for")
	}
	r.opens("lift-meter-overdue")
	r.fill("lift-meter-overdue", "p0.reason", "the service is here tomorrow, and the source reads right")
	r.fill("lift-meter-overdue", "pin", pin)
	if s := r.send("lift-meter-overdue"); s.Status != 200 {
		t.Fatalf("lifting: %d:\n%s", s.Status, r.text("main"))
	}
	y.at(d, "Draw the dose")
}
