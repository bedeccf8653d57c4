package picture

import (
	"html/template"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"vialwright/quantity"
)

// scales reads a strip back: instants from the triangle of now and the diamond
// of infusion, activities from the limits of the band.
type scales struct {
	secondsPerUnit, left float64
	bqPerUnit, foot      float64 // foot is the y of the lower limit
	least, high          float64 // high is the height of the band in units
}

// read measures the drawing of the one track of a strip whose axis is given.
func read(svg template.HTML, s Strip) scales {
	band := painted(svg, "fill", band)[0].points()
	t := s.Tracks[0]
	return scales{
		secondsPerUnit: s.Until.Sub(s.From).Seconds() / (band[1].x - band[0].x), left: band[0].x,
		bqPerUnit: float64(t.Upper.Activity-t.Lower.Activity) / (band[2].y - band[1].y), foot: band[2].y,
		least: float64(t.Lower.Activity), high: band[2].y - band[1].y,
	}
}

// TestCurveAsDrawn measures the curve: at every point of it the activity is
// A·exp(−ln2·t/T½), worked out here on its own. A coordinate is off by 0.005
// units at most: so are the point, the lower limit of the band it is measured
// from, and, twice, the band's height, which is the unit of the measure; and in
// x it is that much along the slope of the curve.
func TestCurveAsDrawn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := oneDose(rapid.SampledFrom([]Form{Wide, Narrow}).Draw(t, "form"))
		s.From = at(0, 0).Add(time.Duration(rapid.IntRange(0, 40000).Draw(t, "from")) * time.Second)
		s.Until = s.From.Add(time.Duration(rapid.IntRange(600, 200000).Draw(t, "axis")) * time.Second)
		s.HalfLife = quantity.Span(rapid.Float64Range(3, 100).Draw(t, "half-life") * 3600)
		a := rapid.Float64Range(1.2e9, 1.45e9).Draw(t, "Bq")
		s.Tracks[0].Dose = Curve{Activity: quantity.Activity(a), At: at(rapid.IntRange(0, 30).Draw(t, "at"), 0)}
		svg := TimeStrip(s)
		lines := painted(svg, "stroke", curve)
		if len(lines) == 0 {
			return // nothing of it is in range
		}
		m := read(svg, s)
		var before point
		for i, p := range lines[0].points() {
			when := s.From.Add(time.Duration((p.x - m.left) * m.secondsPerUnit * float64(time.Second)))
			want := a * math.Exp(-math.Ln2*when.Sub(s.Tracks[0].Dose.At).Seconds()/float64(s.HalfLife))
			got := m.least + (m.foot-p.y)*m.bqPerUnit
			slope := want * math.Ln2 / float64(s.HalfLife) * m.secondsPerUnit
			off := 0.011 + 0.011*math.Abs(m.foot-p.y)/m.high
			if math.Abs(got-want) > off*m.bqPerUnit+0.02*slope {
				t.Fatalf("at %v the curve is drawn at %.6g Bq, want %.6g", when, got, want)
			}
			if i > 0 && (p.x < before.x || p.y < before.y) {
				t.Fatalf("the curve goes back or up, from %v to %v", before, p)
			}
			before = p
		}
	})
}

// TestMarksOfTime: now and the infusion stand where the axis has them, and the
// bar of the valid window ends where it ends.
func TestMarksOfTime(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := oneDose(rapid.SampledFrom([]Form{Wide, Narrow}).Draw(t, "form"))
		s.From, s.Until = at(6, 0), at(18, 0)
		some := func(name string, from, until int) time.Time {
			return at(0, 0).Add(time.Duration(rapid.IntRange(from*3600, until*3600).Draw(t, name)) * time.Second)
		}
		s.Now = some("now", 6, 18)
		track := &s.Tracks[0]
		track.Infusion, track.ValidFrom, track.ValidUntil = some("infusion", 6, 18), some("valid from", 6, 11), some("valid until", 12, 18)
		track.Readings = nil
		svg := TimeStrip(s)
		m := read(svg, s)
		x := func(t time.Time) float64 { return m.left + t.Sub(s.From).Seconds()/m.secondsPerUnit }
		has := func(what string, c colour, want float64) {
			for _, e := range painted(svg, "stroke", c) {
				if p := e.points(); len(p) == 2 && p[0].x == p[1].x && math.Abs(p[0].x-want) < 0.011 {
					return
				}
			}
			t.Fatalf("no line of %s at %.2f in %s", what, want, svg)
		}
		has("now", ink, x(s.Now))
		has("infusion", goal, x(track.Infusion))
		has("valid from", goal, x(track.ValidFrom))
		has("valid until", goal, x(track.ValidUntil))
	})
}

