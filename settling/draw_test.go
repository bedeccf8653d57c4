package settling

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// A draw of whole cells takes exactly what is then missing, by class.
func TestDrawTakesWhatIsMissing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v0, phi := drawClasses(t, 0.5)
		s := drawVessel(t).fill(5)
		cells := rapid.IntRange(20, 80).Draw(t, "cells")
		c := newColumn(&s, cells, v0, phi, 4.65, 0.6)
		c.advance(rapid.Float64Range(0, 100).Draw(t, "before"))
		volume := rapid.IntRange(1, cells).Draw(t, "volume")
		k := rapid.IntRange(0, cells-1).Draw(t, "outlet")
		mean := c.draw(k, float64(volume), rapid.Float64Range(0, 30).Draw(t, "span"))
		if c.cells != cells-volume {
			t.Fatalf("%d of %d cells left after a draw of %d", c.cells, cells, volume)
		}
		check(t, c, 0.6)
		for i := range phi {
			left := 0.0
			for j := range c.cells {
				left += c.phi[j*c.n+i]
			}
			if want := phi[i] * float64(cells); abs(left+mean[i]*float64(volume)-want) > 1e-11*want {
				t.Fatalf("class %d: %v left, %v drawn, of %v", i, left, mean[i]*float64(volume), want)
			}
		}
	})
}

// Drawing everything gives the nominal concentration, whatever has settled.
func TestDrawOfEverythingIsNominal(t *testing.T) {
	m, err := Default().prepare()
	if err != nil {
		t.Fatal(err)
	}
	c := m.column(100)
	c.advance(40)
	near(t, "mean of all", m.relative(c.draw(0, 100, 15)), 1, 1e-12)
}

// A draw without settling, at once, is nominal; the column drawn from is not
// the one cloned.
func TestDrawAtOnceIsNominal(t *testing.T) {
	m, err := Default().prepare()
	if err != nil {
		t.Fatal(err)
	}
	c := m.column(200)
	near(t, "mean", m.relative(c.clone().draw(int(math.Round(m.tip*200)), 77.3, 0)), 1, 1e-12)
	near(t, "untouched", c.solids()/200, m.solids, 1e-12)
	c.advance(30)
	d := c.clone()
	d.draw(int(math.Round(m.tip*200)), 77.3, 10)
	if d.cells != 123 || c.cells != 200 {
		t.Errorf("%d and %d cells", d.cells, c.cells)
	}
}
