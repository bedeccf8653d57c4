package picture

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"vialwright/quantity"
)

// controls are charts to look at: one of a year, one of three cases.
func controls(f Form) map[string]Control {
	l := Limits{0.88, 1, 1.12, "88 %", "100 %", "112 %"}
	c := Control{
		ID: "dispensed", form: f, Title: "Dispensed, % of prescribed", Words: "40 finished cases.", Mark: "PRACTICE - not for patient use",
		Values: l, Ranges: Limits{0, 0.045, 0.147, "", "4.5 %", "14.7 %"}, Average: Limits{0.961, 1, 1.039, "96 %", "100 %", "104 %"},
	}
	average := 1.0
	for i := range 40 {
		v := 1 + 0.05*math.Sin(float64(i*i))
		if i == 30 {
			v = 1.16
		}
		average = 0.2*v + 0.8*average
		p := ControlPoint{Value: quantity.Fraction(v), Average: quantity.Fraction(average), Drift: average > 1.039}
		if i > 0 {
			p.Moving = quantity.Fraction(math.Abs(v - float64(c.Points[i-1].Value)))
		}
		if v > 1.12 {
			p.Number, p.Jump = "1", true
		}
		c.Points = append(c.Points, p)
	}
	few := c
	few.ID, few.Mark, few.Points = "few", "", c.Points[29:32]
	return map[string]Control{"year": c, "few": few}
}

func TestGoldenControl(t *testing.T) {
	for _, f := range []Form{Wide, Narrow} {
		for n, c := range controls(f) {
			golden(t, "control-"+n+"-"+f.class()+".svg", string(drawControl(c).svg))
		}
	}
}

// TestControlColours computes the contrast of every pair in the charts.
func TestControlColours(t *testing.T) {
	pairs := 0
	for _, c := range controls(Wide) {
		for p := range drawControl(c).used {
			if p.on == none || p.on == band {
				continue
			}
			pairs++
			for _, theme := range []Theme{Light, Dark} {
				if ratio := contrast(p.on.in(theme), p.behind.in(theme)); ratio < p.least {
					t.Errorf("%s on %s: %.2f", palette[p.on].name, palette[p.behind].name, ratio)
				}
			}
		}
	}
	if pairs < 8 {
		t.Errorf("only %d pairs", pairs)
	}
}

// TestAnyControl: whatever is handed over, the picture is sound XML with its
// names, and no coordinate is not a number.
func TestAnyControl(t *testing.T) {
	number := rapid.Custom(func(t *rapid.T) quantity.Fraction { return quantity.Fraction(anyNumber(2).Draw(t, "v")) })
	limits := rapid.Custom(func(t *rapid.T) Limits {
		text := anyText()
		return Limits{number.Draw(t, "l"), number.Draw(t, "c"), number.Draw(t, "u"), text.Draw(t, "lt"), text.Draw(t, "ct"), text.Draw(t, "ut")}
	})
	one := rapid.Custom(func(t *rapid.T) ControlPoint {
		return ControlPoint{number.Draw(t, "v"), number.Draw(t, "m"), number.Draw(t, "a"), anyText().Draw(t, "n"), rapid.Bool().Draw(t, "o"), rapid.Bool().Draw(t, "j"), rapid.Bool().Draw(t, "d")}
	})
	rapid.Check(t, func(t *rapid.T) {
		c := Control{
			ID: anyText().Draw(t, "id"), form: anyForm().Draw(t, "form"), Title: anyText().Draw(t, "title"), Words: anyText().Draw(t, "words"), Mark: anyText().Draw(t, "mark"),
			Values: limits.Draw(t, "values"), Ranges: limits.Draw(t, "ranges"), Average: limits.Draw(t, "average"), Points: rapid.SliceOfN(one, 0, 5).Draw(t, "points"),
		}
		svg := string(drawControl(c).svg)
		if _, err := parse(drawControl(c).svg); err != nil {
			t.Fatal(err)
		}
		for _, bad := range []string{"NaN", "Inf"} {
			if strings.Contains(strings.Join(numbersOf(svg), " "), bad) {
				t.Fatalf("%s in %s", bad, svg)
			}
		}
	})
}

// numbersOf are the attributes of the elements.
func numbersOf(svg string) (out []string) {
	for _, part := range strings.Split(svg, `="`)[1:] {
		value, _, _ := strings.Cut(part, `"`)
		out = append(out, value)
	}
	return out
}

func ExampleControlChart() {
	c := Control{
		ID: "drawn", Title: "Drawn, % of planned", Words: "Three finished cases, none beyond its limits.",
		Values: Limits{0.9, 1, 1.1, "90 %", "100 %", "110 %"}, Points: []ControlPoint{{Value: 0.97}, {Value: 1.02}, {Value: 1.01}},
	}
	svg := string(ControlChart(c)) // both forms
	fmt.Println(strings.Count(svg, "<circle"), "dots;", strings.Contains(svg, "Three finished cases"))
	// Output:
	// 18 dots; true
}
