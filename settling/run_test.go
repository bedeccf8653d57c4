package settling

import (
	"errors"
	"math"
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"vialwright/quantity"
)

// One sphere of 32 um falls 0.33 mm/s; 60e6 equal spheres of 32.5 um in 5 mL
// are a fraction of 0.216 and their clear line falls 0.11 mm/s (Schiller and
// Naumann with Richardson and Zaki, worked out independently).
func TestRunEqualSpheresFullVial(t *testing.T) {
	c := Default()
	c.Sizes.SD = 0
	r, err := Run(c)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "solids fraction", float64(r.Solids), 0.2157, 5e-4)
	near(t, "mass in g", float64(r.Mass), 1.726, 1e-3)
	m, err := c.prepare()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "free fall, mm/s", m.v[0], 0.3434, 1e-3)
	want := m.v[0] * math.Pow(1-float64(r.Solids), 4.65)
	near(t, "hindered fall, mm/s", slip(m.v, m.phi, m.n)[0], want, 1e-12)
	near(t, "hindered fall, mm/s", want, 0.11, 0.02)
	// Read off the track: the line stands where a twentieth of the solids is
	// left, a few cells of 0.05 mm above the middle of the front.
	speed := float64(r.At(10).Clear-r.At(50).Clear) / 40
	near(t, "clear line, mm/s", speed, want, 0.01)
}

// 26 million equal spheres of 32.5 um, a dose of 1.30 GBq at the reference time at
// nominally 50 Bq each, are 0.467328 mL and at 1.6 g/cm3 0.747725 g: pi d^3/6 is
// 1.797416e-8 mL, worked out by hand.
func TestSolidsOfADose(t *testing.T) {
	c := Default()
	c.Sizes.SD, c.Count = 0, 26e6
	r, err := Run(c)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "solids in mL", float64(r.Solids)*float64(c.Volume), 0.467328, 1e-5)
	near(t, "mass in g", float64(r.Mass), 0.747725, 1e-5)
}

// A third-party figure of 1.37 g for one activity is a fraction of 0.17.
func TestRunByMass(t *testing.T) {
	c := Default()
	c.Count, c.Mass = 0, 1.37
	r, err := Run(c)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "solids fraction", float64(r.Solids), 0.17125, 1e-12)
	near(t, "mass in g", float64(r.Mass), 1.37, 1e-12)
}

func TestRunNamesTheWrongInput(t *testing.T) {
	nan := math.NaN()
	for _, row := range []struct {
		input  string
		change func(*Case)
	}{
		{"Temperature", func(c *Case) { c.Temperature = 0 }},
		{"Temperature", func(c *Case) { c.Temperature = quantity.Temperature(nan) }},
		{"Volume", func(c *Case) { c.Volume = 0 }},
		{"Count", func(c *Case) { c.Count = 0 }},
		{"Count", func(c *Case) { c.Count = nan }},
		{"Count", func(c *Case) { c.Count = -1 }},
		{"Count", func(c *Case) { c.Count = 6e8 }}, // more than fits
		{"Mass", func(c *Case) { c.Mass = 1 }},
		{"Mass", func(c *Case) { c.Count, c.Mass = 0, -1 }},
		{"Density", func(c *Case) { c.Density = 0.9 }},
		{"Sizes.Mean", func(c *Case) { c.Sizes.Mean = 32.5 }}, // millimetres for micrometres
		{"Sizes.SD", func(c *Case) { c.Sizes.SD = -1 }},
		{"Sizes", func(c *Case) { c.Sizes, c.Count = Sizes{Mean: 0.3}, 1e5 }}, // Re above 1
		{"Classes", func(c *Case) { c.Classes = 65 }},
		{"Packing", func(c *Case) { c.Packing = 60 }},
		{"Vessel.Sections", func(c *Case) { c.Vessel = Vessel{} }},
		{"Vessel.Sections.Top", func(c *Case) { c.Vessel = Cylinder(0) }},
		{"Vessel.Sections.Bottom", func(c *Case) { c.Vessel = Tapered(-1, 18, 10) }},
		{"Vessel.Sections.Height", func(c *Case) { c.Vessel = VBottom(18, 0) }},
		{"Vessel.Sections.Top", func(c *Case) { c.Vessel = Tapered(10, 500, 10) }},
		{"Tip", func(c *Case) { c.Tip = 25 }},
		{"Draw.Volume", func(c *Case) { c.Draw.Volume = 5.1 }},
		{"Draw.Volume", func(c *Case) { c.Draw.Volume = 4 }}, // draws air
		{"Draw.Span", func(c *Case) { c.Draw.Span = -1 }},
		{"Tolerance", func(c *Case) { c.Tolerance = 5 }},
		{"Span", func(c *Case) { c.Span = 0 }},
		{"Points", func(c *Case) { c.Points = 1 }},
		{"Cells", func(c *Case) { c.Cells = 10 }},
	} {
		c := Default()
		row.change(&c)
		var e *Error
		if _, err := Run(c); !errors.As(err, &e) || e.Input != row.input {
			t.Errorf("want a refusal of %s, got %v", row.input, err)
		} else if e.Msg == "" || e.Hint == "" {
			t.Errorf("%s: sentence or hint is missing: %#v", row.input, e)
		}
	}
}

