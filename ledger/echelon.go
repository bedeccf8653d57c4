package ledger

import "math"

// echelon keeps rows in reduced echelon form, to tell which unknowns a set of
// readings determines. Rows hold sums of ±1 and shares, so a relative
// tolerance of 1e-9 separates zero from non-zero with a wide margin.
type echelon struct {
	rows  [][]float64
	pivot []int
}

const negligible = 1e-9

// reduce takes the rows' parts out of v, in place, and gives the place of the
// largest that is left, -1 for none.
func (e *echelon) reduce(v []float64) (p int) {
	scale := 0.0
	for _, c := range v {
		scale = max(scale, math.Abs(c))
	}
	for i, row := range e.rows {
		if k := v[e.pivot[i]]; k != 0 {
			for j := range v {
				v[j] -= k * row[j]
			}
		}
	}
	p = -1
	for j, c := range v {
		if math.Abs(c) > negligible*scale && (p < 0 || math.Abs(c) > math.Abs(v[p])) {
			p = j
		}
	}
	return p
}

// add enters a row and says whether it told anything new.
func (e *echelon) add(v []float64) bool {
	p := e.reduce(v)
	if p < 0 {
		return false
	}
	k := v[p]
	for j := range v {
		v[j] /= k
	}
	for _, row := range e.rows {
		if k := row[p]; k != 0 {
			for j := range row {
				row[j] -= k * v[j]
			}
		}
	}
	e.rows, e.pivot = append(e.rows, v), append(e.pivot, p)
	return true
}

// determines says whether unknown j follows from the rows alone.
func (e *echelon) determines(j int) bool {
	for i, row := range e.rows {
		if e.pivot[i] != j {
			continue
		}
		for k, c := range row {
			if k != j && math.Abs(c) > negligible {
				return false
			}
		}
		return true
	}
	return false
}

// spans says whether a form follows from the rows alone; v is overwritten.
func (e *echelon) spans(v []float64) bool { return e.reduce(v) < 0 }

func (e *echelon) clone() *echelon {
	out := &echelon{pivot: append([]int(nil), e.pivot...)}
	for _, r := range e.rows {
		out.rows = append(out.rows, append([]float64(nil), r...))
	}
	return out
}
