package ledger_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"

	"vialwright/ledger"
)

func decayFactor(seconds float64) float64 { return math.Exp2(-seconds / float64(halfLife)) }

// dense solves the twin with a general-purpose package: all unknowns and all
// factors in one dense matrix, gonum's QR, Gauss-Newton with the weights at
// the fitted values. It shares no code with the ledger.
func (w *twin) dense(t testing.TB) (x, factors []float64, cov *mat.Dense) {
	t.Helper()
	n, p := len(w.truth), len(w.factors)
	theta := append(append([]float64{}, w.truth...), make([]float64, p)...)
	free := []int{}
	for i := range n {
		free = append(free, i)
	}
	for i, f := range w.factors {
		theta[n+i] = f.Value
		if f.U > 0 {
			free = append(free, n+i)
		}
	}
	var qr mat.QR
	for round := 0; ; round++ {
		a, r := w.linear(theta, n)
		cols := mat.NewDense(a.RawMatrix().Rows, len(free), nil)
		for j, k := range free {
			cols.SetCol(j, mat.Col(nil, k, a))
		}
		// Column scaling keeps activities and factors comparable for QR.
		scale := make([]float64, len(free))
		for j := range free {
			scale[j] = mat.Norm(cols.ColView(j), 2)
			for i := range a.RawMatrix().Rows {
				cols.Set(i, j, cols.At(i, j)/scale[j])
			}
		}
		qr.Factorize(cols)
		var step mat.Dense
		if err := qr.SolveTo(&step, false, r); err != nil {
			t.Fatal(err)
		}
		size := 0.0
		for j, k := range free {
			d := step.At(j, 0) / scale[j]
			theta[k] += d
			size = math.Max(size, math.Abs(d/theta[k]))
		}
		if size < 1e-13 || round > 100 {
			return theta[:n], theta[n:], covariance(cols, scale, free, n+p)
		}
	}
}

// denseRound is one round of dense, for the benchmark.
func (w *twin) denseRound(t testing.TB) {
	theta := append([]float64{}, w.truth...)
	for _, f := range w.factors {
		theta = append(theta, f.Value)
	}
	a, r := w.linear(theta, len(w.truth))
	var qr mat.QR
	qr.Factorize(a)
	var step mat.Dense
	if err := qr.SolveTo(&step, false, r); err != nil {
		t.Fatal(err)
	}
}

func (w *twin) linear(theta []float64, n int) (*mat.Dense, *mat.Dense) {
	p := len(w.factors)
	a := mat.NewDense(len(w.rows)+p, n+p, nil)
	r := mat.NewDense(len(w.rows)+p, 1, nil)
	for i, row := range w.rows {
		sum := 0.0
		for j, c := range row.coef {
			sum += c * theta[j]
		}
		k, s := theta[n+row.gain], theta[n+row.geom]
		h := k * s * row.decay * sum
		sigma := math.Hypot(math.Max(row.rel*math.Abs(h), row.floor), row.bg)
		for j, c := range row.coef {
			a.Set(i, j, k*s*row.decay*c/sigma)
		}
		a.Set(i, n+row.gain, h/k/sigma)
		a.Set(i, n+row.geom, h/s/sigma)
		r.Set(i, 0, (row.y-h)/sigma)
	}
	for i, f := range w.factors {
		if f.U > 0 {
			a.Set(len(w.rows)+i, n+i, 1/f.U)
			r.Set(len(w.rows)+i, 0, (f.Value-theta[n+i])/f.U)
		}
	}
	return a, r
}

func covariance(cols *mat.Dense, scale []float64, free []int, n int) *mat.Dense {
	var normal, inv mat.Dense
	normal.Mul(cols.T(), cols)
	if err := inv.Inverse(&normal); err != nil {
		return nil
	}
	out := mat.NewDense(n, n, nil)
	for i, a := range free {
		for j, b := range free {
			out.Set(a, b, inv.At(i, j)/scale[i]/scale[j])
		}
	}
	return out
}

// TestAgainstDenseGonum compares 500 random ledgers, value by value, with
// gonum's dense least squares: 1e-9 relative for activities and factors, and
// 1e-7 for standard uncertainties (the dense covariance is got from normal
// equations, whose condition number costs it digits).
func TestAgainstDenseGonum(t *testing.T) {
	for seed := range uint64(500) {
		w := randomTwin(seed)
		bal, err := ledger.Reconcile(w.book)
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		x, factors, cov := w.dense(t)
		of := map[int]float64{} // the factors of a reading, by its entry
		for _, r := range w.rows {
			of[r.entry] = factors[r.gain] * factors[r.geom]
		}
		for _, id := range w.names {
			for _, p := range bal.Parts(bal.Now(id)) {
				if f := of[p.Entry]; p.By == ledger.ByReading && math.Abs(p.Factor/f-1) > 1e-9 {
					t.Errorf("seed %d entry %d: factors %.15g, dense %.15g", seed, p.Entry, p.Factor, f)
				}
			}
			want, v := 0.0, 0.0
			for j, c := range w.content[id] {
				want += c * x[j]
				for k, d := range w.content[id] {
					v += c * d * cov.At(j, k)
				}
			}
			got, u := bal.Activity(bal.Now(id), w.epoch)
			if math.Abs(float64(got)-want) > 1e-9*math.Abs(want)+1 {
				t.Errorf("seed %d %s: %.15g Bq, dense %.15g", seed, id, float64(got), want)
			}
			if math.Abs(float64(u)-math.Sqrt(v)) > 1e-7*math.Sqrt(v)+1 {
				t.Errorf("seed %d %s: u %.12g Bq, dense %.12g", seed, id, float64(u), math.Sqrt(v))
			}
		}
	}
}
