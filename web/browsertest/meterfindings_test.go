package browsertest

import (
	"testing"
	"time"
)

// inTheBook are the findings of the meter book, which no case file holds: each with the
// entries after which it stands on the bench of a vial that was read.
var inTheBook = []struct {
	code, says string
	kind       string
	fields     []string
	// setting is what the meter stands at where the reading is corrected first.
	setting string
}{
	{"meter-overdue", "M1: background of the day was never done", "instrument", []string{"p0.id", "M1", "p0.what", "activity-meter", "p0.calibrated", "@0", "p0.due", "@1"}, ""},
	{"meter-basis", "has no factor for the shipping vial on the label basis", "calibration", calibrated("0.97", "traceable"), ""},
	{"meter-fill", "was not tested with the shipping vial at a fill of 5 mL", "calibration", calibrated("1", "label", "p0.fill", "6 8"), ""},
	{"meter-range", "times the top of the range that its meter was tested for", "calibration", calibrated("1", "label", "p0.high", "3", "p0.high.unit", "GBq", "p0.setting", "Y-90"), ""},
	{"meter-set-up", "The setting was Tc-99m", "", nil, "Tc-99m"},
	{"meter-withdrawn", "was withdrawn on", "instrument", []string{"p0.id", "M1", "p0.what", "activity-meter", "p0.state", "withdrawn"}, ""},
}

// calibrated are the fields of a calibration of the shipping vial.
func calibrated(factor, basis string, more ...string) []string {
	return append([]string{"p0.of", "M1", "p0.container", "shipping-vial", "p0.factor", factor, "p0.u", "0.5", "p0.basis", basis}, more...)
}

// set puts texts into fields at once, where typing is not what is looked at.
func (d *desk) set(form string, pairs ...string) {
	d.t.Helper()
	for i := 0; i < len(pairs); i += 2 {
		if !ask[bool](d, `(f => !!f && (f.value = %s, f.dispatchEvent?.(new Event("change", {bubbles: true})), f.value === %s))(document.getElementById(%s)?.elements.namedItem(%s))`, pairs[i+1], pairs[i+1], form, pairs[i]) {
			d.t.Fatalf("%s: %s of the form %s does not take %q:\n%s", d.location(), pairs[i], form, pairs[i+1], d.text("main"))
		}
	}
}

// TestMeterFindings: what the meter book has against a reading stands on the bench,
// with the verdict and the button in sight.
func TestMeterFindings(t *testing.T) {
	y := begin(t, keys{})
	y.readiness()
	y.assay()
	// Each entry holds from a minute later than the one before, all of them yesterday.
	minute := y.now().In(y.infusion.Location()).Add(-24 * time.Hour)
	for _, f := range inTheBook {
		if f.kind != "" {
			minute = minute.Add(time.Minute)
			d := y.person("MP1")
			d.goTo("/instruments/enter/" + f.kind)
			at := map[string]string{"instrument": "p0.at", "calibration": "p0.from"}[f.kind]
			d.set("enter", at, minute.Format("2006-01-02T15:04"))
			for i := 0; i < len(f.fields); i += 2 {
				value := f.fields[i+1]
				if value[0] == '@' { // so many hours after a day before
					value = minute.Add(-24*time.Hour + time.Duration(value[1]-'0')*time.Hour).Format("2006-01-02T15:04")
				}
				d.set("enter", f.fields[i], value)
			}
			d.fill("enter", "pin", pin)
			if r := d.send("enter"); r.Status != 200 {
				t.Fatalf("%s: %d:\n%s", f.code, r.Status, d.text("main"))
			}
		}
		if f.setting != "" {
			d := y.worker()
			d.goTo(y.bench + "/step/assay")
			d.goTo(ask[string](d, `document.querySelector(".recorded a[href^='/entry/']").getAttribute("href")`))
			d.fill("correct", "p0.reason", "the setting was noted wrong")
			d.set("correct", "p0.with.read.setting", f.setting)
			d.fill("correct", "pin", pin)
			if r := d.send("correct"); r.Status != 200 {
				t.Fatalf("the correction: %d:\n%s", r.Status, d.text("main"))
			}
		}
		d := y.worker()
		d.goTo(y.bench)
		d.says("main", f.says)
		d.firstScreen("finding-" + f.code)
	}
}
