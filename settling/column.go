package settling

import "slices"

// column holds the suspension as cells of equal volume, the lowest first, and
// size classes, the fastest first. It solves, for downward velocities v_i of
// the Masliyah-Lockett-Bassoon form and horizontal area A(z),
//
//	A d(phi_i)/dt = d(A phi_i v_i)/dz,   i = 1..n,
//
// by an explicit upwind method written as an exchange of pairs. With the
// liquid as a class of velocity zero, phi_i v_i is identical to
//
//	phi_i v_i = H(phi) sum_k phi_i phi_k (v0_i - v0_k),   H = (1-phi)^(n-1),
//
// each term an exchange of one volume of i for an equal volume of k. Across
// the face between an upper cell U and a lower cell L the faster of the two
// comes from U, the slower from L:
//
//	F_i = H_UL [ phi_i,U sum_(k slower) phi_k,L (v0_i - v0_k)
//	           - phi_i,L sum_(k faster) phi_k,U (v0_k - v0_i) ].
//
// H_UL is such that one class has Godunov's flux. With f = phi (1-phi)^n, which
// rises to its peak at phi = 1/(n+1) and falls from there, that flux is v0
// times the smaller of what U can let go, D = f up to the peak and the peak
// beyond, and what L can take in, S = the peak up to the peak and f beyond, 0
// in a packed cell (Daganzo, Transp Res B 29:79, 1995; Lebacque 1996, for the
// same kinematic equation):
//
//	H_UL = min(D(phi_U), S(phi_L)) / (phi_U (1 - phi_L)).
//
// Splitting concentration and velocity between the two cells is the idea of
// Buerger, Garcia, Karlsen and Towers (J Eng Math 60:387, 2008), whose flux
// phi_U v(phi_L) smears a front near phi = 1/(n+1) several times more. Fluxes of
// all classes and of the liquid add to zero by construction; no cell goes
// negative; a cell is filled to phi_max and no further, and then is at rest.
type column struct {
	n    int       // classes
	v    []float64 // terminal velocities, falling, mm/s
	dv   []float64 // v[i] - v[i+1]
	gate []float64 // area of the face below a cell over the cell's volume, 1/mm
	trim []float64 // contents below this leave a cell whole: spent tails must not set the time step
	hindrance
	phi    []float64 // n per cell
	total  []float64 // sum of a cell's classes
	flow   []through // of a cell
	pass   []float64 // H_UL of the face below a cell
	weight []float64 // sum of v phi
	first  []int     // fastest class present above its trim
	floor  int       // lowest cell that is not packed
	roof   int       // one above the highest cell with solids
	fresh  []float64 // what every cell holds at first
	lo, hi int       // cells lo to hi-1 are exactly fresh; 0, 0 if the area varies
	cells  int       // cells of liquid
	rate   float64   // reciprocal of the longest stable step, 1/s
	steps  int
	fa, fb []float64 // fluxes of two faces
}

// courant is the part of the stable step that is taken.
const courant = 0.95

// trimmed is the part of its first fraction below which a class counts as
// gone from a cell.
const trimmed = 1e-8

// newColumn fills the vessel with a uniform suspension of the given fractions.
func newColumn(s *shape, cells int, v, phi []float64, exponent, packing float64) *column {
	n := len(v)
	c := &column{
		n: n, v: v, dv: make([]float64, n), gate: make([]float64, cells), trim: make([]float64, n),
		hindrance: newHindrance(exponent, packing),
		phi:       make([]float64, 0, n*cells), total: make([]float64, cells), flow: make([]through, cells), pass: make([]float64, cells+1),
		weight: make([]float64, cells), first: make([]int, cells),
		fa: make([]float64, n), fb: make([]float64, n), cells: cells, fresh: phi,
	}
	for i := range n {
		c.trim[i] = trimmed * phi[i]
		c.dv[i] = v[i]
		if i+1 < n {
			c.dv[i] -= v[i+1]
		}
	}
	volume := s.volume / float64(cells)
	for j := range cells {
		c.phi = append(c.phi, phi...)
		if j > 0 { // the lowest face is the floor of the vessel
			c.gate[j] = s.area(s.height(float64(j)*volume)) / volume
		}
	}
	c.survey()
	if slices.Min(c.gate[1:]) == slices.Max(c.gate[1:]) {
		c.hi = cells
	}
	return c
}

