package browsertest

import (
	"os"
	"testing"

	"github.com/chromedp/chromedp"
)

// TestHeader: name, places and buttons stand on one line on a desk, with the
// longest place in bold, and on a phone behind a menu.
func TestHeader(t *testing.T) {
	d := signedIn(t, open(t), "RP1", keys{})
	d.goTo("/experience")
	for _, width := range []int64{1280, 390} {
		if err := chromedp.Do(d.ctx, chromedp.EmulateViewport(width, 844)); err != nil {
			t.Fatal(err)
		}
		if high := ask[int](d, `document.querySelector("header").offsetHeight`); high > 60 {
			t.Errorf("the header is %d pixels high on a screen of %d, more than one line of 44 with its border", high, width)
		}
	}
}

// experiencePaths are the pages of site experience, and of the past of a meter.
var experiencePaths = []string{"/experience", "/charts", "/charts?by=person&of=drawn", "/instruments", "/instruments/of/M2?span=all"}

// TestExperiencePages looks at the pages of a site with 200 invented preparations: in
// light and dark they keep the rules of access, and on a phone nothing stands
// beyond the edge of the screen. With VIALWRIGHT_SCREENS=1 it takes their
// pictures for docs/screens; with VIALWRIGHT_LOOK=DIR all of them, to look at.
func TestExperiencePages(t *testing.T) {
	axe, err := os.ReadFile("testdata/axe-core/axe.min.js")
	if err != nil {
		t.Fatal(err)
	}
	d := signedIn(t, open(t, "--past", "200"), "RP1", keys{})
	for i, path := range experiencePaths {
		d.goTo(path)
		within(d, "reading the rules in", chromedp.Evaluate[chromedp.Void](string(axe)))
		name := []string{"experience", "charts", "charts-person", "instruments-past", "meter-book"}[i]
		for _, scheme := range []string{"light", "dark"} {
			d.scheme(scheme)
			for _, v := range ask[[]string](d, broken) {
				t.Errorf("%s, %s: %s", path, scheme, v)
			}
			d.picture("page-" + name + "-" + scheme + "-desk")
			if scheme == "light" && (i < 2 || name == "meter-book") {
				d.renew(name)
			}
		}
		d.scheme("light")
		if err := chromedp.Do(d.ctx, chromedp.EmulateViewport(390, 844)); err != nil {
			t.Fatal(err)
		}
		if beyond := ask[int](d, `document.documentElement.scrollWidth - innerWidth`); beyond > 0 {
			t.Errorf("%s on a phone: %d pixels beyond the edge", path, beyond)
		}
		d.picture("page-" + name + "-phone")
		ask[int](d, `(scrollTo(0, 900), 0)`)
		d.picture("page-" + name + "-lower-phone")
		if err := chromedp.Do(d.ctx, chromedp.EmulateViewport(1280, 800)); err != nil {
			t.Fatal(err)
		}
		ask[int](d, `(scrollTo(0, 750), 0)`)
		d.picture("page-" + name + "-lower-desk")
	}
}
