package meter

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"vialwright/quantity"
)

var badPoint = struct{ hours, mbq, u []float64 }{
	[]float64{0, 24, 48, 72, 120, 168, 240, 312},
	[]float64{3000, 2313.8, 1785, 1340, 818.5, 487.0, 223.5, 102.7},
	[]float64{0.003, 0.003, 0.003, 0.003, 0.003, 0.004, 0.006, 0.010},
}

// y90 is the half-life in h, 230 550 s.
const y90 = 230550.0 / 3600

func seriesFrom(hours, mbqs, u []float64) (out []Reading) {
	for i := range hours {
		out = append(out, Reading{At: after(hours[i]), Net: quantity.Activity(mbqs[i]) * mbq, U: quantity.Fraction(u[i])})
	}
	return out
}

func percent(x float64) float64 { return 100 * x }

// A series with one bad point at 72 h; the expected figures are from a weighted
// least-squares fit of the same model made apart, by hand and in Python.
func TestLinearityNamesTheBadPoint(t *testing.T) {
	readings := seriesFrom(badPoint.hours, badPoint.mbq, badPoint.u)
	l := ok(LinearityLine(readings, halfLife(y90), 0.05))(t)
	s := seriesOf(readings, halfLife(y90))
	fixed := s.straight(-1)
	near(t, "A0", math.Exp(fixed.a0)/1e6, 2986.8752, 5e-4)
	for i, want := range []float64{0.439, 0.443, 0.472, -2.203, 0.431, 0.462, 0.505, 0.675} {
		near(t, "deviation in %", percent(math.Expm1(s.y[i]-fixed.a0-s.lnf[i])), want, 6e-4)
	}
	near(t, "residual", (s.y[3]-fixed.a0-s.lnf[3])*math.Sqrt(s.w[3]), -7.42, 0.006)
	for _, x := range []struct {
		name             string
		free             Explanation
		value, u, a0, x2 float64
		dof              int
	}{
		{"with all readings", s.shaped(OtherDecay), 64.0781, 0.1068, 2985.483, 66.3275, 6},
		{"without the bad point, which was left out", l.Free, 64.0572, 0.1067, 2999.876, 0.0478, 5},
	} {
		near(t, "free half-life in h "+x.name, x.free.Value/3600, x.value, 6e-5)
		near(t, "its u "+x.name, x.free.U/3600, x.u, 6e-5)
		near(t, "A0 "+x.name, math.Exp(x.free.a0)/1e6, x.a0, 6e-4)
		near(t, "chi-square "+x.name, x.free.Chi2, x.x2, 6e-5)
		if x.free.Dof != x.dof {
			t.Errorf("%s: %d degrees of freedom", x.name, x.free.Dof)
		}
	}
	if l.Is.Shape != BadPoint || l.Is.Point != 3 || len(l.Or) != 0 {
		t.Fatalf("%+v", l.Is)
	}
	near(t, "A0 without it", math.Exp(l.Is.a0)/1e6, 3000.477, 6e-4)
	if l.Reference == 3 || !l.Within || l.Outcomes[3].Within != (l.Outcomes[3].Deviation > -0.05) {
		t.Errorf("reference %d, within %t", l.Reference, l.Within)
	}
}

// 3000 MBq through a dead time of 8e-6 for each MBq; readings are printed to 0.1 MBq.
func TestLinearityNamesDeadTime(t *testing.T) {
	mbqs := []float64{2929.7, 2271.7, 1759.3, 1361.2, 813.2, 485.0, 223.0, 102.4}
	u := []float64{0.0005, 0.0005, 0.0005, 0.0005, 0.0005, 0.0005, 0.0005, 0.0005}
	l := ok(LinearityLine(seriesFrom(badPoint.hours, mbqs, u), halfLife(y90), 0.05))(t)
	if l.Is.Shape != DeadTime {
		t.Fatalf("%+v, or %+v", l.Is, l.Or)
	}
	near(t, "tau per MBq", l.Is.Value*1e6, 8e-6, 3e-7)
	// Against the lowest reading, as printed.
	out := ok(Linearity(seriesFrom(badPoint.hours, mbqs, u), 7, halfLife(y90), 0.05))(t)
	for i, want := range []float64{-2.264, -1.737, -1.327, -1.008, -0.569, -0.306, -0.097, 0} {
		near(t, "deviation in %", percent(float64(out[i].Deviation)), want, 0.06)
	}
	// The reference is in the middle: the fault shows at the top.
	if l.Reference == 0 || l.Reference == 7 || math.Abs(float64(l.Outcomes[0].Deviation)) < math.Abs(float64(l.Outcomes[7].Deviation)) {
		t.Errorf("reference %d: %+v", l.Reference, l.Outcomes)
	}
}

