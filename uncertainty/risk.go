package uncertainty

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/integrate/quad"
)

// Process is a production process and the system that inspects it: items are
// normal about Mean with standard deviation SD > 0, and one measured value is
// normal about the item with standard uncertainty U >= 0.
type Process struct {
	Mean, SD, U float64 // in the unit of the measurand
}

// Risks are the global risks of an inspection, for an item taken at random.
type Risks struct {
	Consumer float64 // it is accepted and does not conform
	Producer float64 // it is rejected and conforms
}

// Risk gives the global consumer's and producer's risks of accepting items whose
// measured value lies within the acceptance limits:
//
//	R_C = integral outside the tolerance of g0(eta) F(eta) d eta
//	R_P = integral inside the tolerance of g0(eta) (1 - F(eta)) d eta
//	F(eta) = Phi((A_U - eta)/U) - Phi((A_L - eta)/U)
//
// with g0 the density of the process (JCGM 106:2012 9.5.2). The
// integrals are taken to 10 standard deviations of the process by Gauss and
// Legendre's rule on panels no wider than what changes there, to about 1e-12.
// Errors: bad-value, bad-uncertainty, bad-limits.
func Risk(p Process, tolerance, acceptance Limits) (Risks, error) {
	if err := checkEstimate(p.Mean, p.SD, "the process", 1); err != nil {
		return Risks{}, err
	}
	if err := checkEstimate(p.Mean, p.U, "the measuring system", 1); err != nil {
		return Risks{}, err
	}
	if p.SD == 0 {
		return Risks{}, refuse("bad-uncertainty", "The process has no spread.", "Give its standard deviation; for one item use the conformance probability.")
	}
	for _, l := range [...]Limits{tolerance, acceptance} {
		if err := l.check(); err != nil {
			return Risks{}, err
		}
	}
	// In units of the process: eta = Mean + SD z.
	in := inspection{scaleLimits(tolerance, p), scaleLimits(acceptance, p), p.U / p.SD}
	if !finite(in.u) {
		return Risks{}, refuse("bad-uncertainty", "The process has no spread beside that of the measuring system.", "Give both in the same unit.")
	}
	return in.risks(), nil
}

func scaleLimits(l Limits, p Process) Limits {
	return Limits{(l.Lower - p.Mean) / p.SD, (l.Upper - p.Mean) / p.SD}
}

// inspection is a process of mean 0 and standard deviation 1.
type inspection struct {
	tolerance, acceptance Limits
	u                     float64
}

// accepted is F, the probability that an item at z is accepted, and rejected its
// complement, each with its own digits.
func (in *inspection) accepted(z float64) float64 {
	if in.u == 0 {
		if in.acceptance.Lower <= z && z <= in.acceptance.Upper {
			return 1
		}
		return 0
	}
	return between((in.acceptance.Lower-z)/in.u, (in.acceptance.Upper-z)/in.u)
}

func (in *inspection) rejected(z float64) float64 {
	if in.u == 0 {
		return 1 - in.accepted(z)
	}
	return upperTail((z-in.acceptance.Lower)/in.u) + upperTail((in.acceptance.Upper-z)/in.u)
}

// reach is how far out the process, and the measurement, are followed, in their
// standard deviations: beyond lies 1.5e-23 of a normal distribution.
const reach = 10

func (in *inspection) risks() Risks {
	var r Risks
	cuts := in.cuts()
	for i := 1; i < len(cuts); i++ {
		a, b := cuts[i-1], cuts[i]
		middle := a + (b-a)/2
		inside := in.tolerance.Lower <= middle && middle <= in.tolerance.Upper
		step := 1.0
		if in.changing(middle) {
			step = math.Min(1, in.u)
		}
		if inside {
			r.Producer += integrate(in.rejected, a, b, step)
		} else {
			r.Consumer += integrate(in.accepted, a, b, step)
		}
	}
	return r
}

// cuts are the ends of the pieces on which the integrands are smooth: the
// tolerance and acceptance limits, and the edges of the zones where a measured
// value may fall on either side of an acceptance limit.
func (in *inspection) cuts() []float64 {
	cuts := []float64{-reach, reach}
	add := func(z float64) {
		if z > -reach && z < reach {
			cuts = append(cuts, z)
		}
	}
	for _, z := range [...]float64{in.acceptance.Lower, in.acceptance.Upper} {
		add(z - reach*in.u)
		add(z)
		add(z + reach*in.u)
	}
	add(in.tolerance.Lower)
	add(in.tolerance.Upper)
	slices.Sort(cuts)
	return slices.Compact(cuts)
}

func (in *inspection) changing(z float64) bool {
	near := reach * in.u
	return math.Abs(z-in.acceptance.Lower) < near || math.Abs(z-in.acceptance.Upper) < near
}

// integrate takes f times the standard normal density from a to b.
func integrate(f func(float64) float64, a, b, step float64) float64 {
	g := func(z float64) float64 { return f(z) * math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) }
	n := math.Max(1, math.Ceil((b-a)/step))
	sum := 0.0
	for k := range int(n) {
		from := a + (b-a)*float64(k)/n
		to := a + (b-a)*float64(k+1)/n
		sum += quad.Fixed(g, from, to, 16, quad.Legendre{}, 0)
	}
	return sum
}
