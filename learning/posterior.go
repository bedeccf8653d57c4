package learning

import "math"

// The tree of quadrature nodes: sigma, below it tau_p, below it tau_k. Each
// level keeps what the levels above need for a group that is asked for.

type posterior struct {
	scatters []scatterNode
}

type scatterNode struct {
	sigma2  float64
	groups  []groupSums // by kind, then person, in the order of the model
	persons []personNode
}

type groupSums struct{ w, s float64 }

type personNode struct {
	taup2 float64
	kinds []kindSums
	sites []siteNode
}

// kindSums are the precision and the precision-weighted mean that the data of a
// kind give for theta_k.
type kindSums struct{ a, b float64 }

type siteNode struct {
	weight         float64
	tauk2          float64
	mean, variance float64 // of mu, mean less m0
}

// reckoner works the posterior out.
type reckoner struct {
	*engine
	groups []groupSums
	fixed  float64 // the part of ln p that only sigma decides
	kinds  []kindSums
	inPart float64 // the part that only sigma and tau_p decide
}

// reckon integrates over the three spreads.
func (e *engine) reckon() *posterior {
	r := &reckoner{engine: e}
	p := &posterior{}
	var buffer []float64
	nodes := over(e.scatter, func(x float64, keep bool) float64 {
		sigma2 := math.Exp(2 * x)
		buffer = e.grid.basis(x, buffer)
		r.atScatter(sigma2, buffer)
		var kept []personNode
		inner := over(e.persons, func(x float64, keepInner bool) float64 {
			return r.overKinds(math.Exp(2*x), keep && keepInner, &kept)
		})
		if keep {
			spreadWeights(kept, inner)
			groups := append([]groupSums(nil), r.groups...)
			p.scatters = append(p.scatters, scatterNode{sigma2, groups, kept})
		}
		return r.fixed + logSum(inner)
	})
	total := logSum(nodes)
	for i := range p.scatters {
		n := nodes[i]
		inside := 0.0
		for _, pn := range p.scatters[i].persons {
			inside += sumWeights(pn.sites)
		}
		scale(p.scatters[i].persons, n.step*math.Exp(n.f-total)/inside)
	}
	p.prune()
	return p
}

// over is the rule for one spread, or the one point where the spread is zero.
func over(s spread, f func(x float64, keep bool) float64) []node {
	if s.shape == None {
		return []node{{f(math.Inf(-1), true), 1}}
	}
	with := func(x float64, keep bool) float64 { return s.logDensity(x) + f(x, keep) }
	return rule(with, s.low(), s.high())
}

// atScatter takes the sums of all groups at sigma^2.
func (r *reckoner) atScatter(sigma2 float64, basis []float64) {
	r.groups, r.fixed = r.groups[:0], 0
	for _, k := range r.engine.kinds {
		for _, g := range k.persons {
			w, s, q, l := g.sums.at(r.grid, sigma2, basis)
			r.groups = append(r.groups, groupSums{w, s})
			if g.sums.n > 0 {
				// -(L + Q - S^2/W)/2, see the package comment
				r.fixed -= (l + q - s*s/w) / 2
			}
		}
	}
}

// overKinds integrates over tau_k at one tau_p and gives the logarithm.
func (r *reckoner) overKinds(taup2 float64, keep bool, kept *[]personNode) float64 {
	r.atPersons(taup2)
	var sites []siteNode
	nodes := over(r.engine.spreadOfKinds, func(x float64, keepInner bool) float64 {
		tauk2 := math.Exp(2 * x)
		f, mean, v := r.site(tauk2)
		if keep && keepInner {
			sites = append(sites, siteNode{0, tauk2, mean, v})
		}
		return f
	})
	total := logSum(nodes)
	if keep {
		for i := range sites {
			sites[i].weight = nodes[i].step * math.Exp(nodes[i].f-total)
		}
		kinds := append([]kindSums(nil), r.kinds...)
		*kept = append(*kept, personNode{taup2, kinds, sites})
	}
	return r.inPart + total
}

// folded are the sums of the groups below a level whose spread has the variance v: of
// W/(1 + W v) and S/(1 + W v), and what goes into ln p.
type folded struct{ a, b, c, product, logs float64 }

func (f *folded) add(w, s, v float64) {
	if w == 0 {
		return
	}
	d := 1 + w*v
	f.a += w / d
	f.b += s / d
	f.c += s * s / (w * d)
	if f.product *= d; f.product > 1e200 {
		f.logs += math.Log(f.product)
		f.product = 1
	}
}

// logDensity is what the groups bring into ln p, but for what a and b bring in.
func (f *folded) logDensity() float64 { return -(f.logs + math.Log(f.product)) / 2 }

// atPersons folds persons into kinds at tau_p^2.
func (r *reckoner) atPersons(taup2 float64) {
	r.kinds, r.inPart = r.kinds[:0], 0
	i := 0
	for _, k := range r.engine.kinds {
		f := folded{product: 1}
		for range k.persons {
			f.add(r.groups[i].w, r.groups[i].s, taup2)
			i++
		}
		r.inPart += f.logDensity()
		if f.a > 0 {
			r.inPart -= (f.c - f.b*f.b/f.a) / 2
		}
		r.kinds = append(r.kinds, kindSums{f.a, f.b})
	}
}

// site folds kinds into the site at tau_k^2 and that into the prior of mu. It
// gives ln p(y), but for what was counted before, and mu's mean and variance.
func (r *reckoner) site(tauk2 float64) (p, mean, variance float64) {
	f := folded{product: 1}
	for _, k := range r.kinds {
		f.add(k.a, k.b, tauk2)
	}
	s2 := r.sd * r.sd
	d := 1 + f.a*s2
	p = f.logDensity() - math.Log(d)/2
	if f.a > 0 {
		// (c - b^2/a)/2 + (b/a)^2/(2 (1/a + s0^2))
		p -= (f.c - f.b*f.b/f.a + f.b*f.b/(f.a*d)) / 2
	}
	return p, s2 / d * f.b, s2 / d
}

func sumWeights(sites []siteNode) (total float64) {
	for _, s := range sites {
		total += s.weight
	}
	return total
}

// spreadWeights multiplies the weights below each node by the node's own.
func spreadWeights(persons []personNode, nodes []node) {
	total := logSum(nodes)
	for i := range persons {
		scale(persons[i:i+1], nodes[i].step*math.Exp(nodes[i].f-total))
	}
}

func scale(persons []personNode, by float64) {
	for i := range persons {
		for j := range persons[i].sites {
			persons[i].sites[j].weight *= by
		}
	}
}

// prune drops nodes that could not move a result by 1e-9 of itself, and makes
// the weights of the others add up to one.
func (p *posterior) prune() {
	const least = 1e-13
	kept := 0.0
	for i := range p.scatters {
		for j := range p.scatters[i].persons {
			n := &p.scatters[i].persons[j]
			sites := n.sites[:0]
			for _, s := range n.sites {
				if s.weight >= least {
					sites = append(sites, s)
					kept += s.weight
				}
			}
			n.sites = sites
		}
	}
	p.each(func(_ *scatterNode, _ *personNode, s *siteNode) { s.weight /= kept })
}

// each calls f for every node, always in the same order.
func (p *posterior) each(f func(c *scatterNode, n *personNode, s *siteNode)) {
	for i := range p.scatters {
		c := &p.scatters[i]
		for j := range c.persons {
			n := &c.persons[j]
			for k := range n.sites {
				f(c, n, &n.sites[k])
			}
		}
	}
}
