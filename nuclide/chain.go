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

// Member is one nuclide of a decay chain.
type Member struct {
	// HalfLife is +Inf for a stable nuclide.
	HalfLife quantity.Span
	// Atoms there are at the start.
	Atoms Atoms
	// Branch is the share of this member's decays that feed the next one.
	Branch quantity.Fraction
}

// longest is the most members a chain may have; the work grows as its cube.
const longest = 16

// Chain gives the atoms of every member after the elapsed time: the solution
// of Bateman's equations
//
//	dN(i)/dt = b(i-1) lambda(i-1) N(i-1) - lambda(i) N(i)
//
// computed without subtraction, so that equal or nearly equal half-lives do
// no harm and every result has a relative error of about 1e-14. An *Error
// with code InvalidChain refuses more than 16 members, a half-life that is
// not above 0, a share outside 0 to 1, a negative number of atoms or a
// negative time.
func Chain(members []Member, elapsed quantity.Span) ([]Atoms, error) {
	rate, err := checkChain(members, elapsed)
	if err != nil {
		return nil, err
	}
	n := len(members)
	to := transition(members, rate, float64(elapsed))
	after := make([]Atoms, n)
	for i, m := range members {
		for j := i; j < n; j++ {
			after[j] += m.Atoms * Atoms(to[i*n+j])
		}
	}
	return after, nil
}

// checkChain gives the decay constant of each member, or the refusal.
func checkChain(members []Member, elapsed quantity.Span) ([]float64, error) {
	refuse := func(text string) error {
		return &Error{InvalidChain, text, "Check the members of the chain."}
	}
	if len(members) == 0 || len(members) > longest {
		return nil, refuse("A decay chain has 1 to 16 members.")
	}
	if !(elapsed >= 0) || math.IsInf(float64(elapsed), 1) {
		return nil, refuse("The time is negative or infinite.")
	}
	rate := make([]float64, len(members))
	for i, m := range members {
		rate[i] = decayConstant(m.HalfLife)
		switch {
		case !(m.HalfLife > 0):
			return nil, refuse("A half-life is not above 0.")
		case !(m.Atoms >= 0) || math.IsInf(float64(m.Atoms), 1):
			return nil, refuse("A number of atoms is negative or not finite.")
		case !(m.Branch >= 0 && m.Branch <= 1):
			return nil, refuse("A share of decays lies outside 0 to 1.")
		case math.IsInf(rate[i], 1) || math.IsInf(rate[i]*float64(elapsed), 1):
			return nil, refuse("A half-life is too short for the time asked for.")
		}
	}
	return rate, nil
}

// transition gives, row by row, the share of the atoms of member i that are
// member j after the time t: the exponential of the chain's rate matrix, by
// scaling and squaring. All terms are sums of products of non-negative
// numbers, so nothing cancels; the diagonal e^(-lambda t) and the element beside it
// have closed forms and are set again at every step, which keeps rounding from
// doubling with each square.
func transition(members []Member, rate []float64, t float64) []float64 {
	n, fastest := len(rate), 0.0
	for _, l := range rate {
		fastest = max(fastest, l)
	}
	squares := 0
	for ; fastest*math.Ldexp(t, -squares) > 1; squares++ {
	}
	step := math.Ldexp(t, -squares)
	e := series(members, rate, fastest, step)
	closedForms(e, members, rate, step)
	for range squares {
		e = square(e, n)
		step *= 2
		closedForms(e, members, rate, step)
	}
	return e
}

// series gives e^(Q h) = e^(-q h) sum over k of ((Q + q I) h)^k / k!, where q
// is the largest rate, so that Q + q I has no negative element; for q h <= 1
// the terms past k = 20 are below 1e-19.
func series(members []Member, rate []float64, q, h float64) []float64 {
	n := len(rate)
	sum, term := make([]float64, n*n), make([]float64, n*n)
	for i := range n {
		sum[i*n+i], term[i*n+i] = 1, 1
	}
	for k := 1; k <= 20; k++ {
		for i := range n {
			for j := n - 1; j >= i; j-- { // downwards: column j-1 is still the last term
				next := term[i*n+j] * (q - rate[j])
				if j > i {
					next += term[i*n+j-1] * float64(members[j-1].Branch) * rate[j-1]
				}
				term[i*n+j] = next * h / float64(k)
				sum[i*n+j] += term[i*n+j]
			}
		}
	}
	for i := range sum {
		sum[i] *= math.Exp(-q * h)
	}
	return sum
}

func closedForms(e []float64, members []Member, rate []float64, h float64) {
	n := len(rate)
	for i, l := range rate {
		e[i*n+i] = math.Exp(-l * h)
		if i+1 < n {
			e[i*n+i+1] = float64(members[i].Branch) * l * ingrowth(l, rate[i+1], h)
		}
	}
}

// square gives the product of an upper triangular matrix with itself.
func square(e []float64, n int) []float64 {
	out := make([]float64, n*n)
	for i := range n {
		for j := i; j < n; j++ {
			for k := i; k <= j; k++ {
				out[i*n+j] += e[i*n+k] * e[k*n+j]
			}
		}
	}
	return out
}
