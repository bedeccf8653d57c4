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

// impedance gives R, X and Z from V, I and phi, by exact derivatives.
func impedance(v, i, phi Number) (r, x, z Number) {
	z = v.Div(i)
	s, c := math.Sincos(phi.Value())
	cos := fn(c, []float64{-s}, phi)
	sin := fn(s, []float64{c}, phi)
	return z.Mul(cos), z.Mul(sin), z
}

// Published: 127.732(71), 219.847(295), 254.260(236) ohm, r(R,X) = -0.588,
// r(R,Z) = -0.485, r(X,Z) = 0.993. Unrounded figures: worked out independently
// from the readings, tolerance half of their last digit.
func TestGUMH2ResistanceAndReactance(t *testing.T) {
	in := must(Simultaneous([][]float64{h2V, h2I, h2Phi}, []string{"V", "I", "phi"}))(t)
	near(t, "V", in[0].Value(), 4.9990, 5e-5)
	near(t, "I", in[1].Value(), 19.6610e-3, 5e-8)
	near(t, "phi", in[2].Value(), 1.04446, 5e-6)
	near(t, "u(V)", in[0].U(), 0.0032, 5e-5)
	near(t, "u(I)", in[1].U(), 0.0095e-3, 5e-8)
	near(t, "u(phi)", in[2].U(), 0.00075, 5e-6)
	near(t, "r(V,I)", corr(in[0], in[1]), -0.355, 5e-4)
	near(t, "r(V,phi)", corr(in[0], in[2]), 0.858, 5e-4)
	near(t, "r(I,phi)", corr(in[1], in[2]), -0.645, 5e-4)

	r, x, z := impedance(in[0], in[1], in[2])
	near(t, "R", r.Value(), 127.73217, 5e-6)
	near(t, "X", x.Value(), 219.84651, 5e-6)
	near(t, "Z", z.Value(), 254.25970, 5e-6)
	near(t, "u(R)", r.U(), 0.07107, 5e-6)
	near(t, "u(X)", x.U(), 0.29558, 5e-6)
	near(t, "u(Z)", z.U(), 0.23634, 5e-6)
	near(t, "r(R,X)", corr(r, x), -0.58843, 5e-6)
	near(t, "r(R,Z)", corr(r, z), -0.48526, 5e-6)
	near(t, "r(X,Z)", corr(x, z), 0.99251, 5e-6)
	near(t, "cov(X,Z)", cov(x, z), corr(x, z)*x.U()*z.U(), 1e-12)

	// Five readings taken together leave 4 degrees of freedom, whatever is made
	// of them.
	for _, y := range []Number{r, x, z} {
		near(t, "dof", y.Dof(), 4, 1e-9)
	}

	// H.2.4, the second approach: R of each set of readings, then the mean.
	each := make([]float64, len(h2V))
	for k := range each {
		each[k] = h2V[k] / h2I[k] * math.Cos(h2Phi[k])
	}
	second := TypeA(each, "R")
	near(t, "R, second approach", second.Value(), 127.732, 5e-4)
	near(t, "u(R), second approach", second.U(), 0.071, 5e-4)

	// Shares of correlated inputs may be negative; they still add to 1.
	sum := 0.0
	for _, line := range r.Budget() {
		sum += line.Share
	}
	near(t, "sum of shares", sum, 1, 1e-12)
}

// The rounding trap of H.2: out of the means, uncertainties and correlations as
// printed, u(R) comes to 0.070 in place of 0.071, since R is a small difference of
// correlated effects. What was measured together is to be kept as read.
func TestGUMH2RoundedInputsMislead(t *testing.T) {
	u := []float64{0.0032, 0.0095e-3, 0.00075}
	r := [][]float64{{1, -0.36, 0.86}, {-0.36, 1, -0.65}, {0.86, -0.65, 1}}
	v := make([][]float64, 3)
	for i := range v {
		v[i] = make([]float64, 3)
		for j := range v[i] {
			v[i][j] = r[i][j] * (u[i] * u[j])
		}
	}
	in := must(Correlated([]float64{4.9990, 19.6610e-3, 1.04446}, v, []string{"V", "I", "phi"}, 4))(t)
	rounded, _, _ := impedance(in[0], in[1], in[2])
	if u := rounded.U(); math.Abs(u-0.07107) < 5e-4 {
		t.Errorf("u(R) = %.5f from rounded inputs: the trap is gone, and so is the reason for keeping readings", u)
	}
	near(t, "u(R) from rounded inputs", rounded.U(), 0.070, 5e-4)
}