// Series made from each account are explained by it, and a straight one by none.
func TestLinearityTellsShapes(t *testing.T) {
	f := func(i int) float64 { return math.Exp2(-badPoint.hours[i] / y90) }
	for shape, of := range map[Shape]func(a float64, i int) float64{
		Straight: func(a float64, i int) float64 { return a },
		BadPoint: func(a float64, i int) float64 {
			if i == 5 {
				return 0.97 * a
			}
			return a
		},
		DeadTime:   func(a float64, i int) float64 { return a / (1 + 1e-5*a) },
		Offset:     func(a float64, i int) float64 { return a + 4 },
		OtherDecay: func(a float64, i int) float64 { return a * math.Pow(f(i), y90/65.2-1) },
	} {
		var got []float64
		for i := range badPoint.hours {
			got = append(got, of(3000*f(i), i))
		}
		l := ok(LinearityLine(seriesFrom(badPoint.hours, got, badPoint.u), halfLife(y90), 0.05))(t)
		if l.Is.Shape != shape {
			t.Errorf("%s is taken for %+v", shape, l.Is)
		}
	}
}

// Against scipy's weighted least squares.
func TestLinesAgainstScipy(t *testing.T) {
	var theirs map[string]struct {
		P, U []float64
		Chi2 float64
	}
	peerBy(t, "line_peer.py", map[string]any{"hours": badPoint.hours, "readings": badPoint.mbq, "u": badPoint.u, "half_life": y90}, &theirs)
	s := seriesOf(seriesFrom(badPoint.hours, badPoint.mbq, badPoint.u), halfLife(y90))
	fixed := s.straight(-1)
	near(t, "ln A0", fixed.a0-math.Log(1e6), theirs["straight"].P[0], 1e-9)
	near(t, "chi-square", fixed.Chi2, theirs["straight"].Chi2, 1e-6)
	for _, shape := range []Shape{OtherDecay, DeadTime, Offset} {
		e, w := s.shaped(shape), theirs[string(shape)]
		near(t, string(shape)+": ln A0", e.a0-math.Log(1e6), w.P[0], 1e-7)
		near(t, string(shape)+": chi-square", e.Chi2, w.Chi2, 1e-5)
		top := math.Exp(e.a0)
		scale := map[Shape]float64{OtherDecay: 1.0 / 3600, DeadTime: top, Offset: 1 / top}[shape]
		near(t, string(shape), e.Value*scale, w.P[1], 1e-4*w.U[1])
		near(t, string(shape)+": u", e.U*scale, w.U[1], 1e-4*w.U[1])
	}
}

func TestLinearityRefuses(t *testing.T) {
	good := seriesFrom(badPoint.hours, badPoint.mbq, badPoint.u)
	with := func(i int, r Reading) []Reading { out := append([]Reading(nil), good...); out[i] = r; return out }
	for name, c := range map[string]struct {
		readings []Reading
		code     string
	}{
		"four readings":        {good[:4], "too-few"},
		"less than a decade":   {good[:5], "narrow-range"},
		"higher and later":     {with(3, Reading{At: good[3].At, Net: 1900 * mbq, U: 0.003}), "not-monotone"},
		"out of order":         {with(3, Reading{At: good[1].At, Net: good[3].Net, U: 0.003}), "not-monotone"},
		"below the background": {with(7, Reading{At: good[7].At, Net: -1, U: 0.003}), "bad-reading"},
		"no uncertainty":       {with(2, Reading{At: good[2].At, Net: good[2].Net}), "no-u"},
	} {
		_, err := LinearityLine(c.readings, halfLife(y90), 0.05)
		refused(t, name, err, c.code)
	}
}

