package browsertest

import (
	"fmt"
	"math"
	"os"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// TestReadingWhileItSettles: the readings are entered by keys, the page shows
// their curve, the bench says beside the clock what follows from it; light and
// dark keep the rules of access, and on a phone nothing stands beyond the edge.
// With VIALWRIGHT_LOOK=DIR it takes pictures to look at.
func TestReadingWhileItSettles(t *testing.T) {
	axe, err := os.ReadFile("testdata/axe-core/axe.min.js")
	if err != nil {
		t.Fatal(err)
	}
	zone, err := time.LoadLocation("Atlantic/Azores") // of the invented laboratory
	if err != nil {
		t.Fatal(err)
	}
	y := begin(t, keys{})
	y.readiness()
	d := y.worker()
	page := "/curve"
	d.goTo(page)
	d.fill("curve", "p0.at", time.Now().Add(-time.Second).In(zone).Format("2006-01-02T15:04:05"))
	d.fill("curve", "p0.background", "0.2")
	for i, s := range []float64{0, 5, 10, 15, 20, 30, 40, 50} {
		row := fmt.Sprintf("p0.readings.%d.", i+1)
		d.fill("curve", row+"since", fmt.Sprint(s))
		d.fill("curve", row+"gross", fmt.Sprintf("%.3f", 3.2*(1+0.04*math.Expm1(-s/12))))
	}
	d.send("curve")
	d.says("main", "At the 95 % level the reading changes while the vial settles. Read within 3 s of resuspension")
	within(d, "reading the rules in", chromedp.Evaluate[chromedp.Void](string(axe)))
	for _, scheme := range []string{"light", "dark"} {
		d.scheme(scheme)
		for _, v := range ask[[]string](d, broken) {
			t.Errorf("%s, %s: %s", page, scheme, v)
		}
		d.picture("curve-" + scheme + "-desk")
	}
	d.scheme("light")
	ask[int](d, `(scrollTo(0, 500), 0)`)
	d.picture("curve-form-desk")
	ask[int](d, `(scrollTo(0, 0), 0)`)
	within(d, "making it a phone", chromedp.EmulateViewport(390, 844))
	if beyond := ask[int](d, `document.documentElement.scrollWidth - innerWidth`); beyond > 0 {
		t.Errorf("on a phone: %d pixels beyond the edge", beyond)
	}
	d.picture("curve-phone")
	ask[int](d, `(scrollTo(0, 800), 0)`)
	d.picture("curve-lower-phone")
	ask[int](d, `(scrollTo(0, 1600), 0)`)
	d.picture("curve-lowest-phone")
	within(d, "making it a desk", chromedp.EmulateViewport(1280, 800))
	d.goTo(y.bench)
	y.shaken(d, "by a key", chromedp.KeyEvent("S", chromedp.KeyModifiers(altShift)))
	d.says("#settling", "read within 3 s of resuspension, else the reading is off by more than 1\u00a0% (an assumption).")
	d.says("#settling", "A reading now is off by")
	d.picture("curve-bench-desk")
}
