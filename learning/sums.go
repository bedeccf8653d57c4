package learning

import "math"

// grid holds the values of ln sigma at which the sums of every group are kept.
// Between them barycentric interpolation (J.-P. Berrut, L. N. Trefethen, SIAM
// Review 46 (2004) 501-517) is used. The sums have poles at ln sigma = ln u +-
// i pi/2, half the range is 5.15, so that the error falls like 1.35^-n.
type grid struct {
	x       []float64 // ln sigma; one entry, -Inf, where sigma is fixed at 0
	sigma2  []float64
	weight  []float64
	middle2 float64 // c^2, see add
}

const chebyshev = 96

func newGrid(s spread) *grid {
	if s.shape == None {
		return &grid{x: []float64{math.Inf(-1)}, sigma2: []float64{0}, weight: []float64{1}}
	}
	g := &grid{middle2: 0.01 * s.scale * s.scale}
	mid, half := (s.low()+s.high())/2, (s.high()-s.low())/2
	for j := range chebyshev {
		// Chebyshev points of the first kind and their barycentric weights
		sin, cos := math.Sincos((2*float64(j) + 1) * math.Pi / (2 * chebyshev))
		if j%2 == 1 {
			sin = -sin
		}
		x := mid + half*cos
		g.x = append(g.x, x)
		g.sigma2 = append(g.sigma2, math.Exp(2*x))
		g.weight = append(g.weight, sin)
	}
	return g
}

// basis gives the share of each point in an interpolated value at x.
func (g *grid) basis(x float64, into []float64) []float64 {
	into = into[:0]
	if len(g.x) == 1 {
		return append(into, 1)
	}
	total := 0.0
	for j, xj := range g.x {
		if x == xj {
			into = append(into[:0], make([]float64, len(g.x))...)
			into[j] = 1
			return into
		}
		w := g.weight[j] / (x - xj)
		into = append(into, w)
		total += w
	}
	for j := range into {
		into[j] /= total
	}
	return into
}

// sums are W, S, Q and L of one group at every point of the grid, with y less
// the prior mean. W, S and Q are kept times (c^2 + sigma^2), which keeps them
// of one size over the whole range and so the interpolation good throughout.
type sums struct {
	n             int
	y, yy         float64 // sum of y and of y^2, unweighted
	w, s, q, logs []float64
}

func newSums(points int) *sums {
	all := make([]float64, 4*points)
	return &sums{w: all[:points], s: all[points : 2*points], q: all[2*points : 3*points], logs: all[3*points:]}
}

// add takes a case in (sign 1) or out (sign -1).
func (a *sums) add(g *grid, y, u, sign float64) {
	a.n += int(sign)
	a.y += sign * y
	a.yy += sign * y * y
	u2 := u * u
	for j, sigma2 := range g.sigma2 {
		v := u2 + sigma2
		w := sign * g.scale(sigma2) / v
		a.w[j] += w
		a.s[j] += w * y
		a.q[j] += w * y * y
		a.logs[j] += sign * math.Log(v)
	}
}

func (g *grid) scale(sigma2 float64) float64 {
	if len(g.x) == 1 {
		return 1
	}
	return g.middle2 + sigma2
}

// at gives W, S, Q and L at sigma^2 for the basis there.
func (a *sums) at(g *grid, sigma2 float64, basis []float64) (w, s, q, l float64) {
	if a.n == 0 {
		return 0, 0, 0, 0
	}
	for j, b := range basis {
		w += b * a.w[j]
		s += b * a.s[j]
		q += b * a.q[j]
		l += b * a.logs[j]
	}
	c := g.scale(sigma2)
	return w / c, s / c, q / c, l
}

func (a *sums) copy() *sums {
	b := newSums(len(a.w))
	b.n, b.y, b.yy = a.n, a.y, a.yy
	copy(b.w, a.w)
	copy(b.s, a.s)
	copy(b.q, a.q)
	copy(b.logs, a.logs)
	return b
}
