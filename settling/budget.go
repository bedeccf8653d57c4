package settling

import (
	"math"
	"math/rand/v2"
	"slices"

	"vialwright/quantity"
)

// input is one uncertain input of a Case.
type input struct {
	name, unit string
	value, u   func(*Case) float64
	move       func(*Case, float64) // by an amount in unit
}

var inputs = []input{
	{
		"temperature of the liquid", "C",
		func(c *Case) float64 { return float64(c.Temperature) },
		func(c *Case) float64 { return float64(c.U.Temperature) },
		func(c *Case, d float64) { c.Temperature += quantity.Temperature(d) },
	},
	{
		"volume of suspension", "mL",
		func(c *Case) float64 { return float64(c.Volume) },
		func(c *Case) float64 { return float64(c.U.Volume) },
		func(c *Case, d float64) { c.Volume += quantity.Volume(d) },
	},
	{
		"number or mass of spheres", "relative",
		func(*Case) float64 { return 1 },
		func(c *Case) float64 { return float64(c.U.Solids) },
		func(c *Case, d float64) { c.Count *= 1 + d; c.Mass *= quantity.Mass(1 + d) },
	},
	{
		"density of the spheres", "g/cm3",
		func(c *Case) float64 { return float64(c.Density) },
		func(c *Case) float64 { return float64(c.U.Density) },
		func(c *Case, d float64) { c.Density += Density(d) },
	},
	{
		"mean diameter", "um",
		func(c *Case) float64 { return 1e3 * float64(c.Sizes.Mean) },
		func(c *Case) float64 { return 1e3 * float64(c.U.Mean) },
		func(c *Case, d float64) { c.Sizes.Mean += quantity.Length(1e-3 * d) },
	},
	{
		"spread of diameters", "um",
		func(c *Case) float64 { return 1e3 * float64(c.Sizes.SD) },
		func(c *Case) float64 { return 1e3 * float64(c.U.SD) },
		func(c *Case, d float64) { c.Sizes.SD = max(c.Sizes.SD+quantity.Length(1e-3*d), 0) },
	},
	{
		"hindrance exponent n", "1",
		func(c *Case) float64 { return c.Exponent.At(0) + c.shift },
		func(c *Case) float64 { return c.U.Exponent },
		func(c *Case, d float64) { c.shift += d },
	},
	{
		"packing of the bed", "1",
		func(c *Case) float64 { return float64(c.Packing) },
		func(c *Case) float64 { return float64(c.U.Packing) },
		func(c *Case, d float64) { c.Packing += quantity.Fraction(d) },
	},
	{
		"inner diameter of the vessel", "relative",
		func(*Case) float64 { return 1 },
		func(c *Case) float64 { return float64(c.U.Bore) },
		func(c *Case, d float64) { c.Vessel = c.Vessel.widen(1 + d) },
	},
	{
		"height of the needle tip", "mm",
		func(c *Case) float64 { return float64(c.Tip) },
		func(c *Case) float64 { return float64(c.U.Tip) },
		func(c *Case, d float64) { c.Tip = max(c.Tip+quantity.Length(d), 0) },
	},
	{
		"duration of the draw", "s",
		func(c *Case) float64 { return float64(c.Draw.Span) },
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
	Trials    int // 20 or more
	Mean, SD  quantity.Span
	Low, High quantity.Span // 95 % coverage interval, equal tails
	Safe      quantity.Span // the window is at least this long with 95 % probability
	NeverOpen int           // trials without any window
	StaysOpen int           // trials whose window outlasts Case.Span
}

// MonteCarlo propagates the uncertainties of c, as independent normal
// distributions, through the model (JCGM 101:2008). A trial that leaves an
// input's domain is drawn again. Trials run on a quarter of the cells, which
// moves a window by a few per cent at most. The same seed gives the same
// answer.
func MonteCarlo(c Case, trials int, seed uint64) (Spread, error) {
	if !inside(float64(trials), 20, 1e6) {
		return Spread{}, domain("trials", float64(trials), 20, 1e6, "trials", "a few hundred are enough")
	}
	if _, err := c.prepare(); err != nil {
		return Spread{}, err
	}
	cells := max(c.Cells/4, 80)
	s := Spread{Trials: trials}
	rng := rand.New(rand.NewPCG(seed, 0x7365_7474_6c65))
	windows := make([]float64, 0, trials)
	for tries := 0; len(windows) < trials; tries++ {
		if tries > 10*trials {
			return Spread{}, &Error{CodeDomain, "U", "most trials leave the domain of the model", "make the uncertainties smaller"}
		}
		moved := c
		for _, in := range inputs {
			in.move(&moved, in.u(&c)*rng.NormFloat64())
		}
		t, err := moved.prepare()
		if err != nil {
			continue
		}
		w := t.window(cells)
		switch w.State {
		case NeverOpen:
			s.NeverOpen++
		case StaysOpen:
			s.StaysOpen++
		}
		windows = append(windows, float64(w.Until))
	}
	s.summarise(windows)
	return s, nil
}

func (s *Spread) summarise(windows []float64) {
	slices.Sort(windows)
	n := float64(len(windows))
	mean, square := 0.0, 0.0
	for _, w := range windows {
		mean += w / n
	}
	for _, w := range windows {
		square += (w - mean) * (w - mean) / (n - 1)
	}
	s.Mean, s.SD = quantity.Span(mean), quantity.Span(math.Sqrt(square))
	at := func(p float64) quantity.Span { // JCGM 101:2008, 7.7
		return quantity.Span(windows[min(max(int(math.Ceil(p*n))-1, 0), len(windows)-1)])
	}
	s.Low, s.High, s.Safe = at(0.025), at(0.975), at(0.05)
}
