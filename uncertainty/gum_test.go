package uncertainty

import (
	"math"
	"testing"
)

// The worked examples of JCGM 100:2008 (GUM), annex H.

var typeB = math.Inf(1)

// endGauge gives the inputs of H.1, lengths in nm, temperatures in degrees C.
func endGauge() (ls, d, dAlpha, theta, alpha, dTheta Number) {
	ls = New(50_000_623, 25, "standard", 18)
	d = New(215, 5.8, "repeated observations", 24).
		Add(New(0, 3.9, "comparator, random", 5)).
		Add(New(0, 6.7, "comparator, systematic", 8))
	dAlpha = New(0, 1e-6/math.Sqrt(3), "expansion difference", 50)
	theta = New(-0.1, 0.2, "mean temperature", typeB).Add(New(0, 0.5/math.Sqrt2, "cyclic variation", typeB))
	alpha = New(11.5e-6, 2e-6/math.Sqrt(3), "expansion of the standard", typeB)
	dTheta = New(0, 0.05/math.Sqrt(3), "temperature difference", 2)
	return ls, d, dAlpha, theta, alpha, dTheta
}

// Published: l = 50 000 838 nm, u_c = 32 nm, nu_eff = 16, k_99 = 2.92,
// U_99 = 93 nm, 34 nm with the second-order terms. The unrounded figures behind
// them were worked out from the inputs with a calculator.
func TestGUMH1EndGauge(t *testing.T) {
	ls, d, dAlpha, theta, alpha, dTheta := endGauge()
	l := ls.Add(d).Sub(ls.Mul(dAlpha.Mul(theta).Add(alpha.Mul(dTheta))))
	near(t, "l", l.Value(), 50_000_838, 0)
	near(t, "u(d)", d.U(), 9.7, 0.05)
	near(t, "u(theta)", theta.U(), 0.41, 0.005)

	// Components in nm (Table H.1); the last figure of each is exact arithmetic.
	want := []struct {
		source string
		c      float64
	}{
		{"standard", 25},
		{"temperature difference", 50_000_623 * 11.5e-6 * 0.05 / math.Sqrt(3)}, // 16.599
		{"comparator, systematic", 6.7},
		{"repeated observations", 5.8},
		{"comparator, random", 3.9},
		{"expansion difference", 50_000_623 * 0.1 * 1e-6 / math.Sqrt(3)}, // 2.88679
	}
	lines := l.Budget()
	if len(lines) != len(want) {
		t.Fatalf("%d lines in the budget, want %d: %+v", len(lines), len(want), lines)
	}
	for i, w := range want {
		if lines[i].Source != w.source {
			t.Errorf("line %d is %q, want %q", i, lines[i].Source, w.source)
		}
		alike(t, w.source, math.Abs(lines[i].Component), w.c, 1e-12)
	}

	near(t, "u(l)", l.U(), 31.7, 0.05)
	// The guide rounds the components before it divides; unrounded they give 16.75.
	near(t, "nu_eff", l.Dof(), 16.7, 0.1)
	k, expanded := l.Coverage(0.99)
	near(t, "k99", k, 2.92, 0.005)
	near(t, "U99", expanded, 92.5, 0.05)
}

var (
	h2V   = []float64{5.007, 4.994, 5.005, 4.990, 4.999}
	h2I   = []float64{19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3}
	h2Phi = []float64{1.0456, 1.0438, 1.0468, 1.0428, 1.0433}
)

// H.2.4, the second approach: R of each set of five readings taken together, then the
// mean. Published: 127.732(71) ohm with 4 degrees of freedom.
func TestGUMH2Resistance(t *testing.T) {
	each := make([]float64, len(h2V))
	for k := range each {
		each[k] = h2V[k] / h2I[k] * math.Cos(h2Phi[k])
	}
	r := TypeA(each, "R")
	near(t, "R", r.Value(), 127.732, 5e-4)
	near(t, "u(R)", r.U(), 0.071, 5e-4)
	near(t, "dof", r.Dof(), 4, 1e-9)
}

