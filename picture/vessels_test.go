package picture

import (
	"html/template"
	"math"
	"slices"
	"strings"
	"testing"

	"vialwright/quantity"
)

// written finds the text elements that say a thing.
func written(svg template.HTML, said string) []element {
	all, err := parse(svg)
	if err != nil {
		panic(err)
	}
	var out []element
	for _, e := range all {
		if e.name == "text" && e.text == said {
			out = append(out, e)
		}
	}
	return out
}

// TestKeyNumbersAreLarge: in a picture shown 360 pixels wide, volumes are 20
// pixels or more, and the mark to draw to is larger still.
func TestKeyNumbersAreLarge(t *testing.T) {
	svg := Vessels(drawnScene())
	if !strings.Contains(string(svg), `viewBox="0 0 360.00 `) {
		t.Fatal("the picture is not 360 wide")
	}
	for said, least := range map[string]float64{"2.8 mL": 20, "2.2 mL": 20, "0 mL": 20, "3.5 mL": 28} {
		found := written(svg, said)
		if len(found) == 0 || found[0].num("font-size") < least {
			t.Errorf("%s is written %v", said, found)
		}
	}
	for _, e := range written(svg, "5") { // a number of the scale
		if e.num("font-size") < 19 {
			t.Errorf("the scale is numbered in %v", e.attr["font-size"])
		}
	}
}

// TestNoSmallLetters: nothing is below 16 units in the wide form, below 14 in
// the narrow one.
func TestNoSmallLetters(t *testing.T) {
	for f, least := range map[Form]float64{Wide: 16, Narrow: 14} {
		var pictures []template.HTML
		for _, b := range benches() {
			pictures = append(pictures, Vessels(b))
		}
		for _, s := range strips(f) {
			pictures = append(pictures, TimeStrip(s))
		}
		for _, p := range pictures {
			all, err := parse(p)
			if err != nil {
				t.Fatal(err)
			}
			for _, e := range all {
				if e.name == "text" && e.num("font-size") < least {
					t.Errorf("%s: %q in %s", f.class(), e.text, e.attr["font-size"])
				}
			}
		}
	}
}

// TestVesselsSayTheirFacts: what was handed over is both drawn and described.
func TestVesselsSayTheirFacts(t *testing.T) {
	for _, b := range []Bench{drawScene(), drawnScene(), transferScene(), territories()} {
		svg := Vessels(b)
		facts := []string{b.Mark}
		for _, v := range b.Vessels {
			facts = append(facts, v.ID, v.Kind.String(), v.VolumeText, v.Activity, v.State)
			if v.Target != nil {
				facts = append(facts, v.Target.Text, v.Target.Words)
			}
		}
		for _, m := range b.Next {
			facts = append(facts, m.Words)
		}
		drawn := strings.ReplaceAll(drawnText(svg), "\n", " ")
		for _, fact := range facts {
			if !strings.Contains(drawn, fact) {
				t.Errorf("%s: %q is not drawn in %q", b.ID, fact, drawn)
			}
			if !strings.Contains(strings.ToLower(described(svg)), strings.ToLower(fact)) {
				t.Errorf("%s: %q is not described in %q", b.ID, fact, described(svg))
			}
		}
	}
}

// TestWhatCannotBeDrawnIsSaid: a volume that is not known is not drawn as an
// empty vessel, one too large not as a fitting one, and a mark that is not on
// the syringe not at all.
func TestWhatCannotBeDrawnIsSaid(t *testing.T) {
	nan := quantity.Volume(math.NaN())
	for name, r := range map[string]struct {
		v    Vessel
		said []string
		not  []string
	}{
		"not known":     {Vessel{ID: "S", Volume: nan}, []string{"?", "level not known"}, nil},
		"negative":      {Vessel{ID: "S", Volume: -0.1}, []string{"?", "level not known"}, nil},
		"not known, Y":  {Vessel{Kind: Syringe, ID: "Y", Volume: nan}, []string{"?", "level not known"}, nil},
		"empty":         {Vessel{ID: "S"}, nil, []string{"?", "level not known", "more than fits the drawing"}},
		"too much":      {Vessel{ID: "S", Volume: 12}, []string{"more than fits the drawing"}, []string{"?"}},
		"too much in Y": {Vessel{Kind: Syringe, ID: "Y", Volume: 5.5}, []string{"more than fits the drawing"}, []string{"?"}},
		"mark off":      {Vessel{Kind: Syringe, ID: "Y", Target: &Target{5.1, "5.1 mL", "draw to"}}, []string{"5.1 mL", "the mark is not on this syringe"}, nil},
		"mark not a no": {Vessel{Kind: Syringe, ID: "Y", Target: &Target{nan, "?", "draw to"}}, []string{"the mark is not on this syringe"}, nil},
		"mark at end":   {Vessel{Kind: Syringe, ID: "Y", Target: &Target{5, "5 mL", "draw to"}}, []string{"5 mL"}, []string{"the mark is not on this syringe"}},
	} {
		svg := Vessels(Bench{Vessels: []Vessel{r.v}})
		lines := strings.Split(drawnText(svg), "\n")
		for _, s := range r.said {
			if !slices.Contains(lines, s) && !strings.Contains(strings.Join(lines, " "), s) {
				t.Errorf("%s: %q is not in %q", name, s, lines)
			}
			if s != "?" && !strings.Contains(described(svg), s) {
				t.Errorf("%s: %q is not in %q", name, s, described(svg))
			}
		}
		for _, s := range r.not {
			if slices.Contains(lines, s) || strings.Contains(described(svg), s) {
				t.Errorf("%s: %q is in %q", name, s, lines)
			}
		}
		if flags := len(painted(svg, "stroke", goal)); (flags > 0) != (r.v.Target != nil && r.v.Target.Volume <= nominal) {
			t.Errorf("%s: %d lines of a mark", name, flags)
		}
	}
}

