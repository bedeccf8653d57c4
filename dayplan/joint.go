package dayplan

import (
	"cmp"
	"math"
	"slices"
)

// shares bounds what so many vials hold together with the odds that are wanted of all of
// them, which is less than what each holds alone.
type shares struct {
	// cap is by source: what a vial can give to the sum, Bq at the end; slack is beside it.
	cap   []float64
	slack float64
	order []int // unopened vials, the largest cap first
}

// sharePoints is how finely the load of a vial is looked through.
const sharePoints = 160

// shares of n vials: with x = L/U the part of each vial that is drawn, Hölder's inequality
// separates the odds that have the common part c of the yield in them,
//
//	ln P = ln E Π P_v(c) ≤ Σ ψ_v(x_v),   ψ_v(x) = ln E[P_v(c)ⁿ]/n
//
// and for any λ ≥ 0 the sum of what n vials give with P ≥ p is bounded by
//
//	Σ L ≤ Σ_v max_x (U_v·x + λ·ψ_v(x)) − λ·ln p
//
// (weak duality). ψ falls with x, so that the greatest value between two points is bounded
// by the parts of it at either end. λ is that at which equal vials share alike.
func (m *model) shares(n int) *shares {
	out := &shares{cap: make([]float64, len(m.sources))}
	count, usable, u := 0.0, 0.0, 0.0
	for _, s := range m.sources {
		if s.vial != nil {
			count++
			usable += s.usable
			u += s.u
		}
	}
	usable, u = usable/count, u/count
	known := map[float64][2][]float64{}
	of := func(u float64) (x, psi []float64) {
		t, there := known[u]
		if !there {
			t[0], t[1] = m.psi(u, n)
			known[u] = t
		}
		return t[0], t[1]
	}
	x, psi := of(u)
	wanted := math.Log(m.want) / float64(n)
	k, _ := slices.BinarySearchFunc(psi, wanted, func(a, b float64) int { return cmp.Compare(b, a) }) // psi falls
	k = min(max(k, 1), len(x)-1)
	lambda := 0.0
	if fall := psi[k-1] - psi[k]; fall > 0 {
		lambda = usable * (x[k] - x[k-1]) / fall
	}
	out.slack = -lambda * math.Log(m.want)
	for i, s := range m.sources {
		if s.vial == nil {
			continue
		}
		x, psi := of(s.u)
		for k := range len(x) - 1 {
			out.cap[i] = max(out.cap[i], s.usable*x[k+1]+lambda*psi[k])
		}
		if !s.free {
			out.order = append(out.order, i)
		}
	}
	slices.SortStableFunc(out.order, func(a, b int) int { return cmp.Compare(out.cap[b], out.cap[a]) })
	return out
}

// psi is ψ of a vial of relative uncertainty u at parts x from none to all of it; more is
// not drawn with even odds. Where c leaves less than is drawn, scatter raises the odds, and
// they are taken with all of it.
func (m *model) psi(u float64, n int) (x, psi []float64) {
	scatter := math.Hypot(u, float64(m.day.Scatter))
	reach := 8 * math.Hypot(u, float64(m.day.YieldU))
	for k := range sharePoints + 1 {
		at := 0.0
		if k > 0 { // one long step up to where it begins to matter
			at = 1 - min(1, reach)*float64(sharePoints-k)/float64(sharePoints-1)
		}
		mean := 0.0
		for _, c := range m.nodes {
			z := (1 + c.c - at) / u
			if z < 0 {
				z *= u / scatter
			}
			each, all := phi(z), 1.0
			for range n {
				all *= each
			}
			mean += c.weight * all
		}
		x, psi = append(x, at), append(psi, math.Log(max(mean, math.SmallestNonzeroFloat64))/float64(n))
	}
	return x, psi
}

// jointly is the fewest vials more, at least so many, that hold a sum of demands with what
// is loaded already; -1 where all of them do not.
func (e *engine) jointly(more int, total float64) int {
	opened, n := 0, 0
	for i, s := range e.m.sources {
		if s.vial != nil && e.allowed[i] {
			n++
			if s.free || e.now.loads[i].orders > 0 {
				opened++
			}
		}
	}
	if opened+more == 0 {
		return 0 // drawn doses alone may do, and of no vial is anything asked
	}
	for k := more; opened+k <= n; k++ {
		s := e.m.sharesOf(opened + k)
		room, left := s.slack, k
		for i, c := range s.cap {
			if e.allowed[i] && (e.m.sources[i].free || e.now.loads[i].orders > 0) {
				room += c
			}
		}
		for _, i := range s.order {
			if left > 0 && e.allowed[i] && e.now.loads[i].orders == 0 {
				room += s.cap[i]
				left--
			}
		}
		if room >= total*(1-1e-9) {
			return k
		}
	}
	return -1
}

// sharesOf are the shares of n vials, worked out when they are first asked for.
func (m *model) sharesOf(n int) *shares {
	if m.shared == nil {
		m.shared = map[int]*shares{}
	}
	if m.shared[n] == nil {
		m.shared[n] = m.shares(n)
	}
	return m.shared[n]
}
