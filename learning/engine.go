package learning

import (
	"math"
	"slices"
	"strings"
)

// engine holds the sums of every group and reckons in plain numbers, all less
// the prior mean. Kinds and persons are sorted by name, so that the order of
// cases does not decide the order of additions over groups.
type engine struct {
	mean, sd      float64
	scatter       spread
	persons       spread
	spreadOfKinds spread
	grid          *grid
	kinds         []*kind
	post          *posterior // nil after a change
}

type kind struct {
	name    string
	persons []*person
}

type person struct {
	name string
	sums *sums
}

func newEngine[Q Quantity](p Prior[Q]) *engine {
	return &engine{
		mean: float64(p.Mean), sd: float64(p.SD), scatter: plain(p.Scatter), persons: plain(p.Persons),
		spreadOfKinds: plain(p.Kinds), grid: newGrid(plain(p.Scatter)),
	}
}

func (e *engine) posterior() *posterior {
	if e.post == nil {
		e.post = e.reckon()
	}
	return e.post
}

// find gives the places of a kind and a person, -1 for one without cases, and
// the place of the group among all.
func (e *engine) find(kindName, personName string) (k, p, flat int) {
	for i, kd := range e.kinds {
		if kd.name != kindName {
			flat += len(kd.persons)
			continue
		}
		for j, ps := range kd.persons {
			if ps.name == personName {
				return i, j, flat + j
			}
		}
		return i, -1, -1
	}
	return -1, -1, -1
}

// group gives the sums of a kind and person, made if need be.
func (e *engine) group(kindName, personName string) *sums {
	i, ok := slices.BinarySearchFunc(e.kinds, kindName, func(k *kind, name string) int { return strings.Compare(k.name, name) })
	if !ok {
		e.kinds = slices.Insert(e.kinds, i, &kind{name: kindName})
	}
	k := e.kinds[i]
	j, ok := slices.BinarySearchFunc(k.persons, personName, func(p *person, name string) int { return strings.Compare(p.name, name) })
	if !ok {
		k.persons = slices.Insert(k.persons, j, &person{personName, newSums(len(e.grid.x))})
	}
	return k.persons[j].sums
}

func (e *engine) add(kindName, personName string, y, u, sign float64) {
	e.group(kindName, personName).add(e.grid, y-e.mean, u, sign)
	e.post = nil
}

// level says of what a distribution is wanted.
type level int

const (
	ofSite level = iota
	ofKind
	ofPerson
	ofNext
)

// mixture gives the distribution of the value of a site, a kind, a person or
// the next case, as a mixture of normals.
func (e *engine) mixture(kindName, personName string, l level) mixture {
	ki, _, gi := e.find(kindName, personName)
	var m mixture
	e.posterior().each(func(c *scatterNode, n *personNode, s *siteNode) {
		mean, v := s.mean, s.variance
		if l >= ofKind {
			var k kindSums
			if ki >= 0 {
				k = n.kinds[ki]
			}
			mean, v = lower(mean, v, k.a, k.b, s.tauk2)
		}
		if l >= ofPerson {
			var g groupSums
			if gi >= 0 {
				g = c.groups[gi]
			}
			mean, v = lower(mean, v, g.w, g.s, n.taup2)
		}
		if l == ofNext {
			v += c.sigma2
		}
		m = append(m, part{s.weight, e.mean + mean, v})
	})
	return m
}

// lower steps down one level: the parent has mean m and variance v given all
// data, the child lies about it with variance tau^2, and the child's own data
// have precision a and precision-weighted mean b. With r = 1/(1 + a tau^2),
//
//	E = r m + r tau^2 b   V = r tau^2 + r^2 v
//
// (Gelman et al. 2013, 5.4, and the law of total variance).
func lower(m, v, a, b, tau2 float64) (mean, variance float64) {
	r := 1 / (1 + a*tau2)
	return r * (m + tau2*b), r * (tau2 + r*v)
}

// spreads gives mean and standard deviation of sigma, tau_p and tau_k.
func (e *engine) spreads() (out [3]part) {
	var sum, sum2 [3]float64
	e.posterior().each(func(c *scatterNode, n *personNode, s *siteNode) {
		for i, x := range []float64{c.sigma2, n.taup2, s.tauk2} {
			sum[i] += s.weight * math.Sqrt(x)
			sum2[i] += s.weight * x
		}
	})
	for i := range out {
		out[i] = part{1, sum[i], max(0, sum2[i]-sum[i]*sum[i])}
	}
	return out
}
