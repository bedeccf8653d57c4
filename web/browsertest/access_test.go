package browsertest

import (
	"context"
	"os"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

// broken asks axe-core for what breaks WCAG 2.2 at level A or AA in the page:
// contrast, names, labels, structure, the size of targets.
const broken = `axe.run(document, {runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}).then(r =>
	r.violations.map(v => v.id + ": " + v.help + ": " + v.nodes.map(n => n.target.join(" ") + " [" + n.any.concat(n.all).map(c => c.message).join("; ") + "]").slice(0, 3).join(" | ")))`

// TestAccessible: every page of a preparation, in light and in dark.
func TestAccessible(t *testing.T) {
	axe, err := os.ReadFile("testdata/axe-core/axe.min.js")
	if err != nil {
		t.Fatal(err)
	}
	y := begin(t, keys{})
	told := map[string]bool{}
	look := func(d *desk) {
		within(d, "reading the rules in", chromedp.Evaluate[chromedp.Void](string(axe)))
		for _, scheme := range []string{"light", "dark"} {
			d.scheme(scheme)
			for _, v := range ask[[]string](d, broken) {
				if !told[v] {
					t.Errorf("%s, %s: %s", d.location(), scheme, v)
				}
				told[v] = true
			}
		}
	}
	d := y.releaser()
	d.look = look
	visit := func() {
		for _, path := range []string{"/", "/day", y.bench, "/history", "/health", "/me"} {
			d.goTo(path)
		}
	}
	visit()
	for _, s := range theDay {
		d.look = nil
		s.do(y)
		d.look = look
		d.goTo(y.bench)
		if s.key == "make-up" {
			y.checker().look = look
			y.checker().goTo(y.bench + "/check")
			y.checker().look = nil
		}
	}
	visit()
	d.goTo("/history")
	d.goTo(ask[string](d, `new URL(document.querySelector("a[href^='/entry/']").href).pathname`))
	admin := y.person("AD1")
	admin.look = look
	admin.goTo("/people")
	out := sit(t, y.base, "nobody", keys{})
	out.look = look
	out.goTo("/sign-in")
	rulesBite(out)
}

// rulesBite spoils a page, which the rules have to notice, and looks whether
// dark is another page than light.
func rulesBite(d *desk) {
	d.t.Helper()
	ground := func(scheme string) string {
		d.scheme(scheme)
		return ask[string](d, `getComputedStyle(document.body).backgroundColor`)
	}
	if light, dark := ground("light"), ground("dark"); light == dark {
		d.t.Errorf("the page is %s in light and in dark", light)
	}
	ask[int](d, `document.getElementById("main").insertAdjacentHTML("beforeend", "<p id=pale>pale</p><button></button>") ?? 0`)
	ask[int](d, `Object.assign(document.getElementById("pale").style, {color: "#777", background: "#888"}) && 0`)
	if found := ask[[]string](d, broken); len(found) != 2 {
		d.t.Errorf("a pale text and a button without a name break %q", found)
	}
}

// scheme sets what the system prefers.
func (d *desk) scheme(scheme string) {
	d.t.Helper()
	ctx, end := context.WithTimeout(d.ctx, patience)
	defer end()
	_, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}})
	if err != nil {
		d.t.Fatal(err)
	}
}
