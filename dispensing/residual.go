package dispensing

import (
	"fmt"
	"math"
	"time"

	"vialwright/nuclide"
	"vialwright/quantity"
)

// ResidualError says why two dose-rate readings give no residual. Code is
// stable; Field is "before" or "after".
type ResidualError struct{ Code, Field, Msg, Hint string }

func (e *ResidualError) Error() string { return e.Msg }

// Rates is a reading of dose rates as they were written. A background of 0 has the finer step of
// the two, since a bare 0 shows none.
func Rates(at time.Time, rates []quantity.Stated[quantity.MeterRate], background quantity.Stated[quantity.MeterRate]) DoseReading {
	out := DoseReading{At: at, Background: background.Value, BackgroundStep: background.Step(), Family: quantity.Family(background)}
	for _, r := range rates {
		if out.Unit == "" {
			_, out.Unit = r.Split()
		}
		out.Rates = append(out.Rates, r.Value)
		out.Resolution = max(out.Resolution, r.Step())
	}
	if out.Background == 0 {
		out.BackgroundStep = min(out.BackgroundStep, out.Resolution)
	}
	return out
}

// Mean is the mean net rate over the directions read, with the standard
// uncertainty that the display's resolution and the scatter of the directions
// give it, both in the unit of its family.
//
//	u² = δ²/(12·n) + δ_B²/12 + s²/n
//
// δ is the display step and δ_B that of the background, n the number of directions,
// s the standard deviation of the directions (JCGM 100:2008
// F.2.2.1: a reading rounded to δ has u = δ/√12; 4.2.3 for s²/n).
func (d DoseReading) Mean() (net, u quantity.MeterRate) {
	var sum float64
	for _, r := range d.Rates {
		sum += float64(r)
	}
	n := float64(len(d.Rates))
	scatter := 0.0
	for _, r := range d.Rates {
		scatter += sq(float64(r) - sum/n)
	}
	if n > 1 {
		scatter /= (n - 1) * n
	}
	return quantity.MeterRate(sum/n) - d.Background, quantity.MeterRate(math.Sqrt(sq(float64(d.Resolution))/(12*n) + sq(float64(d.BackgroundStep))/12 + scatter))
}

// leastNoise is what two dose rates of one thing differ by at least, of one another
// (common practice, no source).
const leastNoise = 0.05

// ResidualFraction is the fraction of a dose that is residual, by dose
// rate in one geometry before and after, and its standard uncertainty:
//
//	f = (R2 − B2)/(R1 − B1) · exp(λ(t2 − t1))
//	u(f)² = f²·[(u1/N1)² + g²] + (e^{λΔt}·u2/N1)²   (JCGM 100:2008, 5.1.2)
//
// g is the relative standard uncertainty of the geometry: waste is spread,
// the vial was a point (Ebbers et al., CVIR 43 (2020) 1378 found survey-meter
// residuals substantially wrong). An after reading below background gives 0, and one that is
// above all there was by no more than the noise of meter and geometry, twice g or 10 %, gives 1
// with that uncertainty: nothing is shown to have left.
// Refused: no reading, two families of units, a baseline not above background, a second reading
// before the first, more left than there was beyond that noise.
func ResidualFraction(before, after DoseReading, halfLife quantity.Span, g quantity.Fraction) (f, u float64, err error) {
	if len(before.Rates) == 0 || len(after.Rates) == 0 {
		return 0, 0, &ResidualError{"residual-incomplete", "before", "a residual needs a reading before and one after", "enter both readings"}
	}
	if before.Family != after.Family {
		return 0, 0, &ResidualError{
			"two-units", "after", "the reading before is in " + quantity.Shown(before.Family) + " and the one after in " + quantity.Shown(after.Family) + ", and one does not turn into the other",
			"read both with one meter, and write both in one unit",
		}
	}
	n1, u1 := before.Mean()
	n2, u2 := after.Mean()
	if n1 <= 0 {
		return 0, 0, &ResidualError{"baseline-below-background", "before", "the reading before is not above its background", "check the reading, its unit and the background"}
	}
	if after.At.Before(before.At) {
		return 0, 0, &ResidualError{"residual-backwards", "after", "the reading after lies before the reading before", "check the two times"}
	}
	growth := 1 / nuclide.Factor(halfLife, nuclide.Elapsed(before.At, after.At))
	f = max(0, float64(n2/n1)*growth)
	noise := max(float64(g), leastNoise)
	switch {
	case f > 1+2*noise:
		return 0, 0, &ResidualError{
			"residual-above-baseline", "after",
			fmt.Sprintf("the residual would be %.4g %% of the dose, more than there was, and than two readings differ by: twice the uncertainty of the geometry, or 10 %% (%s)", 100*f, thumbRule),
			"check both readings, their units and their geometry",
		}
	case f > 1:
		return 1, noise, nil
	}
	own := math.Hypot(f*float64(u1/n1), growth*float64(u2/n1))
	return f, math.Hypot(own, f*float64(g)), nil
}
