package ledger

import (
	"math"
	"time"
)

// Rest is a set fitted: for each datum it gives what all the others say of it.
//
//	r = y − h(x*) − A·d,  Λ = Λ0 + Σ aᵢaᵢᵀ/σᵢ²,  P = Λ⁻¹,  ℓᵢ = aᵢᵀPaᵢ/σᵢ²
//	left out:  y − prediction = rᵢ/(1 − ℓᵢ),  variance of that = σᵢ²/(1 − ℓᵢ)
//
// which is the fit without the datum, exactly, since the model is linear about
// a point that a false datum has not bent (Cook and Weisberg, Residuals and
// Influence in Regression, 1982, 2.2; from memory).
type Rest struct {
	e     *Evidence
	a     [][]float64 // gradients
	sigma []float64
	r     []float64
	p     []float64 // P, row after row
	d     []float64 // step from the point to the fit
	logZ  float64
}

// Prediction is what the other data say of one: its value, the standard
// uncertainty of that, and the datum's own standard deviation about the truth.
type Prediction struct {
	// Value, U and Own are in the unit of the datum.
	Value, U, Own float64
}

// Fit fits the set with the standard deviation of each datum multiplied by
// loosen; nil leaves them all as they are.
func (e *Evidence) Fit(loosen []float64) *Rest {
	n, w := len(e.rows), len(e.unknowns)+len(e.params)
	f := &Rest{e: e, a: make([][]float64, n), sigma: make([]float64, n), r: make([]float64, n), d: make([]float64, w)}
	info, all := make([]float64, w*w), make([]float64, n*w)
	for j := range w {
		sd := float64(wide)
		if k := j - len(e.unknowns); k >= 0 {
			id := e.params[k]
			sd = e.book.factors[id].U / e.book.factors[id].Value
		}
		info[j*w+j] = 1 / (sd * sd)
		f.logZ -= math.Log(sd)
	}
	for i := range e.rows {
		f.a[i] = all[i*w : (i+1)*w]
		h, sigma := e.rows[i].linear(e, f.a[i])
		if loosen != nil {
			sigma *= loosen[i]
		}
		f.sigma[i], f.r[i] = sigma, e.rows[i].Value-h
		f.logZ -= math.Log(sigma)
		for j, x := range f.a[i] {
			if x == 0 {
				continue
			}
			for k := range j + 1 {
				info[j*w+k] += x * f.a[i][k] / (sigma * sigma)
			}
			f.d[j] += x * f.r[i] / (sigma * sigma)
		}
	}
	f.solve(info, w)
	return f
}

// solve inverts the information by its Cholesky factor and takes the step.
func (f *Rest) solve(info []float64, w int) {
	b := append([]float64(nil), f.d...)
	cholesky(info, w)
	for j := range w {
		f.logZ -= math.Log(info[j*w+j])
	}
	f.p = make([]float64, w*w)
	for j := range w {
		col := f.p[j*w : (j+1)*w]
		col[j] = 1
		lower(info, w, col)
	}
	product(f.p, b, f.d)
	for i := range f.r {
		f.logZ -= f.r[i] * f.r[i] / (f.sigma[i] * f.sigma[i]) / 2
		f.r[i] -= inner(f.a[i], f.d)
	}
	f.logZ += inner(b, f.d) / 2
}

// sharpest is the least standard deviation of a reading, in multiples of the largest
// activity of the set at that time: 10 kBq beside 10 GBq. A container that is empty by its
// volumes would have that of the display's step alone, and beside 29 Bq the squares of the other
// weights are lost in rounding (no source: any small number does).
const sharpest = 1e-6

// linear writes the row's gradient at the point and gives the model's value
// there and the datum's standard deviation about it.
func (row *evidence) linear(e *Evidence, a []float64) (h, sigma float64) {
	n, sum := len(e.unknowns), dot(row.terms, e.x)
	switch row.Kind {
	case ReadingDatum:
		k := row.factor * e.scale
		h = k * sum
		for _, t := range row.terms {
			a[t.u] = k * t.c
		}
		for _, p := range []int{row.gain, row.geom} {
			if p >= 0 {
				a[n+p] += h
			}
		}
	case LabelDatum:
		h = e.scale * e.x[row.own]
		a[row.own] = e.scale
	default: // x/(q·source)
		src := max(sum, 1e-3)
		h = e.x[row.own] / (row.factor * src)
		for _, t := range row.terms {
			a[t.u] = -h / src * t.c
		}
		a[row.own] += 1 / (row.factor * src)
		return h, math.Hypot(max(row.rel*row.Value, row.floor), row.bg)
	}
	return h, max(math.Hypot(max(row.rel*math.Abs(h), row.floor), row.bg), sharpest*row.factor*e.scale)
}

// LogEvidence is the logarithm of the probability density of all the data, but
// for a constant that hangs on their number alone.
func (f *Rest) LogEvidence() float64 { return f.logZ }

func (f *Rest) leverage(i int) float64 {
	return min(f.between(f.a[i], f.a[i])/(f.sigma[i]*f.sigma[i]), 1-1e-9)
}

// deviate is how many standard deviations a datum lies from what the others
// say of it.
func (f *Rest) deviate(i int) float64 {
	return f.r[i] / f.sigma[i] / math.Sqrt(1-f.leverage(i))
}

