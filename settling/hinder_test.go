package settling

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// Exponents of Richardson and Zaki 1954 by Reynolds number, and the values of
// (1-phi)^4.65 to the six digits given.
func TestRichardsonZaki1954(t *testing.T) {
	for _, row := range []struct{ re, n, tol float64 }{
		{0, 4.65, 0},
		{0.01, 4.65, 0},
		{0.1999, 4.65, 0},
		{0.5, 4.35 * math.Pow(0.5, -0.03), 0},
		{10, 4.45 * math.Pow(10, -0.1), 0},
		{500.1, 2.39, 0},
		{499.9, 2.39, 1e-3}, // the last two meet: 4.45 * 500^-0.1 = 2.3904
	} {
		near(t, "n", exponent(row.re), row.n, row.tol)
	}
	for phi, want := range map[float64]float64{0.01: 0.954341, 0.02: 0.910335, 0.05: 0.787798, 0.10: 0.612671} {
		v := slip([]float64{1}, []float64{phi}, 4.65)
		near(t, "(1-phi)^4.65", v[0], want, 1e-6)
	}
	// The suspension of 32.5 um spheres at 0.216: 0.3434 mm/s becomes 0.11 mm/s.
	near(t, "clear line in mm/s", slip([]float64{0.3434}, []float64{0.216}, 4.65)[0], 0.1108, 3e-3)
}

func drawClasses(t *rapid.T, most float64) (v, phi []float64) {
	n := rapid.IntRange(1, 9).Draw(t, "classes")
	fall := rapid.Float64Range(0.2, 2).Draw(t, "fastest")
	total := rapid.Float64Range(1e-4, most).Draw(t, "solids")
	sum := 0.0
	for range n {
		v = append(v, fall)
		fall *= rapid.Float64Range(0.3, 1).Draw(t, "ratio")
		x := rapid.Float64Range(1e-3, 1).Draw(t, "share")
		phi = append(phi, x)
		sum += x
	}
	for i := range phi {
		phi[i] *= total / sum
	}
	return v, phi
}

// No volume crosses a level: solids and liquid fluxes add to zero, the liquid
// moving at minus the sum of what the solids displace; a suspension split into
// classes of one velocity is that suspension; a faster class falls faster.
func TestSlipClosure(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v0, phi := drawClasses(t, 0.6)
		v := slip(v0, phi, 4.65)
		total, solids, back := 0.0, 0.0, 0.0
		for i := range v {
			total += phi[i]
			solids += phi[i] * v[i]
			back += phi[i] * v0[i]
			if i > 0 && v[i] > v[i-1] {
				t.Fatal("a slower sphere falls faster")
			}
		}
		liquid := -math.Pow(1-total, 3.65) * back
		if abs(solids+(1-total)*liquid) > 1e-15 {
			t.Fatalf("volume flux %v", solids+(1-total)*liquid)
		}
		same := make([]float64, len(v0))
		for i := range same {
			same[i] = v0[0]
		}
		if got, want := slip(same, phi, 4.65)[0], v0[0]*math.Pow(1-total, 4.65); abs(got-want) > 1e-14 {
			t.Fatalf("split %v, whole %v", got, want)
		}
	})
}

// The table of the hindrance errs by less than its comment says, falls with
// the fraction and ends in rest.
func TestHindranceTable(t *testing.T) {
	h := newHindrance(4.65, 0.6)
	last := math.Inf(1)
	for k := range 100000 {
		phi := 0.6 * float64(k) / 100000
		got := h.at(phi)
		if abs(got-math.Pow(1-phi, 3.65)) > 4.2e-7 {
			t.Fatalf("H(%v) = %v", phi, got)
		}
		if got > last {
			t.Fatalf("H rises at %v", phi)
		}
		last = got
	}
	if h.at(0.6) != 0 || h.at(0.6*(1-1e-13)) != 0 {
		t.Error("the packed bed moves")
	}
}