// H.4, radon in water by liquid scintillation: six cycles of standard, blank and
// sample. The counts and times of Table H.7 are typed from memory and not seen;
// that they give every published mean and standard deviation is the
// evidence for them, since one wrong digit would not.
//
// Published: standard 206.09(3.79), sample 652.60(6.42) per minute; A_x = 0.4304 Bq/g with
// u = 0.0084 from the six ratios (H.4.3.2).
func TestGUMH4ActivityByLiquidScintillation(t *testing.T) {
	cycles := [][6]float64{ // t_S min, C_S, t_B, C_B, t_x, C_x
		{243.74, 15380, 305.56, 4054, 367.37, 41432},
		{984.53, 14978, 1046.10, 3922, 1107.66, 38706},
		{1723.87, 14394, 1785.43, 4200, 1846.99, 35860},
		{2463.17, 13254, 2524.73, 3830, 2586.28, 32238},
		{3217.56, 12516, 3279.12, 3956, 3340.68, 29640},
		{3956.83, 11058, 4018.38, 3980, 4079.94, 26356},
	}
	const lambda, minutes = 1.25894e-4, 60 // per min; counting time in min
	var standard, sample, ratio []float64
	for _, c := range cycles {
		s := (c[1] - c[3]) / minutes * math.Exp(lambda*c[0])
		x := (c[5] - c[3]) / minutes * math.Exp(lambda*c[4])
		standard, sample, ratio = append(standard, s), append(sample, x), append(ratio, x/s)
	}
	rs, rx := TypeA(standard, "standard"), TypeA(sample, "sample")
	near(t, "R_S", rs.Value(), 206.09, 5e-3)
	near(t, "s(R_S)", rs.U(), 3.79, 5e-3)
	near(t, "R_x", rx.Value(), 652.60, 5e-3)
	near(t, "s(R_x)", rx.U(), 6.42, 5e-3)
	ratios := TypeA(ratio, "ratio")
	near(t, "R from the ratios", ratios.Value(), 3.170, 5e-4)
	near(t, "u(R)", ratios.U(), 0.046, 5e-4)

	activity := func(r Number) Number {
		as := New(0.1368, 0.0018, "standard activity", typeB) // Bq/g
		ms := New(5.0192, 0.005, "standard mass", typeB)      // g
		mx := New(5.0571, 0.0010, "sample mass", typeB)
		return as.Mul(ms).Div(mx).Mul(r)
	}
	a := activity(ratios)
	near(t, "A_x from the ratios", a.Value(), 0.4304, 5e-5)
	near(t, "u(A_x) from the ratios", a.U(), 0.0084, 5e-5)
}

// The subtraction assay: activity drawn from a vial as the difference of a reading
// before and one after, both with the same factor of one meter. The common factor
// neither cancels nor adds in quadrature: u^2 = D^2 u_f^2 + f^2 (u_1^2 + u_2^2),
// to 0.03365 GBq. Two readings of 2 % each taken as independent would give 0.0701,
// twice as much.
func TestSubtractionAssay(t *testing.T) {
	f := New(1, 0.02, "meter factor", typeB)
	r1 := New(3.12, 0.003*3.12, "reading 1", typeB)
	r2 := New(1.52, 0.003*1.52, "reading 2", typeB)
	drawn := f.Mul(r1).Sub(f.Mul(r2))
	near(t, "drawn", drawn.Value(), 1.6, 1e-12)
	near(t, "u", drawn.U(), math.Sqrt(0.032*0.032+0.00936*0.00936+0.00456*0.00456), 1e-12)
	near(t, "u", drawn.U(), 0.03365, 5e-6)

	relative := math.Hypot(0.02, 0.003)
	wrong := New(3.12, relative*3.12, "1", typeB).Sub(New(1.52, relative*1.52, "2", typeB))
	near(t, "u if independent", wrong.U(), 0.0701, 1e-4)

	// A factor of each geometry of its own stands between the two.
	g1, g2 := New(1, 0.01, "full vial", typeB), New(1, 0.01, "part-empty vial", typeB)
	partial := f.Mul(g1).Mul(r1).Sub(f.Mul(g2).Mul(r2))
	near(t, "u, two geometries", partial.U(), math.Sqrt(drawn.U()*drawn.U()+0.0312*0.0312+0.0152*0.0152), 1e-12)
}
