package settling

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// uniform is a cylinder of 20 mm of suspension.
func uniform(cells int, v, phi []float64, packing float64) *column {
	s := Cylinder(18).fill(0.02 * 81 * math.Pi)
	return newColumn(&s, cells, v, phi, 4.65, packing)
}

func height(c *column) float64 { return 20 / float64(c.cells) }

// Across a face between two equal cells the scheme gives the closure's own
// velocity: F_i = phi_i v_i.
func TestFaceIsConsistent(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v0, phi := drawClasses(t, 0.55)
		c := uniform(20, v0, phi, 0.6)
		f := make([]float64, len(v0))
		sum := c.face(5, c.gate[6], f) // a step of 1 s
		total := 0.0
		for i, v := range slip(v0, phi, 4.65) {
			total += f[i]
			want := c.gate[6] * phi[i] * v
			if abs(f[i]-want) > 1e-6*c.gate[6]*v0[0]*phi[i]+1e-15 {
				t.Fatalf("class %d: flux %v, want %v", i, f[i], want)
			}
		}
		if abs(sum-total) > 1e-14 {
			t.Fatalf("sum of fluxes %v, said %v", total, sum)
		}
	})
}

// Whatever the classes, the vessel and the time: no fraction is negative, no
// cell is fuller than packed, each class is conserved.
func TestColumnBoundsAndBalance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v0, phi := drawClasses(t, 0.5)
		s := drawVessel(t).fill(5)
		cells := rapid.IntRange(20, 80).Draw(t, "cells")
		packing := rapid.Float64Range(0.55, 0.7).Draw(t, "packing")
		c := newColumn(&s, cells, v0, phi, rapid.Float64Range(2.4, 5.6).Draw(t, "n"), packing)
		for range rapid.IntRange(1, 6).Draw(t, "rounds") {
			c.advance(rapid.Float64Range(0, 60).Draw(t, "s"))
			check(t, c, packing)
			for i := range phi {
				sum := 0.0
				for j := range c.cells {
					sum += c.phi[j*c.n+i]
				}
				if want := phi[i] * float64(cells); abs(sum-want) > 1e-11*want {
					t.Fatalf("class %d: %v of %v left", i, sum, want)
				}
			}
		}
	})
}

func check(t *rapid.T, c *column, packing float64) {
	for j := range c.cells {
		total := 0.0
		for _, x := range c.phi[j*c.n : (j+1)*c.n] {
			if !(x >= 0) {
				t.Fatalf("cell %d holds %v", j, x)
			}
			total += x
		}
		if total > packing {
			t.Fatalf("cell %d is filled to %v of %v", j, total, packing)
		}
	}
}

// Kynch (Trans Faraday Soc 48:166, 1952), one class: the clear line falls at
// v0 (1-phi)^n; the bed rises at the slope of the chord from (phi, f) to
// (phi_max, 0), f / (phi_max - phi), f = phi v0 (1-phi)^n, where that chord
// lies below f (so for the fractions here).
func TestKynchClearLineAndBed(t *testing.T) {
	const v0, packing = 0.3434, 0.60
	for _, phi := range []float64{0.01, 0.05, 0.10, 0.216, 0.55} {
		v := v0 * math.Pow(1-phi, 4.65)
		bed := phi * v / (packing - phi)
		at := 0.6 * 20 / (v + bed) // well before the two meet
		for _, cells := range []int{400, 800} {
			c := uniform(cells, []float64{v0}, []float64{phi}, packing)
			c.advance(at)
			// Each front is a shock of a few cells; its place is where the mean of
			// both sides is passed. Two cells are allowed.
			if got, want := crossing(c, phi/2), 20-v*at; abs(got-want) > 2*height(c) {
				t.Errorf("phi %v, %d cells: clear line at %.4f mm, want %.4f", phi, cells, got, want)
			}
			if got, want := c.bed(phi)*height(c), bed*at; abs(got-want) > 2*height(c) {
				t.Errorf("phi %v, %d cells: bed at %.4f mm, want %.4f", phi, cells, got, want)
			}
		}
	}
}

// crossing is the height in mm at which the total passes x, from the top.
func crossing(c *column, x float64) float64 {
	for j := c.cells - 1; j >= 0; j-- {
		if c.total[j] >= x {
			over := 0.0
			if j+1 < c.cells {
				over = c.total[j+1]
			}
			return height(c) * (float64(j) + 0.5 + (c.total[j]-x)/(c.total[j]-over))
		}
	}
	return 0
}