// Published (H.3): y1 = -0.1712(29), y2 = 0.00218(67), r = -0.930, s = 0.0035,
// b(30) = -0.1494(41), and the sum of squares of the residuals 1.10096583e-4.
func TestGUMH3CalibrationLine(t *testing.T) {
	at := []float64{21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511}
	b := []float64{-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160}
	const t0 = 20
	n := float64(len(at))
	var sx, sy, sxx, sxy float64
	for k := range at {
		x := at[k] - t0
		sx, sy, sxx, sxy = sx+x, sy+b[k], sxx+x*x, sxy+x*b[k]
	}
	det := n*sxx - sx*sx // eqs. (H.13a) to (H.13g)
	y1, y2 := (sxx*sy-sx*sxy)/det, (n*sxy-sx*sy)/det
	squares := 0.0
	for k := range at {
		e := b[k] - y1 - y2*(at[k]-t0)
		squares += e * e
	}
	near(t, "residuals", squares, 1.10096583e-4, 1e-12)
	s2 := squares / (n - 2)
	near(t, "s", math.Sqrt(s2), 0.0034976, 5e-8)

	line := must(Correlated([]float64{y1, y2},
		[][]float64{{s2 * sxx / det, -s2 * sx / det}, {-s2 * sx / det, s2 * n / det}},
		[]string{"intercept", "slope"}, n-2))(t)
	near(t, "y1", line[0].Value(), -0.1712038, 5e-8)
	near(t, "s(y1)", line[0].U(), 0.0028776, 5e-8)
	near(t, "y2", line[1].Value(), 0.00218270, 5e-9)
	near(t, "s(y2)", line[1].U(), 0.00066794, 5e-9)
	near(t, "r", corr(line[0], line[1]), -0.930, 5e-4)

	b30 := line[0].Add(line[1].Scale(30 - t0))
	near(t, "b(30)", b30.Value(), -0.149377, 5e-7)
	near(t, "u(b(30))", b30.U(), 0.0041, 5e-5)
	// The same from the textbook form, which needs no correlation:
	// s^2 (1/n + (t - mean t)^2 / sum (t_k - mean t)^2). With r cut to -0.930 the
	// propagated figure would be 0.004141, not 0.004139.
	spread := sxx - sx*sx/n
	alike(t, "u(b(30))", b30.U(), math.Sqrt(s2*(1/n+math.Pow(30-t0-sx/n, 2)/spread)), 1e-9)
	near(t, "dof", b30.Dof(), 9, 1e-9)
	k, _ := b30.Coverage(0.95)
	near(t, "k95 with 9 degrees of freedom", k, 2.26, 0.005) // Table G.2
}

// H.4, radon in water by liquid scintillation: six cycles of standard, blank and
// sample. The counts and times of Table H.7 are typed from memory and not seen;
// that they give every published mean, standard deviation and correlation is the
// evidence for them, since one wrong digit would not.
//
// Published: standard 206.09(3.79), sample 652.60(6.42) per minute, r = 0.646;
// A_x = 0.4300 Bq/g with u = 0.0083 from the means (H.4.3.1), and 0.4304 with
// 0.0084 from the six ratios (H.4.3.2). With inputs taken as independent the first
// would be wrong.
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
	in := must(Simultaneous([][]float64{standard, sample}, []string{"standard", "sample"}))(t)
	near(t, "R_S", in[0].Value(), 206.09, 5e-3)
	near(t, "s(R_S)", in[0].U(), 3.79, 5e-3)
	near(t, "R_x", in[1].Value(), 652.60, 5e-3)
	near(t, "s(R_x)", in[1].U(), 6.42, 5e-3)
	near(t, "r", corr(in[0], in[1]), 0.646, 5e-4)

	means := in[1].Div(in[0])
	near(t, "R from the means", means.Value(), 3.167, 5e-4)
	near(t, "u(R)", means.U(), 0.045, 5e-4)
	ratios := TypeA(ratio, "ratio")
	near(t, "R from the ratios", ratios.Value(), 3.170, 5e-4)
	near(t, "u(R)", ratios.U(), 0.046, 5e-4)

	activity := func(r Number) Number {
		as := New(0.1368, 0.0018, "standard activity", typeB) // Bq/g
		ms := New(5.0192, 0.005, "standard mass", typeB)      // g
		mx := New(5.0571, 0.0010, "sample mass", typeB)
		return as.Mul(ms).Div(mx).Mul(r)
	}
	first, second := activity(means), activity(ratios)
	near(t, "A_x from the means", first.Value(), 0.4300, 6e-5) // 0.42995, printed after rounding R
	near(t, "u(A_x) from the means", first.U(), 0.0083, 5e-5)
	near(t, "A_x from the ratios", second.Value(), 0.4304, 5e-5)
	near(t, "u(A_x) from the ratios", second.U(), 0.0084, 5e-5)
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