// TestBracketOpensWhereItGoesOn: an end of the bar for an end of the window, an
// arrow for one beyond the axis, and an arrow alone for a window outside it.
func TestBracketOpensWhereItGoesOn(t *testing.T) {
	for _, r := range []struct {
		from, until time.Time
		ends        []float64 // of the bar, as shares of the axis; NaN for an arrow
	}{
		{at(10, 0), at(14, 0), []float64{0.25, 0.75}},
		{at(6, 0), at(14, 0), []float64{math.NaN(), 0.75}},
		{at(10, 0), at(20, 0), []float64{0.25, math.NaN()}},
		{at(6, 0), at(30, 0), []float64{math.NaN(), math.NaN()}},
		{at(8, 0), at(16, 0), []float64{0, 1}},
		{at(17, 0), at(18, 0), nil},
		{at(6, 0), at(7, 0), nil},
	} {
		s := oneDose(Wide)
		s.From, s.Until, s.Tracks[0].Infusion = at(8, 0), at(16, 0), time.Time{}
		s.Tracks[0].ValidFrom, s.Tracks[0].ValidUntil = r.from, r.until
		svg := TimeStrip(s)
		m := read(svg, s)
		width := s.Until.Sub(s.From).Seconds() / m.secondsPerUnit
		below := func(p point) bool { return p.y > m.foot }
		var caps []float64
		for _, e := range painted(svg, "stroke", goal) {
			if p := e.points(); len(p) == 2 && p[0].x == p[1].x && below(p[1]) && p[0].x >= m.left {
				caps = append(caps, math.Round((p[0].x-m.left)/width*1000)/1000)
			}
		}
		arrows := 0
		for _, e := range painted(svg, "fill", goal) {
			if p := e.points(); len(p) == 3 && below(p[0]) {
				arrows++
			}
		}
		var want []float64
		open := 0
		for _, e := range r.ends {
			if math.IsNaN(e) {
				open++
			} else {
				want = append(want, e)
			}
		}
		if r.ends == nil {
			open = 1
		}
		if !slices.Equal(caps, want) || arrows != open {
			t.Errorf("%v to %v: ends at %v, %d arrows, want %v and %d", r.from, r.until, caps, arrows, want, open)
		}
	}
}

// TestCurveByWhatIsKnown: dose before plan, each with a stroke of its own, and words when
// nothing is known.
func TestCurveByWhatIsKnown(t *testing.T) {
	known, plan := Curve{Activity: 1.3e9, At: at(13, 30), Words: "dose"}, Curve{Activity: 1.3e9, At: at(13, 30), Words: "plan"}
	for _, r := range []struct {
		dose        Curve
		dash, words string
	}{
		{known, "", "dose"},
		{Curve{}, "14.00 8.00", "plan"},
		{Curve{Activity: quantity.Activity(math.NaN()), At: at(9, 0)}, "14.00 8.00", "plan"},
		{Curve{Activity: 1e9}, "14.00 8.00", "plan"}, // no time
	} {
		s := oneDose(Wide)
		s.Tracks[0].Dose, s.Tracks[0].Planned = r.dose, plan
		svg := TimeStrip(s)
		lines := painted(svg, "stroke", curve)
		if len(lines) != 1 || lines[0].attr["stroke-dasharray"] != r.dash || len(written(svg, r.words)) != 1 {
			t.Errorf("%v: %v, %q", r, lines, drawnText(svg))
		}
		if by := strings.Contains(drawnText(svg), "by plan valid from"); by != (r.words != "dose") {
			t.Errorf("%s: %q", r.words, drawnText(svg))
		}
	}
	s := oneDose(Wide)
	s.Tracks[0].Dose = Curve{}
	svg := TimeStrip(s)
	if len(painted(svg, "stroke", curve)) != 0 || !strings.Contains(described(svg), "no activity known") {
		t.Errorf("nothing is known, yet %q", described(svg))
	}
}

// TestOutsideTheAxisIsSaid: now and the infusion are put to the edge, with an
// arrow and words.
func TestOutsideTheAxisIsSaid(t *testing.T) {
	for _, r := range []struct {
		now, infusion time.Time
		said          []string
	}{
		{at(7, 0), at(13, 0), []string{"now 07:00, before this axis", "infusion 13:00"}},
		{at(17, 0), at(13, 0), []string{"now 17:00, after this axis", "infusion 13:00"}},
		{at(9, 0), at(17, 0), []string{"now 09:00", "infusion 17:00, after this axis"}},
		{at(9, 0), at(7, 0), []string{"now 09:00", "infusion 07:00, before this axis"}},
	} {
		for _, f := range []Form{Wide, Narrow} {
			s := oneDose(f)
			s.From, s.Until, s.Now, s.Tracks[0].Infusion = at(8, 0), at(16, 0), r.now, r.infusion
			svg := TimeStrip(s)
			for _, said := range r.said {
				if !slices.Contains(strings.Split(drawnText(svg), "\n"), said) {
					t.Errorf("%q is not drawn in %q", said, drawnText(svg))
				}
				if !strings.Contains(strings.ToLower(described(svg)), said) {
					t.Errorf("%q is not described in %q", said, described(svg))
				}
			}
		}
	}
}