// The exact solution for one class before the waves meet is that of two
// Riemann problems: each state between two values moves at the slope of the
// lower convex hull of the flux between them (Oleinik 1959). At these fractions
// the wave above the bed is a shock joined to a fan.
func TestKynchCompoundWave(t *testing.T) {
	const v0, packing = 0.3434, 0.66
	for _, phi := range []float64{0.25, 0.35, 0.45} {
		flux := func(x float64) float64 {
			if x >= packing {
				return 0
			}
			return v0 * x * math.Pow(1-x, 4.65)
		}
		top, bottom := hull(flux, 0, phi), hull(flux, phi, packing)
		at := 0.4 * 20 / (top[0].speed - bottom[len(bottom)-1].speed)
		var errs []float64
		for _, cells := range []int{200, 400, 800} {
			c := uniform(cells, []float64{v0}, []float64{phi}, packing)
			c.advance(at)
			sum := 0.0
			for j := range c.cells {
				depth := 20 - height(c)*(float64(j)+0.5)
				var want float64
				if depth < 10 {
					want = state(top, depth/at, 0, phi)
				} else {
					want = state(bottom, (depth-20)/at, phi, packing)
				}
				sum += abs(c.total[j]-want) * height(c) / (20 * phi)
			}
			errs = append(errs, sum)
		}
		// A fan that ends in a shock at its own speed is the hard case of every
		// monotone method: order 0.6 to 0.7 is what there is.
		if order := math.Log2(errs[0]/errs[2]) / 2; !(errs[2] < 0.011 && order > 0.55) {
			t.Errorf("phi %v: relative L1 errors %.4f on 200, 400 and 800 cells, order %.2f", phi, errs, order)
		}
	}
}

type chord struct{ from, to, speed float64 }

// hull is the lower convex hull of f between a and b, as chords from a on.
func hull(f func(float64) float64, a, b float64) []chord {
	const n = 4000
	type point struct{ x, y float64 }
	var p []point
	for k := range n + 1 {
		x := a + (b-a)*float64(k)/n
		q := point{x, f(x)}
		for len(p) > 1 {
			u, w := p[len(p)-2], p[len(p)-1]
			if (w.y-u.y)*(q.x-w.x) < (q.y-w.y)*(w.x-u.x) {
				break
			}
			p = p[:len(p)-1]
		}
		p = append(p, q)
	}
	var out []chord
	for k := 1; k < len(p); k++ {
		out = append(out, chord{p[k-1].x, p[k].x, (p[k].y - p[k-1].y) / (p[k].x - p[k-1].x)})
	}
	return out
}

// state at similarity speed s, left state first: speeds rise along the hull.
func state(h []chord, s, left, right float64) float64 {
	if s < h[0].speed {
		return left
	}
	for k, c := range h {
		if s < c.speed {
			return h[k].from
		}
	}
	return right
}

// Two classes (after Smith, Trans Inst Chem Eng 44:T153, 1966): the larger
// spheres fall clear of the smaller at their velocity in the mixture, s. Above
// stand the smaller alone at a fraction that carries their flux over the front,
// phi' (v'(phi') - s) = phi_2 (v_2 - s), and fall at v'(phi').
func TestTwoClassesSeparate(t *testing.T) {
	v0, phi := []float64{0.6, 0.25}, []float64{0.06, 0.09}
	v := slip(v0, phi, 4.65)
	lo, hi := 0.0, 0.2
	for range 200 {
		x := (lo + hi) / 2
		if x*(v[0]-slip(v0[1:], []float64{x}, 4.65)[0]) < phi[1]*(v[0]-v[1]) {
			lo = x
		} else {
			hi = x
		}
	}
	alone := slip(v0[1:], []float64{lo}, 4.65)[0]
	const at = 30.0
	c := uniform(800, v0, phi, 0.6)
	c.advance(at)
	if got, want := crossing(c, lo/2), 20-alone*at; abs(got-want) > 3*height(c) {
		t.Errorf("upper line at %.4f mm, want %.4f", got, want)
	}
	if got, want := crossing(c, (lo+0.15)/2), 20-v[0]*at; abs(got-want) > 3*height(c) {
		t.Errorf("lower line at %.4f mm, want %.4f", got, want)
	}
	between := c.total[int((20-(alone+v[0])/2*at)/height(c))]
	near(t, "fraction between the lines", between, lo, 2e-3)
}

// In the dilute limit each sphere falls by itself.
func TestDiluteLimitIsSingleSphere(t *testing.T) {
	c := uniform(1600, []float64{0.3434}, []float64{1e-6}, 0.6)
	c.advance(30)
	near(t, "fall in 30 s, mm", 20-crossing(c, 0.5e-6), 0.3434*30, 1e-3)
}

