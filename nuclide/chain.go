package nuclide

import (
	"math"

	"vialwright/quantity"
)

// Pair is a parent nuclide and the daughter it decays to.
type Pair struct {
	// Parent and Daughter are the half-lives.
	Parent, Daughter quantity.Span
	// Branch is the share of the parent's decays that feed the daughter.
	Branch quantity.Fraction
}

// Grow gives the daughter's activity after the elapsed time, from the
// activities of both at its start. It keeps its accuracy however close the
// half-lives are. It panics unless both half-lives are above 0 and elapsed is
// not negative.
func (p Pair) Grow(parent, daughter quantity.Activity, elapsed quantity.Span) quantity.Activity {
	if !(elapsed >= 0) {
		panic("nuclide: Grow needs a time of 0 or more")
	}
	// A2(t) = A2(0) 2^(-t/T2) + b A1(0) lambda2 D
	left := daughter * quantity.Activity(Factor(p.Daughter, elapsed))
	fed := float64(p.Branch) * float64(parent) * ingrowth(decayConstant(p.Parent), decayConstant(p.Daughter), float64(elapsed))
	return left + quantity.Activity(fed*decayConstant(p.Daughter))
}

func decayConstant(halfLife quantity.Span) float64 { return math.Ln2 / float64(halfLife) }

// ingrowth gives D = integral over s from 0 to t of e^(-l1 s) e^(-l2 (t-s)),
// (e^(-l1 t) - e^(-l2 t))/(l2 - l1) written so that nothing cancels: with l
// the smaller constant and x >= 0 the difference times t, it is
// t e^(-l t) (1 - e^-x)/x.
func ingrowth(l1, l2, t float64) float64 {
	return t * math.Exp(-min(l1, l2)*t) * relax(math.Abs(l2-l1)*t)
}
