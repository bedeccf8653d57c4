package picture_test

import (
	"encoding/xml"
	"strings"
	"testing"

	"vialwright/picture"
)

// A reading at the level is a square on its dashed line, one without a detection is hollow, and
// the picture is sound XML that carries its mark.
func TestTrend(t *testing.T) {
	svg := string(picture.Trend{ID: "trend-R1-1", Title: "a < b", Mark: "PRACTICE", Points: []picture.TrendPoint{{Share: 0.2, Hollow: true, Says: "one"}, {Share: 1, Says: "two"}, {Share: -0.1, Hollow: true, Says: "three"}}}.Draw())
	if err := xml.Unmarshal([]byte(svg), new(struct{})); err != nil {
		t.Fatal(err)
	}
	// By hand: 60 high with an edge of 6, so that the level is at 54 - 48/1.25, and 0.2 of it at
	// 54 - 0.2*48/1.25.
	for _, want := range []string{"PRACTICE", "a &lt; b", `<path d="M0,15.60H240"`, `<rect x="116.50" y="12.10"`, `<circle cx="6.00" cy="46.32"`, `<circle cx="234.00" cy="54.00"`, `fill="Canvas"><title>one`, `fill="currentColor"><title>two`} {
		if !strings.Contains(svg, want) {
			t.Errorf("%s is not in %s", want, svg)
		}
	}
	if svg := string(picture.Trend{ID: "x", Points: []picture.TrendPoint{{Share: 4}}}.Draw()); strings.Contains(svg, "NaN") || !strings.Contains(svg, `y="2.50"`) {
		t.Error(svg)
	}
}