// twin is the scheme as it is written down: every pair by itself, powers
// instead of a table, nothing skipped or trimmed.
func twin(c *column, dt float64) {
	n, e := c.n, c.exponent
	v := append(slices.Clone(c.v), 0)
	f := func(x float64) float64 { return x * math.Pow(1-x, e) }
	cell := func(j int) (p []float64, total float64) {
		p = slices.Clone(c.phi[j*n : (j+1)*n])
		for _, x := range p {
			total += x
		}
		return append(p, 1-total), total
	}
	below, out := make([]float64, n), 0.0
	for j := range c.cells {
		above, in := make([]float64, n), 0.0
		l, under := cell(j)
		if j+1 < c.cells {
			u, over := cell(j + 1)
			let, take := f(min(over, 1/(e+1))), f(max(under, 1/(e+1)))
			if under >= c.packed {
				take = 0
			}
			hindrance := 0.0
			if over > 0 {
				hindrance = min(let, take) / (over * (1 - under))
			}
			for i := range v {
				for k := range v {
					if v[i] > v[k] {
						x := dt * c.gate[j+1] * hindrance * u[i] * l[k] * (v[i] - v[k])
						above[i] += x
						if k < n {
							above[k] -= x
						}
					}
				}
			}
		}
		for i := range n {
			in += above[i]
		}
		if room := max(0, c.limit*(1-slack/10)-under+out); in > room {
			scale(above, room/in)
			in = room
		}
		for i := range n {
			c.phi[j*n+i] += above[i] - below[i]
		}
		below, out = above, in
	}
}

// The fast solver and its slow twin, on the same time steps, part by no more
// than the table of the hindrance (1e-7) and the trimming of spent tails (1e-8
// a step, some hundred steps) account for.
func TestColumnAgainstSlowTwin(t *testing.T) {
	m, err := Default().prepare()
	if err != nil {
		t.Fatal(err)
	}
	for name, v := range map[string]Vessel{"cylinder": Cylinder(18), "cone": VBottom(18, 10)} {
		m.shape = v.fill(5)
		fast, slow := m.column(80), m.column(80)
		for at := 0.0; at < 150; {
			// Without trimming, spent tails of the fastest class must be stable too.
			dt := 0.2 / fast.rate
			if !(dt < 1) {
				break
			}
			twin(slow, dt)
			fast.step(dt)
			at += dt
		}
		worst := 0.0
		for k := range slow.phi {
			worst = max(worst, abs(slow.phi[k]-fast.phi[k]))
		}
		if !(worst < 3e-6) || fast.steps < 100 {
			t.Errorf("%s: fractions part by %.2g after %d steps", name, worst, fast.steps)
		}
	}
}

// Convergence of what a draw window rests on, the time at which a tenth of the
// activity is gone at mid-height: the error against 1600 cells is below 0.15 % on
// 400 cells and falls nearly with the first power of the cell (the fronts of
// single classes, and the fan above the bed, disturb it).
func TestGridConvergence(t *testing.T) {
	c := Default()
	c.Classes = 24
	m, err := c.prepare()
	if err != nil {
		t.Fatal(err)
	}
	gone := func(cells int) float64 {
		col := m.column(cells)
		for at, last := 0.0, 1.0; at < 300; at += 0.1 {
			col.advance(0.1)
			k := cells / 2
			x := (m.relative(col.phi[k*col.n:(k+1)*col.n]) + m.relative(col.phi[(k-1)*col.n:k*col.n])) / 2
			if x < 0.9 {
				return at + 0.1*(last-0.9)/(last-x)
			}
			last = x
		}
		return math.NaN()
	}
	truth := gone(1600)
	var errs []float64
	for _, cells := range []int{50, 100, 200, 400} {
		errs = append(errs, abs(gone(cells)-truth)/truth)
	}
	if order := math.Log2(errs[0]/errs[3]) / 3; !(order > 0.8 && errs[3] < 0.0015) {
		t.Errorf("relative errors %.2g on 50 to 400 cells, order %.2f", errs, order)
	}
}

// Convergence of whole profiles to Kynch's exact solution, one class, both
// fronts shocks: the L1 error falls with the first power of the cell.
func TestGridConvergenceOfProfiles(t *testing.T) {
	const v0, phi, packing = 0.3434, 0.08, 0.60
	v := v0 * math.Pow(1-phi, 4.65)
	var errs []float64
	for _, cells := range []int{100, 200, 400, 800} {
		c := uniform(cells, []float64{v0}, []float64{phi}, packing)
		sum, at := 0.0, 0.0
		for range 200 { // where in its cell a front stands averages out
			c.advance(0.14)
			at += 0.14
			line, bed := 20-v*at, phi*v/(packing-phi)*at
			for j := range cells {
				lo, hi := height(c)*float64(j), height(c)*float64(j+1)
				part := func(a, b float64) float64 { return max(0, min(b, hi)-max(a, lo)) / height(c) }
				sum += abs(c.total[j]-packing*part(0, bed)-phi*part(bed, line)) / (200 * phi * float64(cells))
			}
		}
		errs = append(errs, sum)
	}
	if order := math.Log2(errs[0]/errs[3]) / 3; !(order > 0.97) {
		t.Errorf("relative L1 errors %.3g on 100 to 800 cells: order %.3f", errs, order)
	}
}

