package settling

import (
	"cmp"
	"math"

	"vialwright/quantity"
)

// Draw is one aspiration through the needle.
type Draw struct {
	Volume quantity.Volume // 0 asks for the concentration at the tip alone
	Span   quantity.Span   // from first to last drop
}

// Case is everything the model is asked. Every field may be overridden; start
// from Default. U holds the standard uncertainties that MonteCarlo uses. The activity is
// on the surface of the spheres: a published table of resin spheres has the nuclide
// "attached to the surface" (World J Hepatol 7(5):738, 2015, table 1).
type Case struct {
	Temperature quantity.Temperature // of the liquid, 1 C to 60 C
	Volume      quantity.Volume      // of the suspension, spheres included
	Count       float64              // number of spheres; or else
	Mass        quantity.Mass        // mass of the spheres; exactly one of the two
	Density     Density              // of the spheres
	Sizes       Sizes
	Packing     quantity.Fraction // phi_max, solids fraction of the settled bed
	Vessel      Vessel
	Tip         quantity.Length // needle tip above the lowest point
	Draw        Draw
	Tolerance   quantity.Fraction // allowed deviation of the drawn concentration from nominal
	Span        quantity.Span     // time since agitation that is worked out
	Points      int               // times in Result.Track, evenly spread over Span
	Cells       int               // cells of the column, 20 or more
	Classes     int               // size classes, 1 or more
	U           Uncertainties

	shift float64 // added to n by MonteCarlo
}

// Uncertainties are standard uncertainties (JCGM 100) of the inputs of a Case,
// taken as independent; a zero leaves its input fixed.
type Uncertainties struct {
	Temperature quantity.Temperature
	Volume      quantity.Volume
	Solids      quantity.Fraction // relative, of Count or Mass
	Density     Density
	Mean, SD    quantity.Length
	Exponent    float64 // of n
	Packing     quantity.Fraction
	Bore        quantity.Fraction // relative, of all inner diameters
	Tip         quantity.Length
	DrawSpan    quantity.Span
}

// Default is a vial of resin spheres in 5 mL of water at 20 C, needle tip 5 mm
// above the floor, 2 mL drawn in 10 s.
//
//	spheres    60e6, between 40e6 and 80e6 per 3 GBq (Hepatic Oncol 1:265, 2014,
//	           doi 10.2217/hep.14.6, table 3); 20e6/sqrt(3) as uncertainty
//	density    1.6 g/cm3 (same table), read as 1.55 to 1.65
//	diameter   20 to 60 um, number mean 32.5 um (World J Hepatol 7(5):738, 2015,
//	           table 1; Cardiovasc Intervent Radiol 42:1240, 2019, table 4 has
//	           32 um); the standard deviation of 5 um is an assumption, no source
//	exponent   4.65 (Richardson and Zaki 1954); uncertainty 0.10, so that the
//	           modern fit 4.48 +/- 0.04 lies within two of them
//	packing    0.60 +/- 0.02: between the loose and the close random packing of
//	           equal spheres, 0.555 and 0.64 (values from memory, not seen:
//	           Onoda and Liniger 1990; Scott 1960)
//	vial       flat bottom, 18 mm bore; an assumption, no source: measure yours
//	volume     5 mL (common practice, no source)
func Default() Case {
	const um, mm = quantity.Micrometre, quantity.Millimetre
	return Case{
		Temperature: 20, Volume: 5, Count: 60e6, Density: 1.6,
		Sizes:   Sizes{Mean: 32.5 * um, SD: 5 * um, Min: 20 * um, Max: 60 * um},
		Packing: 0.60, Vessel: Cylinder(18 * mm), Tip: 5 * mm,
		Draw: Draw{Volume: 2, Span: 10}, Tolerance: 5 * quantity.Percent,
		Span: 5 * quantity.Minute, Points: 301, Cells: 400, Classes: 12,
		U: Uncertainties{
			Temperature: 1, Volume: 0.1, Solids: 0.19, Density: 0.03, Mean: 1 * um, SD: 1.5 * um,
			Exponent: 0.10, Packing: 0.02, Bore: 0.01, Tip: 0.5 * mm, DrawSpan: 2,
		},
	}
}