// TestLimitAsDrawn: a limit in the range of the plot is a line at its activity, with its
// words; one outside is said in the description alone.
func TestLimitAsDrawn(t *testing.T) {
	s := oneDose(Wide)
	track := &s.Tracks[0]
	track.LimitLow, track.LimitHigh = Level{1040e6, "1.040 GBq"}, Level{1560e6, "1.560 GBq"}
	drawn := func() (ys []float64, svg template.HTML) {
		svg = TimeStrip(s)
		axis := painted(svg, "fill", band)[0].points()[2].y
		for _, e := range painted(svg, "stroke", ink) {
			if p := e.points(); len(p) == 2 && p[0].y == p[1].y && p[0].y < axis {
				ys = append(ys, p[0].y)
			}
		}
		return ys, svg
	}
	if ys, svg := drawn(); len(ys) != 0 || !strings.Contains(string(svg), "limit from 1.040 GBq to 1.560 GBq") || strings.Contains(string(svg), ">limit 1.560 GBq") {
		t.Errorf("far from the dose: lines at %v in %s", ys, svg)
	}
	track.Dose.Activity = 1650e6 // the plot reaches up to it
	ys, svg := drawn()
	m := read(svg, s)
	if want := m.foot - (1560e6-m.least)/m.bqPerUnit; len(ys) != 1 || math.Abs(ys[0]-want) > 0.02 || !strings.Contains(string(svg), ">limit 1.560 GBq") {
		t.Errorf("beyond the upper limit: lines at %v, want %v", ys, want)
	}
}

// TestStripSaysItsFacts: what was handed over is drawn where there is room and
// always described.
func TestStripSaysItsFacts(t *testing.T) {
	for _, f := range []Form{Wide, Narrow} {
		for _, s := range []Strip{oneDose(f), strips(f)["board"], strips(f)["outside"]} {
			svg := TimeStrip(s)
			drawn := strings.ReplaceAll(drawnText(svg), "\n", " ")
			for _, k := range s.Tracks {
				for _, fact := range []string{k.Name, k.Target.Text, k.Lower.Text, k.Upper.Text} {
					if !strings.Contains(drawn, fact) {
						t.Errorf("%s: %q is not drawn in %q", s.ID, fact, drawn)
					}
					if !strings.Contains(described(svg), fact) {
						t.Errorf("%s: %q is not described in %q", s.ID, fact, described(svg))
					}
				}
				for _, r := range k.Readings {
					if !strings.Contains(described(svg), r.Text) {
						t.Errorf("%s: %q is not described", s.ID, r.Text)
					}
				}
			}
			for _, fact := range []string{"valid from 06:13 until 00:44 Fri 5 Mar", "now 11:42", "infusion 13:30", "UTC-01:00", "Thu 4 Mar"} {
				if s.ID == "outside" && strings.HasPrefix(fact, "valid") {
					fact = "valid from 17:14 until 23:50"
				}
				if !strings.Contains(drawn, fact) || !strings.Contains(strings.ToLower(described(svg)), strings.ToLower(fact)) {
					t.Errorf("%s: %q is not drawn in %q or not described in %q", s.ID, fact, drawn, described(svg))
				}
			}
		}
	}
}

// TestReadingsOutsideThePlot are triangles with their text; those inside are
// dots; those of another time are not drawn, only described.
func TestReadingsOutsideThePlot(t *testing.T) {
	s := oneDose(Wide)
	s.Tracks[0].Readings = []Reading{
		{at(11, 0), 1.35e9, "in"},
		{at(11, 5), 3.2e9, "above"},
		{at(11, 10), 1e8, "below"},
		{at(3, 0), 1.3e9, "early"},
		{at(11, 20), quantity.Activity(math.NaN()), "none"},
	}
	s.From, s.Until = at(10, 0), at(16, 0)
	svg := TimeStrip(s)
	dots, triangles := 0, 0
	for _, e := range painted(svg, "fill", ink) {
		switch {
		case e.name == "circle":
			dots++
		case e.name == "polygon" && e.attr["stroke-width"] == "2.00":
			triangles++
		}
	}
	if dots != 1 || triangles != 2 {
		t.Errorf("%d dots and %d triangles", dots, triangles)
	}
	for said, drawn := range map[string]bool{"in": false, "above": true, "below": true, "early": false, "none": false} {
		if (len(written(svg, said)) == 1) != drawn {
			t.Errorf("%q is written %d times", said, len(written(svg, said)))
		}
		if strings.Contains(described(svg), "reading "+said) != (said != "none") {
			t.Errorf("%q in %q", said, described(svg))
		}
	}
}