func drawCase(t *rapid.T) Case {
	c := Default()
	c.Temperature = quantity.Temperature(rapid.Float64Range(5, 40).Draw(t, "C"))
	c.Count = rapid.Float64Range(1e5, 80e6).Draw(t, "spheres")
	c.Sizes.SD = quantity.Length(rapid.Float64Range(0, 6e-3).Draw(t, "sd"))
	c.Vessel = drawVessel(t)
	s := c.Vessel.fill(c.Volume)
	c.Tip = quantity.Length(s.level * rapid.Float64Range(0, 0.999).Draw(t, "tip"))
	c.Draw.Volume = quantity.Volume(0.99 * (s.volume - s.below(float64(c.Tip))) / 1000 * rapid.Float64Range(0, 1).Draw(t, "draw"))
	c.Draw.Span = quantity.Span(rapid.Float64Range(0, 30).Draw(t, "draw span"))
	c.Cells, c.Classes, c.Points = rapid.IntRange(20, 60).Draw(t, "cells"), rapid.IntRange(1, 8).Draw(t, "classes"), 31
	return c
}

// Any case: the first point is evenly mixed; heights stay in the vessel, the
// bed below the clear line; no concentration is negative; nothing is lost; in
// a cylinder the line never rises and the bed never sinks; the draw window is
// what it says.
func TestRunProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawCase(t)
		r, err := Run(c)
		if err != nil {
			t.Fatal(err)
		}
		first := r.Track[0]
		if abs(float64(first.Tip)-1) > 1e-9 || abs(float64(first.Clear-r.Level)) > 1e-7 || first.Bed > 1e-9 {
			t.Fatalf("begins with tip %v, clear %v of %v, bed %v", first.Tip, first.Clear, r.Level, first.Bed)
		}
		if off, err := imbalance(c); err != nil || abs(off) > 1e-12 {
			t.Fatalf("out of balance by %v, %v", off, err)
		}
		cell := float64(r.Level) / float64(c.Cells)
		for k, p := range r.Track {
			if !(p.Bed >= 0 && float64(p.Bed) <= float64(p.Clear)+2*cell && p.Clear <= r.Level+1e-7) {
				if reflect.DeepEqual(c.Vessel, Cylinder(c.Vessel.Sections[0].Top)) {
					t.Fatalf("at %v: bed %v, clear %v", p.At, p.Bed, p.Clear)
				}
			}
			for _, x := range append(p.Layers, float64(p.Tip)) {
				if !(x >= 0 && x < 1e7) {
					t.Fatalf("at %v: concentration %v", p.At, x)
				}
			}
			if k > 0 && reflect.DeepEqual(c.Vessel, Cylinder(c.Vessel.Sections[0].Top)) {
				before := r.Track[k-1]
				// The line never rises in the liquid. In the cell on top of the bed the last
				// spheres to come down are part of the bed, and only their mean over that cell is
				// known: there it may rise by as much as the cell.
				rise := 1e-6
				if float64(p.Clear) < float64(p.Bed)+2*cell {
					rise = cell
				}
				if float64(p.Clear) > float64(before.Clear)+rise || float64(p.Bed) < float64(before.Bed)-cell {
					t.Fatalf("at %v: clear %v after %v, bed %v after %v", p.At, p.Clear, before.Clear, p.Bed, before.Bed)
				}
			}
		}
		w := r.Window
		if w.State == Closes != (w.Exit != NoExit && w.Until > 0) && w.State != NeverOpen {
			t.Fatalf("window %+v", w)
		}
		for k, d := range w.Drawn {
			out := abs(float64(d.Mean)-1) > float64(c.Tolerance)
			last := k == len(w.Drawn)-1
			if out && !last || w.State != NeverOpen && last && out != (w.State == Closes && w.Exit != BedAtTip) {
				t.Fatalf("window %+v: draw %d is out: %v", w, k, out)
			}
			if k > 0 && d.Start <= w.Drawn[k-1].Start {
				t.Fatalf("draws begin at %v and then at %v", w.Drawn[k-1].Start, d.Start)
			}
		}
	})
}