// Predict gives what the others say of datum i.
func (f *Rest) Predict(i int) Prediction {
	l := f.leverage(i)
	return Prediction{
		Value: f.e.rows[i].Value - f.r[i]/(1-l), U: f.sigma[i] * math.Sqrt(l/(1-l)), Own: f.sigma[i],
	}
}

// Elsewhere gives what the data but reading i say that the same meter would
// have read of a container at an instant; ok is false where it held nothing.
func (f *Rest) Elsewhere(i int, id string, at time.Time) (p Prediction, ok bool) {
	row, ok := f.e.held(i, id, at)
	if !ok {
		return Prediction{}, false
	}
	a := make([]float64, len(f.d))
	h, own := row.linear(f.e, a)
	free := f.sigma[i] * f.sigma[i] * (1 - f.leverage(i))
	both := f.between(a, f.a[i])
	return Prediction{Value: h + inner(a, f.without(i)), U: math.Sqrt(f.between(a, a) + both*both/free), Own: own}, true
}

// Shift is by how much the logarithm of the density of all data changes where
// some of them, at, are changed by so much:
//
//	Δ = −Σ dᵢrᵢ/σᵢ² − ½·Σ dᵢdⱼ(δᵢⱼ − aᵢᵀPaⱼ/σᵢσⱼ)/σᵢσⱼ
func (f *Rest) Shift(at []int, by []float64) (change float64) {
	for k, i := range at {
		si := f.sigma[i]
		change -= by[k] * by[k] / (si * si) / 2
		change -= by[k] * f.r[i] / (si * si)
		for l, j := range at {
			sj := f.sigma[j]
			change += by[k] * by[l] * f.between(f.a[i], f.a[j]) / (si * si * sj * sj) / 2
		}
	}
	return change
}

// Own is the standard deviation about the truth of datum i, a share, if it were
// another value.
func (e *Evidence) Own(i int, value float64) float64 {
	row := &e.rows[i]
	return math.Hypot(max(row.rel*value, row.floor), row.bg)
}

// Contents gives what all the data say that a container held at an instant, in
// Bq; ok is false where it held nothing of this set.
func (f *Rest) Contents(id string, at time.Time) (p Prediction, ok bool) {
	row, ok := f.e.held(0, id, at)
	if !ok {
		return Prediction{}, false
	}
	row.Kind, row.gain, row.geom = ReadingDatum, -1, -1
	row.factor = f.e.book.decay(f.e.book.since(at))
	a := make([]float64, len(f.d))
	h, own := row.linear(f.e, a)
	return Prediction{Value: h + inner(a, f.d), U: math.Sqrt(f.between(a, a)), Own: own}, true
}

// Pair gives the logarithm of the joint density of data i and j, given all the
// others.
func (f *Rest) Pair(i, j int) float64 {
	mi, mj := 1-f.leverage(i), 1-f.leverage(j)
	mij := -f.between(f.a[i], f.a[j]) / (f.sigma[i] * f.sigma[j])
	det := max(mi*mj-mij*mij, 1e-12)
	ri, rj := f.r[i]/f.sigma[i], f.r[j]/f.sigma[j]
	q := (mj*ri*ri - 2*mij*ri*rj + mi*rj*rj) / det
	return -q/2 + math.Log(det)/2 - math.Log(f.sigma[i]*f.sigma[j]) - math.Log(2*math.Pi)
}

// without is the step from the point to the fit that leaves datum i out.
func (f *Rest) without(i int) []float64 {
	out := make([]float64, len(f.d))
	product(f.p, f.a[i], out)
	k := f.r[i] / (f.sigma[i] * f.sigma[i] * (1 - f.leverage(i)))
	for j := range out {
		out[j] = f.d[j] - k*out[j]
	}
	return out
}

// between is aᵀ·P·b.
func (f *Rest) between(a, b []float64) float64 {
	s := 0.0
	for j, x := range a {
		if x != 0 {
			s += x * inner(f.p[j*len(a):(j+1)*len(a)], b)
		}
	}
	return s
}

func inner(a, b []float64) float64 {
	s := 0.0
	for i, x := range a {
		s += x * b[i]
	}
	return s
}

// product is the square matrix m, row after row, times v.
func product(m, v, out []float64) {
	for j := range v {
		out[j] = inner(m[j*len(v):(j+1)*len(v)], v)
	}
}

// cholesky replaces the lower triangle of m by its Cholesky factor (Golub and
// Van Loan, Matrix Computations, 4.2). The prior keeps m positive definite.
func cholesky(m []float64, w int) {
	for j := range w {
		row := m[j*w : j*w+j+1]
		for k := range j {
			row[k] = (row[k] - inner(row[:k], m[k*w:k*w+k])) / m[k*w+k]
		}
		row[j] = math.Sqrt(max(row[j]-inner(row[:j], row[:j]), 1e-300))
	}
}

// lower solves L·Lᵀ·x = y in place.
func lower(l []float64, w int, y []float64) {
	for i := range w {
		y[i] = (y[i] - inner(l[i*w:i*w+i], y[:i])) / l[i*w+i]
	}
	for i := w - 1; i >= 0; i-- {
		for k := i + 1; k < w; k++ {
			y[i] -= l[k*w+i] * y[k]
		}
		y[i] /= l[i*w+i]
	}
}
