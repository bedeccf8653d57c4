package ledger

import "math"

// matrix is a dense matrix, column after column, m rows each.
type matrix struct {
	m int
	a []float64
}

// reset makes the matrix m by w, all zero, keeping its storage.
func (t *matrix) reset(m, w int) {
	t.m = m
	if cap(t.a) < m*w {
		t.a = make([]float64, m*w)
		return
	}
	t.a = t.a[:m*w]
	clear(t.a)
}

func (t *matrix) col(j int) []float64     { return t.a[j*t.m : (j+1)*t.m] }
func (t *matrix) at(i, j int) float64     { return t.a[j*t.m+i] }
func (t *matrix) set(i, j int, v float64) { t.a[j*t.m+i] = v }

// eliminate applies Householder reflections so that the first n columns
// become upper triangular; the other columns are carried along (Golub and Van
// Loan, Matrix Computations, 5.2.1). Rows from n on then hold what the first
// n columns cannot explain.
func (t *matrix) eliminate(n int) {
	w := len(t.a) / max(1, t.m)
	for j := 0; j < n && j < t.m; j++ {
		v := t.col(j)[j:]
		var norm float64
		for _, x := range v {
			norm += x * x
		}
		if norm == 0 {
			continue
		}
		alpha := -math.Copysign(math.Sqrt(norm), v[0])
		// v = x - alpha·e1, in place of the column; v·v = 2·alpha·(alpha - x1).
		half := alpha * (alpha - v[0])
		v[0] -= alpha
		for k := j + 1; k < w; k++ {
			reflect(t.col(k)[j:], v, half)
		}
		clear(v)
		v[0] = alpha
	}
}

// reflect takes 2·v·(v·c)/(v·v) from c, where half is v·v/2.
func reflect(c, v []float64, half float64) {
	c = c[:len(v)]
	var dot float64
	for i, x := range v {
		dot += x * c[i]
	}
	if dot == 0 {
		return
	}
	dot /= half
	for i, x := range v {
		c[i] -= dot * x
	}
}

// triangle copies the first n rows, row after row.
func (t *matrix) triangle(dst []float64, from, to, firstCol int) []float64 {
	w := len(t.a) / max(1, t.m)
	dst = dst[:0]
	for i := from; i < to; i++ {
		for j := firstCol; j < w; j++ {
			dst = append(dst, t.at(i, j))
		}
	}
	return dst
}

// backward solves R·x = y for upper triangular R (n by n, row after row,
// stride w) in place.
func backward(r []float64, w, n int, y []float64) {
	for i := n - 1; i >= 0; i-- {
		s := y[i]
		for j := i + 1; j < n; j++ {
			s -= r[i*w+j] * y[j]
		}
		y[i] = s / r[i*w+i]
	}
}

// forward solves Rᵀ·z = y in place.
func forward(r []float64, w, n int, y []float64) {
	for i := 0; i < n; i++ {
		s := y[i]
		for j := 0; j < i; j++ {
			s -= r[j*w+i] * y[j]
		}
		y[i] = s / r[i*w+i]
	}
}
