package settling

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
