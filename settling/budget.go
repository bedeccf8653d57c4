package settling

import (
	"math"
	"math/rand/v2"
	"slices"

	"vialwright/quantity"
)

// input is one uncertain input of a Case.
type input struct {
	u    func(*Case) float64
	move func(*Case, float64) // by an amount in the unit of u
}

var inputs = []input{
	{
		func(c *Case) float64 { return float64(c.U.Temperature) },
		func(c *Case, d float64) { c.Temperature += quantity.Temperature(d) },
	},
	{
		func(c *Case) float64 { return float64(c.U.Volume) },
		func(c *Case, d float64) { c.Volume += quantity.Volume(d) },
	},
	{
		func(c *Case) float64 { return float64(c.U.Solids) },
		func(c *Case, d float64) { c.Count *= 1 + d; c.Mass *= quantity.Mass(1 + d) },
	},
	{
		func(c *Case) float64 { return float64(c.U.Density) },
		func(c *Case, d float64) { c.Density += Density(d) },
	},
	{
		func(c *Case) float64 { return 1e3 * float64(c.U.Mean) },
		func(c *Case, d float64) { c.Sizes.Mean += quantity.Length(1e-3 * d) },
	},
	{
		func(c *Case) float64 { return 1e3 * float64(c.U.SD) },
		func(c *Case, d float64) { c.Sizes.SD = max(c.Sizes.SD+quantity.Length(1e-3*d), 0) },
	},
	{
		func(c *Case) float64 { return c.U.Exponent },
		func(c *Case, d float64) { c.shift += d },
	},
	{
		func(c *Case) float64 { return float64(c.U.Packing) },
		func(c *Case, d float64) { c.Packing += quantity.Fraction(d) },
	},
	{
		func(c *Case) float64 { return float64(c.U.Bore) },
		func(c *Case, d float64) { c.Vessel = c.Vessel.widen(1 + d) },
	},
	{
		func(c *Case) float64 { return float64(c.U.Tip) },
		func(c *Case, d float64) { c.Tip = max(c.Tip+quantity.Length(d), 0) },
	},
	{
		func(c *Case) float64 { return float64(c.U.DrawSpan) },
		func(c *Case, d float64) { c.Draw.Span = max(c.Draw.Span+quantity.Span(d), 0) },
	},
}

// widen multiplies all inner diameters.
func (v Vessel) widen(by float64) Vessel {
	v.Sections = slices.Clone(v.Sections)
	for i := range v.Sections {
		v.Sections[i].Bottom *= quantity.Length(by)
		v.Sections[i].Top *= quantity.Length(by)
	}
	return v
}

// Spread is the distribution of the draw window over uncertain inputs.
type Spread struct {
	Trials int           // 20 or more
	Safe   quantity.Span // the window is at least this long with 95 % probability
}

// MonteCarlo propagates the uncertainties of c, as independent normal
// distributions, through the model (JCGM 101:2008). A trial that leaves an
// input's domain is drawn again. Trials run on a quarter of the cells, which
// moves a window by a few per cent at most. The same seed gives the same
// answer.
func MonteCarlo(c Case, trials int, seed uint64) (Spread, error) {
	windows, err := c.windows(trials, seed)
	if err != nil {
		return Spread{}, err
	}
	return Spread{trials, atLeast(windows, 0.05)}, nil
}

// windows are those of the trials, the shortest first.
func (c Case) windows(trials int, seed uint64) ([]quantity.Span, error) {
	if !inside(float64(trials), 20, 1e6) {
		return nil, domain("trials", float64(trials), 20, 1e6, "trials", "a few hundred are enough")
	}
	if _, err := c.prepare(); err != nil {
		return nil, err
	}
	cells := max(c.Cells/4, 80)
	rng := rand.New(rand.NewPCG(seed, 0x7365_7474_6c65))
	windows := make([]quantity.Span, 0, trials)
	for tries := 0; len(windows) < trials; tries++ {
		if tries > 10*trials {
			return nil, &Error{"U", "most trials leave the domain of the model", "make the uncertainties smaller"}
		}
		moved := c
		for _, in := range inputs {
			in.move(&moved, in.u(&c)*rng.NormFloat64())
		}
		if t, err := moved.prepare(); err == nil {
			windows = append(windows, t.window(cells).Until)
		}
	}
	slices.Sort(windows)
	return windows, nil
}

// atLeast is what all but a part p of the windows reach (JCGM 101:2008, 7.7).
func atLeast(windows []quantity.Span, p float64) quantity.Span {
	return windows[max(int(math.Ceil(p*float64(len(windows))))-1, 0)]
}
