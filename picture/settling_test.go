package picture

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"vialwright/quantity"
)

// settlings are scenes of an invented vial, by name.
func settlings(f Form) map[string]Settling {
	s := Settling{
		ID: "bench", form: f, Title: "S1, 20 s after it was resuspended", Desc: "Still mixed.", Bore: 18, Level: 19.6, Tip: 5, Clear: 17.4, Bed: 1.2,
		Now: 20, Until: 28, End: 60, NowText: "now, 20 s", UntilText: "trusted to 28 s", Tolerance: 0.05,
		AtTip: []Share{{0, 1}, {30, 1}, {60, 2.4}}, Drawn: []Share{{0, 1}, {30, 0.99}, {60, 0.84}},
	}
	fresh, late, cone := s, s, s
	fresh.Now, fresh.Clear, fresh.Bed, fresh.NowText = 0, 19.6, 0, "now, 0 s"
	late.Now, late.End, late.Clear, late.Bed, late.Mark, late.NowText = 300, 300, 7.1, 7.1, "PRACTICE - not for patient use", "now, 5 min"
	cone.Cone, cone.Until = 6, 0
	return map[string]Settling{"standing": s, "fresh": fresh, "settled": late, "pointed": cone}
}

// TestSettlingScenes: each scene is sound, names what it shows, and its colours
// can be told apart in both themes.
func TestSettlingScenes(t *testing.T) {
	for _, f := range []Form{Wide, Narrow} {
		for name, s := range settlings(f) {
			svg := drawSettling(s).svg
			if err := check(svg); err != nil {
				t.Errorf("%s %s: %v", name, f.class(), err)
			}
			for _, want := range []string{"tip", s.NowText, s.Mark} {
				if !strings.Contains(drawnText(svg), want) {
					t.Errorf("%s %s: %q is not in it", name, f.class(), want)
				}
			}
			if d := described(svg); !strings.Contains(d, s.Desc) {
				t.Errorf("%s: described as %q", name, d)
			}
			for p := range drawSettling(s).used {
				for _, theme := range []Theme{Light, Dark} {
					if p.on == none || p.on == p.behind {
						continue
					}
					if got := contrast(p.on.in(theme), p.behind.in(theme)); got < p.least {
						t.Errorf("%s: %v on %v has the contrast %.2f, less than %.1f", name, p.on, p.behind, got, p.least)
					}
				}
			}
		}
	}
}

// TestSettlingHeights: by hand. In the wide picture the vial is 96 units wide
// for 18 mm, 5.333 units to the millimetre; its floor is at 212, so the bed of
// 1.2 mm ends at 205.6 and the clear line of 17.4 mm is at 119.2.
func TestSettlingHeights(t *testing.T) {
	svg := drawSettling(settlings(Wide)["standing"]).svg
	for c, want := range map[colour][2]float64{bed: {205.6, 212}, liquid: {119.2, 205.6}, water: {107.47, 119.2}} {
		areas := painted(svg, "fill", c)
		if len(areas) != 1 {
			t.Fatalf("%v is drawn %d times", c, len(areas))
		}
		low, high := math.Inf(1), math.Inf(-1)
		for _, p := range areas[0].points() {
			low, high = math.Min(low, p.y), math.Max(high, p.y)
		}
		if math.Abs(low-want[0]) > 0.05 || math.Abs(high-want[1]) > 0.05 {
			t.Errorf("%v reaches from %.2f to %.2f, want %v", c, low, high, want)
		}
	}
}

// TestAnySettling: whatever is handed over, the picture is sound and the same
// twice.
func TestAnySettling(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		number := func(name string, scale float64) float64 { return anyNumber(scale).Draw(t, name) }
		length := func(name string) quantity.Length { return quantity.Length(number(name, 40)) }
		span := func(name string) quantity.Span { return quantity.Span(number(name, 600)) }
		shares := func(name string) (out []Share) {
			for range rapid.IntRange(0, 4).Draw(t, name) {
				out = append(out, Share{span(name + " at"), quantity.Fraction(number(name+" of", 3))})
			}
			return out
		}
		text := anyText()
		s := Settling{
			ID: text.Draw(t, "ID"), form: anyForm().Draw(t, "form"), Mark: text.Draw(t, "mark"), Title: text.Draw(t, "title"), Desc: text.Draw(t, "desc"),
			Bore: length("bore"), Cone: length("cone"), Level: length("level"), Tip: length("tip"), Clear: length("clear"), Bed: length("bed"),
			Now: span("now"), Until: span("until"), End: span("end"), NowText: text.Draw(t, "now text"), UntilText: text.Draw(t, "until text"),
			Tolerance: quantity.Fraction(number("tolerance", 0.5)), AtTip: shares("tip"), Drawn: shares("drawn"),
		}
		svg := drawSettling(s).svg
		if err := check(svg); err != nil {
			t.Fatalf("%v\n%s", err, svg)
		}
		if drawSettling(s).svg != svg {
			t.Fatal("not the same twice")
		}
	})
}