// A draw begun at the end of the window is just within tolerance.
func TestWindowEndsAtTolerance(t *testing.T) {
	for _, tip := range []quantity.Length{5, 8, 10} {
		c := Default()
		c.Tip = tip
		r, err := Run(c)
		if err != nil {
			t.Fatal(err)
		}
		mean, err := Drawn(c, r.Window.Until)
		if err != nil {
			t.Fatal(err)
		}
		if r.Window.Exit != TooThin || abs(float64(mean)-0.95) > 0.002 {
			t.Errorf("tip %v: window %v, exit %v, mean %v", tip, r.Window.Until, r.Window.Exit, mean)
		}
	}
}

// The window does not hang on the grid or the number of classes by more than
// 2 %, nor the bed's arrival.
func TestWindowConverges(t *testing.T) {
	for _, tip := range []quantity.Length{3, 5, 8, 10} {
		base := Default()
		base.Tip = tip
		fine := base
		fine.Cells, fine.Classes = 1200, 32
		at := func(c Case) float64 {
			m, err := c.prepare()
			if err != nil {
				t.Fatal(err)
			}
			return float64(m.window(c.Cells).Until)
		}
		near(t, "window", at(base), at(fine), 0.02)
	}
}

// A deeper tip meets the bed, a higher one the clear line; tolerance, colder
// water and a quicker draw lengthen the window.
func TestWindowMovesTheRightWay(t *testing.T) {
	at := func(change func(*Case)) Window {
		c := Default()
		c.Cells = 200
		change(&c)
		r, err := Run(c)
		if err != nil {
			t.Fatal(err)
		}
		return r.Window
	}
	base := at(func(*Case) {})
	if base.State != Closes || base.Exit != TooThin {
		t.Fatalf("base %+v", base)
	}
	for name, change := range map[string]func(*Case){
		"tolerance": func(c *Case) { c.Tolerance = 0.10 },
		"cold":      func(c *Case) { c.Temperature = 10 },
		"quick":     func(c *Case) { c.Draw.Span = 3 },
	} {
		if w := at(change); w.Until <= base.Until {
			t.Errorf("%s: window %v, base %v", name, w.Until, base.Until)
		}
	}
	if w := at(func(c *Case) { c.Tip = 1 }); w.Exit != BedAtTip {
		t.Errorf("low tip: %+v", w.Exit)
	}
	if w := at(func(c *Case) { c.Tip, c.Draw.Volume = 19.5, 0.02 }); w.State != NeverOpen || w.Exit != TooThin {
		t.Errorf("tip at the surface: %+v", w)
	}
	if w := at(func(c *Case) { c.Tip, c.Draw.Volume = 0, 5 }); w.State != NeverOpen || w.Exit != BedAtTip {
		t.Errorf("all drawn from the floor: %+v", w)
	}
	if w := at(func(c *Case) { c.Span = 5 }); w.State != StaysOpen {
		t.Errorf("five seconds: %+v", w)
	}
}

func BenchmarkRun(b *testing.B) {
	c := Default()
	for b.Loop() {
		if _, err := Run(c); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkMonteCarlo(b *testing.B) {
	c := Default()
	for b.Loop() {
		if _, err := MonteCarlo(c, 100, 1); err != nil {
			b.Fatal(err)
		}
	}
}