// survey works out everything that is derived from phi.
func (c *column) survey() {
	c.floor, c.roof = 0, c.cells
	clear(c.fa)
	for j := range c.cells {
		c.settle(j, c.fa, c.fa)
	}
	c.close()
}

// settle adds what crossed the faces above and below cell j to its contents
// and refreshes what is derived from them.
func (c *column) settle(j int, above, below []float64) {
	cell := c.phi[j*c.n : (j+1)*c.n]
	v, trim := c.v[:len(cell)], c.trim[:len(cell)]
	above, below = above[:len(cell)], below[:len(cell)]
	total, weight, first := 0.0, 0.0, len(cell)
	for i := len(cell) - 1; i >= 0; i-- {
		x := cell[i] + (above[i] - below[i])
		if x < 0 { // rounding of a class that left whole
			x = 0
		}
		cell[i] = x
		total += x
		weight += x * v[i]
		if x > trim[i] {
			first = i
		}
	}
	c.total[j], c.weight[j], c.first[j] = total, weight, first
	c.flow[j] = c.through(total)
}

// close moves floor and roof to the cells that can still change, sets H of
// every face between them and the rate of the longest stable step,
//
//	dt [ a_j H_j (v - phi(j-1) v_slow) + a_(j+1) (H_(j+1) + |f'(phi_j)|/phi(j+1)) sum v phi(j+1) ] <= 1,
//
// a the face's area over the cell's volume, v the fastest class in the cell.
// The terms are what a class can lose through the bottom by falling and through
// the top by being displaced, and how fast a filling cell takes in less (f'
// where it is negative): no class loses more than there is, and with one class
// the new fractions rise with the old ones.
func (c *column) close() {
	for c.floor < c.cells && c.flow[c.floor].take == 0 {
		c.floor++
	}
	for c.roof > 0 && c.total[c.roof-1] == 0 {
		c.roof--
	}
	slow, worst, fall := c.v[c.n-1], 0.0, 0.0
	for j := max(c.floor, 1); j < c.roof; j++ {
		if j == c.lo+3 && j < c.hi { // between fresh cells all faces are alike
			j = c.hi
			if j == c.roof {
				break
			}
		}
		under, per := &c.flow[j-1], 1/max(c.total[j], 1e-200)
		h := min(c.flow[j].let, under.take) * per * under.space
		c.pass[j] = h
		gate := c.gate[j]
		worst = max(worst, fall+gate*(h+under.back*per)*c.weight[j])
		fall = 0
		if m := c.first[j]; m < c.n {
			fall = gate * h * (c.v[m] - c.total[j-1]*slow)
		}
	}
	c.rate = max(worst, fall)
}

// advance lets the suspension settle for a time, in seconds.
func (c *column) advance(span float64) {
	for span > 0 && c.rate > 0 {
		dt := min(span, courant/c.rate)
		c.step(dt)
		span -= dt
	}
}

// step takes one explicit step, from the floor up. A cell between fresh cells
// in a cylinder stays as it is and is passed over: until the fronts from above
// and below reach it, that is most of the suspension.
func (c *column) step(dt float64) {
	below, above := c.fa, c.fb
	clear(below)
	out, full, passed := 0.0, false, false
	for j := c.floor; j < c.roof; j++ {
		if j > c.lo && j < c.hi-1 && !full {
			c.lo, passed = j-1, true
			j = c.hi - 1
			out = c.face(j-1, dt*c.gate[j], below)
		}
		in, gate := 0.0, 0.0
		if j+1 < c.roof {
			gate = dt * c.gate[j+1]
			in = c.face(j, gate, above)
			// A cell takes what it has room for and no more.
			room := max(0, c.limit*(1-slack/10)-c.total[j]+out)
			if full = in > room; full {
				scale(above, room/in)
				in = room
			}
		} else {
			clear(above)
		}
		c.settle(j, above, below)
		below, above, out = above, below, in
	}
	c.shrink(passed)
	c.close()
	c.steps++
}

// shrink takes cells that have changed off the ends of the fresh ones.
func (c *column) shrink(passed bool) {
	if !passed {
		c.lo, c.hi = 0, 0
		return
	}
	if !slices.Equal(c.phi[c.lo*c.n:(c.lo+1)*c.n], c.fresh) {
		c.lo++
	}
	if !slices.Equal(c.phi[(c.hi-1)*c.n:c.hi*c.n], c.fresh) {
		c.hi--
	}
}