// A published explicit method in numpy, with another flux and a fixed time
// step. Both discretise one equation, so as its grid is refined the other
// method must close in on our solution on a fine grid; on equal grids ours must
// be the nearer.
func TestColumnAgainstNumpy(t *testing.T) {
	c := Default()
	c.Classes = 7
	m, err := c.prepare()
	if err != nil {
		t.Fatal(err)
	}
	const at = 60.0
	fine := m.column(1600)
	fine.advance(at)
	distance := func(total func(j int) float64, cells int) (sum float64) {
		for j := range cells {
			truth := 0.0
			for k := range 1600 / cells {
				truth += fine.total[1600/cells*j+k] * float64(cells) / 1600
			}
			sum += abs(total(j)-truth) / (m.solids * float64(cells))
		}
		return sum
	}
	var theirs []float64
	for _, cells := range []int{100, 200, 400} {
		args := []float64{float64(cells), at, m.shape.level, m.n, float64(m.Packing)}
		for i := range m.v {
			args = append(args, m.v[i], m.phi[i])
		}
		rows := peer(t, "settle.py", args...)[1:]
		if len(rows) != cells {
			t.Fatalf("%d cells", len(rows))
		}
		ours := m.column(cells)
		ours.advance(at)
		our, their := distance(func(j int) float64 { return ours.total[j] }, cells), distance(func(j int) float64 { return rows[j][0] }, cells)
		t.Logf("%d cells: relative L1 distance %.4f, numpy %.4f", cells, our, their)
		if !(our < 0.7*their) {
			t.Errorf("%d cells: relative L1 distance %.4f, numpy %.4f", cells, our, their)
		}
		theirs = append(theirs, their)
	}
	if order := math.Log2(theirs[0]/theirs[2]) / 2; !(order > 0.6 && theirs[2] < 0.04) {
		t.Errorf("numpy closes in with order %.2f: %.4f", order, theirs)
	}
}

// All settled, the bed is as high as its solids need, in every vessel.
func TestBedHoldsAllSolids(t *testing.T) {
	for name, v := range map[string]Vessel{"cylinder": Cylinder(18), "tapered": Tapered(8, 20, 15), "cone": VBottom(18, 10)} {
		c := Default()
		c.Vessel, c.Draw, c.Points = v, Draw{}, 2
		c.Span = 3600
		r, err := Run(c)
		if err != nil {
			t.Fatal(name, err)
		}
		s := v.fill(5)
		want := s.height(float64(r.Solids) / 0.6 * s.volume)
		// A cell is a 400th of the volume; where it ends is known to half of it.
		tol := s.height(float64(r.Solids)/0.6*s.volume+s.volume/400) - want
		if got := float64(r.Track[1].Bed); abs(got-want) > tol {
			t.Errorf("%s: bed %.4f mm, want %.4f", name, got, want)
		}
		if off, err := imbalance(c); err != nil || abs(off) > 1e-12 {
			t.Errorf("%s: solids out of balance by %g, %v", name, off, err)
		}
	}
}

// Seven classes, 400 cells, ten minutes.
func BenchmarkColumn(b *testing.B) {
	c := Default()
	c.Classes = 7
	m, err := c.prepare()
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		m.column(400).advance(600)
	}
}

// Passing over fresh cells changes nothing, not even the last bit, also when
// cells are drawn out of the row.
func TestPassingOverFreshCells(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v0, phi := drawClasses(t, 0.5)
		cells := rapid.IntRange(20, 120).Draw(t, "cells")
		quick, full := uniform(cells, v0, phi, 0.6), uniform(cells, v0, phi, 0.6)
		full.lo, full.hi = 0, 0
		for range rapid.IntRange(1, 5).Draw(t, "rounds") {
			s := rapid.Float64Range(0, 15).Draw(t, "s")
			quick.advance(s)
			full.advance(s)
			if quick.cells > 12 && rapid.Bool().Draw(t, "draw") {
				k := rapid.IntRange(0, quick.cells-1).Draw(t, "outlet")
				quick.draw(k, 7, 3)
				full.draw(k, 7, 3)
			}
			if quick.steps != full.steps || !slices.Equal(quick.phi[:quick.cells*quick.n], full.phi[:full.cells*full.n]) {
				t.Fatalf("after %d and %d steps the columns part", quick.steps, full.steps)
			}
		}
	})
}