// A straight series with its scatter is called anything else in no more than a few of
// a hundred: four accounts and eight points, each believed at 1 %.
func TestLinearityFalseAlarms(t *testing.T) {
	alarms, n := 0, 400
	g := normals(7)
	for range n {
		var got []float64
		for i, h := range badPoint.hours {
			got = append(got, 3000*math.Exp2(-h/y90)*(1+badPoint.u[i]*g()))
		}
		if l := ok(LinearityLine(seriesFrom(badPoint.hours, got, badPoint.u), halfLife(y90), 0.05))(t); l.Is.Shape != Straight {
			alarms++
		}
	}
	if alarms > n*5/100 {
		t.Errorf("%d of %d", alarms, n)
	}
}

func TestAtFill(t *testing.T) {
	tested := []FillFactor{{5, 0.991, 0.01}, {1, 0.955, 0.01}, {3, 0.980, 0.01}}
	// straight between, by hand
	near(t, "3.6 mL", float64(ok(AtFill(tested, 3.6))(t).Value), 0.9833, 1e-9)
	near(t, "2.2 mL", float64(ok(AtFill(tested, 2.2))(t).Value), 0.970, 1e-9)
	near(t, "u in the middle", float64(ok(AtFill(tested, 2))(t).U), 0.01/math.Sqrt2, 1e-12)
	for _, v := range []quantity.Volume{0.9, 5.1, quantity.Volume(math.NaN())} {
		_, err := AtFill(tested, v)
		refused(t, "outside", err, "beyond-fill")
	}
	_, err := AtFill(nil, 1)
	refused(t, "nothing", err, "too-few")
	rapid.Check(t, func(t *rapid.T) {
		v := quantity.Volume(rapid.Float64Range(1, 5).Draw(t, "v"))
		if f, err := AtFill(tested, v); err != nil || f.Value < 0.955 || f.Value > 0.991 {
			t.Fatalf("%v: %+v %v", v, f, err)
		}
	})
}

// One vial labelled 3.00 GBq, traceably 3.72 GBq to 1.9 % (published: ratio 1.24,
// label 19.4 % low; R. G. Selwyn and others and a second laboratory report 19 to 26 %).
func TestScale(t *testing.T) {
	s := ok(ScaleOf(3.72/3.00, 0, 1, 0.019))(t)
	near(t, "ratio", float64(s.Ratio), 1.24, 1e-12)
	near(t, "u", float64(s.U), 0.02356, 1e-9)
	near(t, "low", float64(s.Low()), 0.194, 5e-4)
	up, _ := s.From(quantity.LabelBasis)
	down, u := s.From(quantity.TraceableBasis)
	near(t, "1.30 GBq", 1.30*float64(up), 1.612, 1e-12)
	near(t, "and back", 1.612*float64(down), 1.30, 1e-12)
	near(t, "u of back", float64(u/down), 0.019, 1e-9)
	_, err := ScaleOf(0, 0, 1, 0)
	refused(t, "no factor", err, "bad-value")
}

// A transfer read to 0.8 % each gives 2.3 %; the figures are by hand.
func TestGeometryByTransfer(t *testing.T) {
	read := func(m, gbq float64) Reading {
		return Reading{At: after(m / 60), Net: quantity.Activity(gbq) * quantity.GigaBecquerel, U: 0.008}
	}
	run := Transfer{Before: read(0, 3.240), After: read(4, 1.850), In: read(8, 1.316)}
	f := ok(Geometry([]Transfer{run}, halfLife(y90)))(t)
	near(t, "s", float64(f.Value), 0.949042, 5e-7)
	near(t, "u", float64(f.U), 0.021769, 5e-7)
	if got := f.Lacks(0.02); got != 4 {
		t.Errorf("lacks %d", got)
	}
	if got := f.Lacks(0.008); got != 7 { // (0.021769/0.008)^2 = 7.4
		t.Errorf("lacks %d", got)
	}
}