// check goes down the inputs in the order of Case; the first that is wrong is
// named. What needs the geometry is checked in prepare.
func (c *Case) check() error {
	return cmp.Or(
		bound("Temperature", c.Temperature, 1, 60, "C", "give the temperature of the liquid, not of the room's thermostat"),
		bound("Volume", c.Volume, 0.1, 100, "mL", "give the volume of the suspension"),
		when(c.Count == 0 && c.Mass == 0, "Count", "neither a number nor a mass of spheres is given", "give the number of spheres or their mass"),
		when(c.Count != 0 && c.Mass != 0, "Mass", "both a number and a mass of spheres are given", "give the number of spheres or their mass"),
		bound("Count", c.Count, 0, 1e12, "spheres", "some tens of millions are usual"),
		bound("Mass", c.Mass, 0, 1000, "g", "about 1 g to 2 g is usual"),
		bound("Density", c.Density, 1.001, 20, "g/cm3", "resin spheres: 1.6"),
		bound("Packing", c.Packing, 0.4, 0.74, "solids", "0.55 to 0.64 is usual for spheres"),
		bound("Tolerance", 100*float64(c.Tolerance), 0.01, 50, "%", "a few per cent are usual"),
		bound("Span", c.Span, 1, 36000, "s", "all spheres have settled after a few minutes"),
		bound("Points", c.Points, 2, 10000, "points", "one a second is usual"),
		bound("Cells", c.Cells, 20, 10000, "cells", "400 is usual"),
		c.Vessel.check(),
	)
}

// checkDraw needs the level of the liquid.
func (c *Case) checkDraw(s *shape) error {
	return cmp.Or(
		bound("Draw.Volume", c.Draw.Volume, 0, float64(c.Volume), "mL", "draw no more than there is"),
		bound("Draw.Span", c.Draw.Span, 0, 3600, "s", "give the time from first to last drop"),
		bound("Tip", c.Tip, 0, s.level, "mm", "the tip lies between the lowest point and the surface"),
		when(1000*float64(c.Draw.Volume) > s.volume-s.below(float64(c.Tip)), "Draw.Volume", "the surface would sink below the needle tip and air be drawn", "draw less or lower the tip"),
	)
}

// model is a checked case with everything that follows from it.
type model struct {
	Case
	fluid  Fluid
	v, phi []float64 // by class
	carry  []float64 // activity of a class over its fraction, so that sum carry phi = 1 when fresh
	solids float64   // phi_0
	mass   float64   // g
	n      float64   // exponent
	shape  shape
	tip    float64 // volume under the tip over the liquid's volume
}

func (c Case) prepare() (*model, error) {
	if err := c.check(); err != nil {
		return nil, err
	}
	m := &model{Case: c, shape: c.Vessel.fill(c.Volume)}
	if err := c.checkDraw(&m.shape); err != nil {
		return nil, err
	}
	m.tip = m.shape.below(float64(c.Tip)) / m.shape.volume
	var err error
	if m.fluid, err = Water(c.Temperature); err != nil {
		return nil, err
	}
	classes, ball, err := c.Sizes.Split(c.Classes)
	if err != nil {
		return nil, err
	}
	// phi_0 = N <pi d^3/6> / V, or M / (rho_p V)
	m.solids = c.Count * float64(ball/c.Volume)
	m.mass = c.Count * float64(ball) * float64(c.Density)
	if c.Mass > 0 {
		m.solids, m.mass = float64(c.Mass)/(float64(c.Density)*float64(c.Volume)), float64(c.Mass)
	}
	if !inside(m.solids, 1e-7, 0.9*float64(c.Packing)) {
		return nil, domain("Count", 100*m.solids, 1e-5, 90*float64(c.Packing), "% solids by volume",
			"check the number or mass of spheres, their size and the volume")
	}
	return m, m.fall(classes)
}

// fall finds the terminal velocities and the exponent, which is taken at the
// Reynolds number of the volume-mean class and shared by all: the closure
// carries one.
func (m *model) fall(classes []Class) error {
	mean := 0.0
	for _, k := range classes {
		f, err := Terminal(k.Diameter, m.Density, m.fluid)
		if err != nil {
			return err
		}
		if f.Reynolds > 1 {
			return domain("Sizes", f.Reynolds, 0, 1, "(Reynolds number)", "the hindered-settling closure is for creeping flow")
		}
		m.v = append(m.v, float64(f.Velocity))
		m.phi = append(m.phi, m.solids*float64(k.Volume))
		m.carry = append(m.carry, float64(k.Surface)/(m.solids*float64(k.Volume)))
		mean += float64(k.Volume) * f.Reynolds
	}
	m.n = math.Max(exponent(mean)+m.shift, 2.01)
	return nil
}

// column is a freshly agitated column of so many cells.
func (m *model) column(cells int) *column {
	return newColumn(&m.shape, cells, m.v, m.phi, m.n, float64(m.Packing))
}

// aligned gives the number of cells, at least want and at most a tenth more,
// for which the needle tip comes closest to the face between two cells: all
// that stands above the tip is then whole cells.
func (m *model) aligned(want int) int {
	best, nearest := want, 1.0
	for j := want; j <= want+want/10; j++ {
		x := m.tip * float64(j)
		if off := math.Abs(x - math.Round(x)); off < nearest-1e-12 {
			best, nearest = j, off
		}
	}
	return best
}

// relative turns class fractions into activity concentration over nominal.
func (m *model) relative(phi []float64) float64 {
	sum := 0.0
	for i, p := range phi {
		sum += p * m.carry[i]
	}
	return sum
}