func scale(f []float64, by float64) {
	for i := range f {
		f[i] *= by
	}
}

// face puts into f the volumes of each class that cross the face between cell
// j and the one above it during a step, per cell volume, and gives their sum.
func (c *column) face(j int, gate float64, f []float64) float64 {
	n := c.n
	l, u := c.phi[j*n:(j+1)*n], c.phi[(j+1)*n:(j+2)*n]
	v, dv := c.v[:n], c.dv[:n]
	f, u, l = f[:n], u[:n], l[:n]
	h := gate * c.pass[j+1]
	m := c.first[j+1]
	if h == 0 {
		clear(f)
		return 0
	}
	sum := 0.0
	for k := range m { // spent tails
		f[k] = u[k]
		sum += u[k]
	}
	if m == n {
		return sum
	}
	// slower = sum over slower k of phi_k,L (v_i - v_k), the liquid included;
	// q = sum of their phi; faster, p likewise over faster k in U.
	slower, q := v[m]-c.weight[j], 1.0
	for k := range m {
		slower += l[k] * (v[k] - v[m])
		q -= l[k]
	}
	faster, p := 0.0, 0.0
	for i := m; i < n; i++ {
		flux := h * (u[i]*slower - l[i]*faster)
		f[i] = flux
		sum += flux
		q -= l[i]
		p += u[i]
		slower -= dv[i] * q
		faster += dv[i] * p
	}
	return sum
}

// draw takes volume out of a column at the cell outlet, or the highest below it
// that is left, while it settles, over span seconds, and gives the mean fraction of
// each class in what was drawn.
// volume counts in cells and must not exceed the liquid above the outlet.
//
// Liquid at the outlet's level leaves; all that stands above slides down by
// the same volume, what lies below stays (horizontal layers are drawn whole).
// Since cells have equal volumes, sliding is taking a cell out of the row. The
// draw is made in at most draughts portions, each taken at the middle of its
// time.
func (c *column) draw(outlet int, volume, span float64) []float64 {
	mean := make([]float64, c.n)
	if volume <= 0 {
		k := min(outlet, c.cells-1)
		return append(mean[:0], c.phi[k*c.n:(k+1)*c.n]...)
	}
	portion := max(1, int(volume/draughts))
	done := 0.0 // volume drawn so far, cells
	clock := 0.0
	for done < volume {
		take := min(float64(portion), volume-done)
		at := (done + take/2) / volume * span
		c.advance(at - clock)
		clock = at
		for rest := take; rest > 0; rest-- {
			k := min(outlet, c.cells-1)
			part := min(rest, 1)
			for i := range mean {
				mean[i] += part / volume * c.phi[k*c.n+i]
			}
			if part == 1 {
				c.remove(k)
			}
		}
		c.close()
		done += take
	}
	return mean
}

// draughts bounds the portions of a draw. Forty portions of a 10 s draw are a
// quarter of a second each, in which spheres move by 0.1 mm.
const draughts = 40

// remove takes cell k out of the row; the cells above slide down. close must
// follow.
func (c *column) remove(k int) {
	last := c.cells - 1
	copy(c.phi[k*c.n:], c.phi[(k+1)*c.n:c.cells*c.n])
	copy(c.total[k:], c.total[k+1:c.cells])
	copy(c.flow[k:], c.flow[k+1:c.cells])
	copy(c.weight[k:], c.weight[k+1:c.cells])
	copy(c.first[k:], c.first[k+1:c.cells])
	copy(c.pass[k:], c.pass[k+1:c.cells])
	c.cells = last
	for _, at := range []*int{&c.roof, &c.lo, &c.hi} {
		if *at > k {
			*at--
		}
	}
	c.floor = min(c.floor, k)
}

// clone copies what a column changes while it settles.
func (c *column) clone() *column {
	d := *c
	d.phi = append([]float64(nil), c.phi[:c.cells*c.n]...)
	d.total = append([]float64(nil), c.total...)
	d.flow = append([]through(nil), c.flow...)
	d.pass = append([]float64(nil), c.pass...)
	d.weight = append([]float64(nil), c.weight...)
	d.first = append([]int(nil), c.first...)
	d.fa, d.fb = make([]float64, c.n), make([]float64, c.n)
	return &d
}
