package settling

import (
	"errors"
	"math"
	"testing"

	"vialwright/quantity"
)

// Whatever is typed in, Run gives a sound result or names the wrong input.
func FuzzRun(f *testing.F) {
	f.Add(20.0, 5.0, 60e6, 1.6, 32.5, 5.0, 0.6, 18.0, 5.0, 2.0, 10.0, 0.05, uint8(40), uint8(0))
	f.Add(37.0, 3.0, 1e6, 1.6, 30.0, 0.0, 0.55, 12.5, 0.0, 2.0, 0.0, 0.1, uint8(20), uint8(1))
	f.Add(5.0, 0.1, 1e3, 3.2, 25.0, 3.0, 0.74, 1.0, 0.0, 0.1, 60.0, 0.01, uint8(90), uint8(2))
	f.Add(60.0, 100.0, 1e9, 1.002, 59.0, 9.0, 0.4, 30.0, 10.0, 0.0, 1.0, 0.5, uint8(33), uint8(3))
	f.Fuzz(func(t *testing.T, celsius, ml, count, rho, mean, sd, packing, bore, tip, draw, span, tol float64, cells, shape uint8) {
		c := Default()
		c.Temperature, c.Volume, c.Count, c.Density = quantity.Temperature(celsius), quantity.Volume(ml), count, Density(rho)
		c.Sizes.Mean, c.Sizes.SD = quantity.Length(mean)*quantity.Micrometre, quantity.Length(sd)*quantity.Micrometre
		c.Packing, c.Tolerance = quantity.Fraction(packing), quantity.Fraction(tol)
		c.Vessel = [...]Vessel{
			Cylinder(quantity.Length(bore)), VBottom(quantity.Length(bore), 9), Tapered(4, quantity.Length(bore), 12),
		}[shape%3]
		c.Tip, c.Draw = quantity.Length(tip), Draw{quantity.Volume(draw), quantity.Span(span)}
		c.Cells, c.Classes, c.Points, c.Span = 20+int(cells)%60, 1+int(cells)%6, 11, 60
		r, err := Run(c)
		var e *Error
		switch {
		case err == nil:
		case !errors.As(err, &e) || e.Input == "" || e.Msg == "" || e.Hint == "":
			t.Fatalf("refused without saying what is wrong: %#v", err)
		default:
			return
		}
		if off, err := imbalance(c); err != nil || !(math.Abs(off) < 1e-10) {
			t.Fatalf("imbalance %v, %v", off, err)
		}
		if !(r.Window.Until >= 0 && r.Window.Until <= c.Span) || r.Window.State == 0 {
			t.Fatalf("window %+v", r.Window)
		}
		for _, p := range r.Track {
			if !(p.Tip >= 0 && p.Bed >= 0 && p.Clear >= 0 && p.Clear <= r.Level*(1+1e-9)) {
				t.Fatalf("%+v", p)
			}
		}
	})
}

// Readings of any kind are fitted or refused.
func FuzzFitReadings(f *testing.F) {
	f.Add(3e9, -0.04, 70.0, 5e6, 600.0)
	f.Add(1.0, 0.0, 1.0, 1.0, 3.0)
	f.Fuzz(func(t *testing.T, b, a, tau, u, last float64) {
		var rs []Reading
		for k := range 8 {
			at := last * float64(k) / 7
			rs = append(rs, Reading{quantity.Span(at), quantity.Activity(b * (1 - a*math.Expm1(-at/tau))), quantity.Activity(u)})
		}
		s, err := FitReadings(rs)
		if err != nil {
			var e *Error
			if !errors.As(err, &e) {
				t.Fatal(err)
			}
			return
		}
		factor, uf, err := s.Correction(s.Last / 2)
		if err != nil || !(factor > 0) || !(uf >= 0) || math.IsInf(float64(factor+uf), 0) {
			t.Fatalf("%+v: %v +/- %v, %v", s, factor, uf, err)
		}
	})
}
