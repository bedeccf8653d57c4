package settling

import "math"

// exponent is n of the Richardson-Zaki law v = v0 (1-phi)^n by the terminal Reynolds
// number: 4.65 below 0.2, 4.35 Re^-0.03 to 1, 4.45 Re^-0.1 to 500, 2.39 above
// (Richardson and Zaki, Trans Inst Chem Eng 32:35, 1954; without the small term in
// diameter over vessel diameter, which adds 0.04 to n in an 18 mm vial).
func exponent(re float64) float64 {
	switch {
	case re < 0.2:
		return 4.65
	case re < 1:
		return 4.35 * math.Pow(re, -0.03)
	case re < 500:
		return 4.45 * math.Pow(re, -0.1)
	}
	return 2.39
}

// hindranceCells is the number of intervals of the table of (1-phi)^(n-1).
// Linear interpolation errs by at most (n-1)(n-2)(phi_max/cells)^2/8, 4.2e-7
// for n = 4.65 and phi_max = 0.6: a thousandth of what the grid costs.
const hindranceCells = 1024

// hindrance tabulates (1-phi)^(n-1) on 0..limit; the packed bed has none.
type hindrance struct {
	exponent, limit, packed float64 // n, phi_max, where a cell counts as packed
	scale                   float64 // intervals over phi_max
	top, peak               float64 // of phi (1-phi)^n

	table []float64
}

// slack is the relative distance from the packing limit at which a cell
// counts as packed; rounding stays far below it.
const slack = 1e-12

func newHindrance(n, limit float64) hindrance {
	h := hindrance{
		exponent: n, limit: limit, packed: limit * (1 - slack), scale: hindranceCells / limit,
		table: make([]float64, hindranceCells+2),
	}
	for i := range h.table {
		phi := math.Min(float64(i)/h.scale, 1)
		h.table[i] = math.Pow(1-phi, n-1)
	}
	h.top = 1 / (n + 1)
	h.peak = h.top * math.Pow(1-h.top, n)
	return h
}

// at gives (1-phi)^(n-1), and 0 from the packing limit on: a packed bed does
// not settle. phi must lie in 0..limit.
func (h *hindrance) at(phi float64) float64 {
	if phi >= h.packed {
		return 0
	}
	x := phi * h.scale
	k := int(x)
	lo := h.table[k]
	return lo + (x-float64(k))*(h.table[k+1]-lo)
}

// through is what a cell's total fraction says about flux across its faces, in
// units of v0 and with f = phi (1-phi)^n: see column.
type through struct {
	let   float64 // what it can let go
	take  float64 // what it can take in
	back  float64 // -f' where that is positive and the cell not packed, else 0
	space float64 // 1 / (1 - phi)
}

func (h *hindrance) through(phi float64) through {
	space := 1 / (1 - phi)
	if phi >= h.packed {
		return through{let: h.peak, space: space}
	}
	free := h.at(phi)
	f := phi * (1 - phi) * free
	if phi < h.top {
		return through{let: f, take: h.peak, space: space}
	}
	// f' = (1-phi)^(n-1) (1 - (n+1) phi)
	return through{let: h.peak, take: f, back: free * ((h.exponent+1)*phi - 1), space: space}
}
