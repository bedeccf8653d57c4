package picture

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"vialwright/quantity"
)

// courses are invented: no real meter or vial.
func courses(f Form) map[string]Course {
	c := Course{
		ID: "M1", form: f, Title: "M1, 3 GBq in 5 mL", Desc: "12 readings over 10 min; the reading falls by 4.0 %.", End: 600, Within: 0.01, WithinText: "within 1 %, an assumption",
		Until: 20.1, UntilText: "1 % off after 20 s",
	}
	for i, t := range []float64{0, 15, 30, 45, 60, 90, 120, 180, 240, 300, 420, 600} {
		of := 0.04 * math.Expm1(-t/70)
		c.Readings = append(c.Readings, CourseReading{quantity.Span(t), quantity.Fraction(of + 0.002*math.Sin(float64(i*i))), 0.003})
	}
	for t := 0.0; t <= 600; t += 10 {
		c.Fitted = append(c.Fitted, Share{quantity.Span(t), quantity.Fraction(0.04 * math.Expm1(-t/70))})
	}
	flat := c
	flat.ID, flat.Fitted, flat.Until, flat.Mark = "M2", []Share{{0, 0}, {600, 0}}, 0, "PRACTICE - not for patient use"
	flat.Readings = c.Readings[:4]
	return map[string]Course{"falls": c, "flat": flat}
}

func TestGoldenCourse(t *testing.T) {
	for _, f := range []Form{Wide, Narrow} {
		for n, c := range courses(f) {
			golden(t, "course-"+n+"-"+f.class()+".svg", string(drawCourse(c).svg))
		}
	}
}

// TestCourseScenes: each is sound, has its words, and its colours can be told
// apart in both themes.
func TestCourseScenes(t *testing.T) {
	pairs := 0
	for _, f := range []Form{Wide, Narrow} {
		for name, c := range courses(f) {
			svg := drawCourse(c).svg
			if err := check(svg); err != nil {
				t.Errorf("%s %s: %v", name, f.class(), err)
			}
			for _, want := range []string{"off the fresh reading", "reading ± standard uncertainty", "curve fitted to the readings", c.WithinText, c.Mark} {
				if !strings.Contains(drawnText(svg), want) {
					t.Errorf("%s %s: %q is not in it", name, f.class(), want)
				}
			}
			if got := strings.Contains(drawnText(svg), c.UntilText); got != (c.Until > 0) {
				t.Errorf("%s %s: until is written %v", name, f.class(), got)
			}
			if dots := strings.Count(string(svg), "<circle"); dots != len(c.Readings)+1 {
				t.Errorf("%s: %d dots", name, dots)
			}
			for p := range drawCourse(c).used {
				if p.on == none || p.on == band || p.on == p.behind {
					continue
				}
				pairs++
				for _, theme := range []Theme{Light, Dark} {
					if got := contrast(p.on.in(theme), p.behind.in(theme)); got < p.least {
						t.Errorf("%s: %s on %s has the contrast %.2f, less than %.1f", name, palette[p.on].name, palette[p.behind].name, got, p.least)
					}
				}
			}
		}
	}
	if pairs < 20 {
		t.Errorf("only %d pairs", pairs)
	}
}

// TestCourseHeights by hand: from −1 % to +1 % with a reading of −3 ± 1 %, the
// scale is −4 % to +1 % and 0.3 % more either way, 5.6 % on 194 units. The dot
// is 1.3 % below the top, at 36 + 194·4.3/5.6 = 184.96, its bar ends at
// 150.32 and 219.61.
func TestCourseHeights(t *testing.T) {
	svg := drawCourse(Course{ID: "x", End: 60, Within: 0.01, Readings: []CourseReading{{30, -0.03, 0.01}}}).svg
	all, err := parse(svg)
	if err != nil {
		t.Fatal(err)
	}
	for i, e := range all {
		if e.name != "circle" {
			continue
		}
		bar := all[i-3].points()
		if math.Abs(e.num("cy")-184.96) > 0.01 || math.Abs(bar[0].y-150.32) > 0.01 || math.Abs(bar[1].y-219.61) > 0.01 || e.num("cx") != 324 {
			t.Errorf("the dot is at %s, %s, its bar from %v to %v", e.attr["cx"], e.attr["cy"], bar[0], bar[1])
		}
		return
	}
	t.Error("no dot")
}

// TestAnyCourse: whatever is handed over, the picture is sound and the same
// twice.
func TestAnyCourse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		share := func(name string) quantity.Fraction { return quantity.Fraction(anyNumber(0.1).Draw(t, name)) }
		span := func(name string) quantity.Span { return quantity.Span(anyNumber(600).Draw(t, name)) }
		text := anyText()
		c := Course{
			ID: text.Draw(t, "ID"), form: anyForm().Draw(t, "form"), Mark: text.Draw(t, "mark"), Title: text.Draw(t, "title"), Desc: text.Draw(t, "desc"),
			End: span("end"), Within: share("within"), WithinText: text.Draw(t, "within text"), Until: span("until"), UntilText: text.Draw(t, "until text"),
		}
		for range rapid.IntRange(0, 4).Draw(t, "readings") {
			c.Readings = append(c.Readings, CourseReading{span("at"), share("of"), share("u")})
			c.Fitted = append(c.Fitted, Share{span("fitted at"), share("fitted of")})
		}
		svg := drawCourse(c).svg
		if err := check(svg); err != nil {
			t.Fatalf("%v\n%s", err, svg)
		}
		if drawCourse(c).svg != svg {
			t.Fatal("not the same twice")
		}
	})
}

func ExampleReadingCourse() {
	svg := string(ReadingCourse(Course{
		ID: "M1", Title: "M1, 3 GBq in 5 mL", Desc: "Two readings.", End: 60, Within: 0.01,
		Readings: []CourseReading{{5, 0, 0.003}, {60, -0.012, 0.003}}, Fitted: []Share{{0, 0}, {60, -0.012}},
	}))
	fmt.Println(strings.Count(svg, "<circle"), "dots with those of the keys;", strings.Contains(svg, "curve fitted to the readings"))
	// Output:
	// 6 dots with those of the keys; true
}