// TestGraduation counts the marks: short, middling and long ones are told by
// their length.
func TestGraduation(t *testing.T) {
	for _, r := range []struct {
		graduation        quantity.Volume
		small, half, long int
		words             string
	}{
		{0.1, 20, 0, 6, "marks drawn every 0.2 mL, on the syringe every 0.1 mL"},
		{0.2, 20, 0, 6, "syringe marks every 0.2 mL"},
		{0.25, 10, 5, 6, "syringe marks every 0.25 mL"},
		{0.05, 10, 5, 6, "marks drawn every 0.25 mL, on the syringe every 0.05 mL"},
		{0, 0, 0, 6, "marks drawn every 1 mL"},
		{quantity.Volume(math.NaN()), 0, 0, 6, "marks drawn every 1 mL"},
		{quantity.Volume(math.Inf(1)), 0, 0, 6, "marks drawn every 1 mL"},
		{1, 0, 0, 6, "syringe marks every 1 mL"},
		{1e-300, 0, 0, 6, "marks drawn every 1 mL"},
	} {
		v := Vessel{Kind: Syringe, ID: "Y", Expected: true} // no stopper hides a mark
		svg := Vessels(Bench{Graduation: r.graduation, Vessels: []Vessel{v}})
		count := map[float64]int{}
		scale := vesselRoom.scale
		for _, e := range painted(svg, "stroke", ink) {
			if p := e.points(); p[0].x == p[1].x {
				count[math.Round((p[1].y-p[0].y)/scale*10)/10]++
			}
		}
		if count[3.2] != r.small || count[5] != r.half || count[7] != r.long {
			t.Errorf("%v: marks by length in mm: %v", r.graduation, count)
		}
		if got := strings.ReplaceAll(drawnText(svg), "\n", " "); !strings.Contains(got, r.words) {
			t.Errorf("%v: %q", r.graduation, got)
		}
	}
}

// TestMarksWhereTheyBelong: each long mark stands over its number, at its
// volume.
func TestMarksWhereTheyBelong(t *testing.T) {
	svg, r := Vessels(drawScene()), vesselRoom
	for k, said := range []string{"0", "1", "2", "3", "4", "5"} {
		e := written(svg, said)[0]
		want := r.nozzle + nozzleLength*r.scale + float64(k)*1000/(math.Pi*bore*bore/4)*r.scale
		if math.Abs(e.num("x")-want) > 0.006 || e.attr["text-anchor"] != "middle" {
			t.Errorf("%s at %v, want %.2f", said, e.num("x"), want)
		}
	}
}

// TestArrowsMeetTheirVessels: the arrow ends at the vessel it names and begins
// at the other.
func TestArrowsMeetTheirVessels(t *testing.T) {
	b := drawScene()
	ends := func(from, to string) (tail, tip point) {
		b.Next = []Movement{{from, to, "move"}}
		b.Vessels[1].Target = nil
		svg := Vessels(b)
		line := painted(svg, "stroke", goal)[0].points()
		head := painted(svg, "fill", goal)[0].points()
		return line[0], head[0]
	}
	d := &desk{canvas: newCanvas("x"), Bench: b.cleaned(), room: vesselRoom}
	d.Bench.Vessels[1].Target = nil
	d.Next = make([]Movement, 1)
	d.Next[0].Words = "move"
	d.syringes()
	d.vials()
	near := func(a, b point) bool { return math.Hypot(a.x-b.x, a.y-b.y) < 0.02 }
	for _, r := range [][2]int{{0, 1}, {1, 2}, {2, 0}, {1, 0}} {
		tail, tip := ends(b.Vessels[r[0]].ID, b.Vessels[r[1]].ID)
		if !near(tail, d.ports[r[0]].tip) || !near(tip, d.ports[r[1]].tip) {
			t.Errorf("%s to %s: from %v to %v, ports %v and %v", b.Vessels[r[0]].ID, b.Vessels[r[1]].ID, tail, tip, d.ports[r[0]].tip, d.ports[r[1]].tip)
		}
	}
	if _, tip := ends("", "A1"); !near(tip, d.ports[2].tip) {
		t.Errorf("into A1 ends at %v", tip)
	}
	if tail, _ := ends("S1", ""); !near(tail, d.ports[0].tip) {
		t.Errorf("out of S1 begins at %v", tail)
	}
}
