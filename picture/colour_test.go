package picture

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// TestContrastWCAG checks the formula of WCAG 2.2 with ratios that can be had
// with pencil and paper: black on white is (1 + 0.05)/(0 + 0.05) = 21. #767676
// is widely known as the lightest grey that has 4.5:1 on white, #777777 as the
// darkest that has not: 0x76/255 = 0.46275 linear 0.18116, 1.05/0.23116 =
// 4.542; 0x77 linear 0.18448, 1.05/0.23448 = 4.478. Pure red has the luminance
// 0.2126: 1.05/0.2626 = 3.998.
func TestContrastWCAG(t *testing.T) {
	for _, r := range []struct {
		a, b string
		want float64
	}{
		{"#000000", "#ffffff", 21},
		{"#ffffff", "#000000", 21},
		{"#767676", "#ffffff", 4.542},
		{"#ffffff", "#777777", 4.478},
		{"#ff0000", "#ffffff", 3.998},
		{"#0a0a0a", "#0a0a0a", 1},
	} {
		if got := contrast(r.a, r.b); math.Abs(got-r.want) > 0.0006 {
			t.Errorf("contrast(%s, %s) = %.4f, want %.3f", r.a, r.b, got, r.want)
		}
	}
}

// everyPair gathers the pairs of colours that all scenes put on each other, as
// the drawing reports them.
func everyPair() map[pair]bool {
	used := map[pair]bool{}
	add := func(d drawn) {
		for p := range d.used {
			used[p] = true
		}
	}
	for _, b := range benches() {
		add(drawBench(b))
	}
	for _, f := range []Form{Wide, Narrow} {
		for _, s := range strips(f) {
			add(drawStrip(s))
		}
	}
	return used
}

// TestEveryPairOfColours computes the contrast of every pair in use, in both
// themes. -v prints the table.
func TestEveryPairOfColours(t *testing.T) {
	var rows []string
	for p := range everyPair() {
		if p.on == none {
			continue
		}
		for _, theme := range []Theme{Light, Dark} {
			ratio := contrast(p.on.in(theme), p.behind.in(theme))
			row := fmt.Sprintf("%-6s on %-6s %s %5.2f, needs %.1f", palette[p.on].name, palette[p.behind].name, [...]string{"light", "dark "}[theme], ratio, p.least)
			rows = append(rows, row)
			if ratio < p.least {
				t.Error(row)
			}
		}
	}
	slices.Sort(rows)
	t.Log("\n" + strings.Join(rows, "\n"))
	if len(rows) < 40 {
		t.Errorf("only %d pairs are reported", len(rows))
	}
}

// TestNothingIsLeftOut: each colour of the palette that carries meaning meets
// the paper somewhere, so none escapes the test above by not being reported.
// The tint of the band is the exception: its limits are lines of their own.
func TestNothingIsLeftOut(t *testing.T) {
	used := everyPair()
	for c := range palette {
		on := colour(c)
		if on == paper || on == band {
			continue
		}
		if !used[pair{on, paper, forGraphic}] && !used[pair{on, paper, forText}] {
			t.Errorf("%s is reported on paper nowhere", palette[c].name)
		}
	}
	for _, on := range []colour{ink, goal, curve} {
		if !used[pair{on, band, forGraphic}] {
			t.Errorf("%s is not reported on the band", palette[on].name)
		}
	}
	for _, behind := range []colour{liquid, water} {
		if !used[pair{ink, behind, forGraphic}] {
			t.Errorf("ink is not reported on %s", palette[behind].name)
		}
	}
}

// TestStyleSheet: each theme sets every colour that a picture names, and the
// fallback is the light one.
func TestStyleSheet(t *testing.T) {
	css := CSS()
	for _, rule := range []struct {
		selector string
		value    func(colour) string
	}{
		{":root{", func(c colour) string { return c.in(Light) }},
		{`@media (prefers-color-scheme:dark){:root:not([data-theme="light"]){`, func(c colour) string { return c.in(Dark) }},
		{`:root[data-theme="dark"]{`, func(c colour) string { return c.in(Dark) }},
		{"@media print{:root:root:root{", func(c colour) string { return c.in(Light) }},
		{"@media (forced-colors:active){:root:root:root{", func(c colour) string { return palette[c].forced }},
	} {
		_, body, found := strings.Cut("\n"+css, "\n"+rule.selector)
		if !found {
			t.Errorf("no rule %s", rule.selector)
			continue
		}
		body, _, _ = strings.Cut(body, "\n")
		for c := range palette {
			want := "--pic-" + palette[c].name + ":" + rule.value(colour(c)) + ";"
			if strings.Count(body, want) != 1 {
				t.Errorf("%s has no %s", rule.selector, want)
			}
		}
	}
	if strings.Count(css, "{") != strings.Count(css, "}") {
		t.Error("braces do not match")
	}
}

func TestFixedHasNoCustomProperties(t *testing.T) {
	for theme, paper := range map[Theme]string{Light: "#faf7f0", Dark: "#10161d"} {
		svg := Fixed(Vessels(drawScene())+TimeStrip(oneDose(Wide)), theme)
		if strings.Contains(svg, "var(") || strings.Count(svg, `height="675.34" fill="`+paper) != 1 {
			t.Errorf("theme %d: %.300s", theme, svg)
		}
	}
}

// contrast is the ratio of two #rrggbb colours:
//
//	(L1 + 0.05)/(L2 + 0.05), L1 the lighter (WCAG 2.2, "contrast ratio")
func contrast(a, b string) float64 {
	x, y := luminance(a), luminance(b)
	return (math.Max(x, y) + 0.05) / (math.Min(x, y) + 0.05)
}

// luminance of a #rrggbb colour (WCAG 2.2, "relative luminance"):
//
//	L = 0.2126 R + 0.7152 G + 0.0722 B
//	R = r/12.92 if r ≤ 0.04045, else ((r + 0.055)/1.055)^2.4, r = R8/255
func luminance(hex string) float64 {
	weights := [3]float64{0.2126, 0.7152, 0.0722}
	l := 0.0
	for i, w := range weights {
		n, err := strconv.ParseUint(hex[1+2*i:3+2*i], 16, 8)
		if err != nil {
			panic("picture: " + hex + " is no colour")
		}
		c := float64(n) / 255
		if c <= 0.04045 {
			c /= 12.92
		} else {
			c = math.Pow((c+0.055)/1.055, 2.4)
		}
		l += w * c
	}
	return l
}
