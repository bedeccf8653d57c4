package uncertainty

import (
	"math"
	"runtime"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mathext"
)

const million = 1_000_000

func run(t *testing.T, m Model, in []Input) *Sample {
	t.Helper()
	return must(Simulate(m, in, Run{Trials: million, Seed: 101, Workers: runtime.GOMAXPROCS(0)}))(t)
}

func four(in [][]float64, out []float64) {
	for t := range out {
		out[t] = in[0][t] + in[1][t] + in[2][t] + in[3][t]
	}
}

func fourOf(in Input) []Input { return []Input{in, in, in, in} }

// endSE is the standard error of a quantile: sqrt(q(1-q)/M)/density there.
func endSE(q, density float64) float64 { return math.Sqrt(q*(1-q)/million) / density }

// JCGM 101:2008 9.2.2: the sum of four standard normals. Published u = 2.00 and
// -+3.92 for 95 %; exactly 2 and 3.9199. Tolerances: 5 standard errors.
func TestJCGM101AdditiveNormal(t *testing.T) {
	s := run(t, four, fourOf(Normal{0, 1}))
	near(t, "mean", s.Mean(), 0, 5*2/math.Sqrt(million))
	near(t, "u", s.U(), 2, 5*2/math.Sqrt(2*million))
	i := must(s.Symmetric(0.95))(t)
	z := mathext.NormalQuantile(0.975)
	se := endSE(0.025, math.Exp(-z*z/2)/math.Sqrt(2*math.Pi)/2)
	near(t, "low", i.Low, -2*z, 5*se)
	near(t, "high", i.High, 2*z, 5*se)
	near(t, "inside", s.Within(-2*z, 2*z), 0.95, 5*math.Sqrt(0.95*0.05/million))
	short := must(s.Shortest(0.95))(t)
	if short.High-short.Low > i.High-i.Low {
		t.Errorf("shortest %v is longer than symmetric %v", short, i)
	}
	near(t, "length of the shortest", short.High-short.Low, 4*z, 10*se)
}

// JCGM 101:2008 9.2.3: four rectangular quantities of unit standard deviation.
// Published -+3.88 (the linear framework gives 3.92); exactly
// 2 sqrt(3) (2 - (3/5)^(1/4)) = 3.879407, since the sum of four unit rectangles has
// a^4/24 of its probability within a of its end.
func TestJCGM101AdditiveRectangular(t *testing.T) {
	s := run(t, four, fourOf(Rectangular{-math.Sqrt(3), math.Sqrt(3)}))
	near(t, "u", s.U(), 2, 5*2/math.Sqrt(2*million))
	i := must(s.Symmetric(0.95))(t)
	exact := 2 * math.Sqrt(3) * (2 - math.Pow(0.6, 0.25))
	near(t, "exact", exact, 3.879407, 5e-7)
	a := math.Pow(0.6, 0.25)
	se := endSE(0.025, a*a*a/6/(2*math.Sqrt(3)))
	near(t, "low", i.Low, -exact, 5*se)
	near(t, "high", i.High, exact, 5*se)

	// Clause 8: with two digits u is known to 0.05; 3.92 and 3.88 agree to that.
	linear := Exact(0)
	for range 4 {
		linear = linear.Add(New(0, 1, "x", typeB))
	}
	near(t, "linear", linear.Interval(0.95).High, 3.92, 5e-3)
	v := Validate(linear.Interval(0.95), i, s.U(), 2)
	near(t, "tolerance", v.Tolerance, 0.05, 1e-15)
	if !v.Valid {
		t.Errorf("not valid: %+v", v)
	}
}

// JCGM 101:2008 9.2.4: the same with the fourth ten times as wide. Published
// u = 10.1 and -+17.0 (linear -+19.9); exactly sqrt(103) and 17.0158, where the
// tail of rectangle and three small ones holds 2.5 % (by quadrature). The density
// at the end is about P(S > a)/(20 sqrt 3), S the sum of the three.
func TestJCGM101AdditiveOneDominant(t *testing.T) {
	in := fourOf(Rectangular{-math.Sqrt(3), math.Sqrt(3)})
	in[3] = Rectangular{-10 * math.Sqrt(3), 10 * math.Sqrt(3)}
	s := run(t, four, in)
	near(t, "u", s.U(), math.Sqrt(103), 5*10.15/math.Sqrt(2*million))
	i := must(s.Symmetric(0.95))(t)
	se := endSE(0.025, 0.5/(20*math.Sqrt(3)))
	near(t, "low", i.Low, -17.0158, 5*se)
	near(t, "high", i.High, 17.0158, 5*se)

	v := Validate(Interval{-19.89, 19.89}, i, s.U(), 2)
	if v.Valid || v.Tolerance != 0.5 {
		t.Errorf("valid, though the linear interval is 3 too wide on each side: %+v", v)
	}
}

// massModel is the model of JCGM 101:2008 9.3 in mg and kg/m3.
func massModel(in []float64) float64 {
	return (in[0]+in[1])*(1+(in[2]-1.2)*(1/in[3]-1/in[4])) - 100_000
}

// JCGM 101:2008 9.3, mass calibration. Published (values from memory, not seen):
// simulated 1.2341 mg, u = 0.0754, shortest 95 % [1.0834, 1.3825]; linear 1.2340,
// 0.0539, [1.1285, 1.3395]; second order 0.0750, [1.0870, 1.3810]. Where a shortest
// interval lies is noisy, theirs as ours, since its length hardly depends on it:
// about u M^(-1/3) = 0.0008 for each, hence 0.003 for an end and 0.001 for the
// length.
func TestJCGM101MassCalibration(t *testing.T) {
	in := []Input{
		Normal{100_000, 0.050},
		Normal{1.234, 0.020},
		Rectangular{1.10, 1.30},
		Rectangular{7000, 9000},
		Rectangular{7950, 8050},
	}
	s := run(t, Each(massModel), in)
	near(t, "mean", s.Mean(), 1.2340, 1e-4+5*0.0754/math.Sqrt(million))
	alike(t, "u", s.U(), 0.0754, 0.005)
	short := must(s.Shortest(0.95))(t)
	near(t, "low", short.Low, 1.0834, 0.003)
	near(t, "high", short.High, 1.3825, 0.003)
	near(t, "length", short.High-short.Low, 1.3825-1.0834, 0.001)

	x := []Number{
		New(100_000, 0.050, "reference", typeB), New(1.234, 0.020, "added", typeB),
		New(1.20, 0.1/math.Sqrt(3), "air", typeB), New(8000, 1000/math.Sqrt(3), "weight", typeB),
		New(8000, 50/math.Sqrt(3), "reference density", typeB),
	}
	linear := Apply(massModel, x...)
	near(t, "linear", linear.Value(), 1.2340, 5e-5)
	near(t, "linear u", linear.U(), 0.0539, 5e-5)
	i := linear.Interval(0.95)
	near(t, "linear low", i.Low, 1.1285, 1e-4)
	near(t, "linear high", i.High, 1.3395, 1e-4)
	symmetric := must(s.Symmetric(0.95))(t)
	near(t, "symmetric low", symmetric.Low, 1.0845, 0.001) // four million trials elsewhere
	near(t, "symmetric high", symmetric.High, 1.3836, 0.001)
	if v := Validate(i, symmetric, s.U(), 1); v.Valid || v.Tolerance != 0.005 {
		t.Errorf("the linear interval is off by 0.04 mg and called valid: %+v", v)
	}

	u2 := math.Sqrt(linear.U()*linear.U() + must(SecondOrder(massModel, x...))(t))
	near(t, "second-order u", u2, 0.0750, 5e-5)
	w := mathext.NormalQuantile(0.975) * u2
	second := Interval{linear.Value() - w, linear.Value() + w}
	near(t, "second-order low", second.Low, 1.0870, 1e-4)
	near(t, "second-order high", second.High, 1.3810, 1e-4)
	if v := Validate(second, symmetric, s.U(), 1); !v.Valid {
		t.Errorf("second order not valid: %+v", v)
	}
}

// JCGM 101:2008 9.5, gauge block. Published (values from memory, the interval's
// ends with doubt): simulated 838 nm, u = 36, 99 % [745, 932]; linear 838, 32,
// [745, 931]. Ends to 1.5 nm, u to 0.5 %, the mean to 5 standard errors.
func TestJCGM101GaugeBlock(t *testing.T) {
	in := []Input{
		StudentT{50_000_623, 25, 18},
		StudentT{215, 6, 24},
		StudentT{0, 4, 5},
		StudentT{0, 7, 8},
		Rectangular{9.5e-6, 13.5e-6},
		Normal{-0.1, 0.2},
		ArcSine{-0.5, 0.5},
		InexactRectangular{-1e-6, 1e-6, 0.1e-6},
		InexactRectangular{-0.05, 0.05, 0.025},
	}
	s := run(t, Each(func(x []float64) float64 {
		return x[0] + x[1] + x[2] + x[3] - x[0]*(x[7]*(x[5]+x[6])+x[4]*x[8]) - 50_000_000
	}), in)
	near(t, "mean", s.Mean(), 838, 5*36/math.Sqrt(million))
	alike(t, "u", s.U(), 35.8, 0.005)
	near(t, "u as published", s.U(), 36, 0.5)
	short := must(s.Shortest(0.99))(t)
	near(t, "low", short.Low, 745, 1.5)
	near(t, "high", short.High, 932, 1.5)

	v := Validate(Interval{745, 931}, short, s.U(), 1)
	if !v.Valid || v.Tolerance != 5 {
		t.Errorf("valid to one digit, u = 4e1 nm: %+v", v)
	}
}

// The number of workers changes nothing, to the last bit; nor does a second run.
func TestSimulationIgnoresItsWorkers(t *testing.T) {
	for _, trials := range []int{2, blockSize - 1, blockSize, blockSize + 1, 10_007} {
		one := must(Simulate(chain, chainInputs, Run{Trials: trials, Seed: 5, Workers: 1}))(t)
		for _, workers := range []int{-1, 0, 1, 2, 3, 7, 64} {
			s := must(Simulate(chain, chainInputs, Run{Trials: trials, Seed: 5, Workers: workers}))(t)
			if !slices.Equal(s.values, one.values) || s.Mean() != one.Mean() || s.U() != one.U() ||
				!slices.Equal(s.before, one.before) || s.Quantile(0.3) != one.Quantile(0.3) {
				t.Errorf("%d trials, %d workers: %v(%v), want %v(%v)", trials, workers, s.Mean(), s.U(), one.Mean(), one.U())
			}
		}
		other := must(Simulate(chain, chainInputs, Run{Trials: trials, Seed: 6, Workers: 1}))(t)
		if slices.Equal(other.values, one.values) {
			t.Error("another seed, the same result")
		}
	}
}

// On the delivered-activity chain, which is near linear, all three ways agree: the
// linear u comes within its second-order term, a few parts in 10^4 of u; the
// simulated one within its standard error besides.
func TestLinearAndSimulatedChainAgree(t *testing.T) {
	x := chainNumbers()
	linear := linearChain(x)
	f := func(v []float64) float64 {
		return chainOf(v[0], v[1], v[2], v[3], v[4], v[5], v[6], v[7], v[8], v[9])
	}
	numeric := Apply(f, x...)
	alike(t, "value", numeric.Value(), linear.Value(), 1e-12)
	alike(t, "u", numeric.U(), linear.U(), 1e-6)
	alike(t, "correlation", Corr(numeric, linear), 1, 1e-9)

	s := run(t, chain, chainInputs)
	bend := must(SecondOrder(f, x...))(t)
	near(t, "simulated mean", s.Mean(), linear.Value(), linear.Value()*1e-3)
	alike(t, "simulated u", s.U(), math.Sqrt(linear.U()*linear.U()+bend), 1e-3+5/math.Sqrt(2*million))
	each := must(Simulate(Each(f), chainInputs, Run{Trials: 5000, Seed: 9}))(t)
	block := must(Simulate(chain, chainInputs, Run{Trials: 5000, Seed: 9}))(t)
	if !slices.Equal(each.values, block.values) {
		t.Error("trial by trial and block by block differ")
	}
}

func TestSimulateRefuses(t *testing.T) {
	ok := []Input{Normal{0, 1}}
	_, err := Simulate(identity, ok, Run{Trials: 1})
	refused(t, "one trial", err, "too-few")
	_, err = Simulate(identity, ok, Run{Trials: -5})
	refused(t, "negative trials", err, "too-few")
	log := Each(func(in []float64) float64 { return math.Log(in[0] + 3) })
	for _, workers := range []int{1, 3} {
		_, err = Simulate(log, ok, Run{Trials: 100_000, Seed: 1, Workers: workers})
		refused(t, "log of a negative", err, "not-finite")
	}
	_, err = Simulate(Each(func([]float64) float64 { return math.NaN() }), ok, Run{Trials: 1000})
	refused(t, "NaN", err, "not-finite")
	_, err = Simulate(Each(func(in []float64) float64 { return in[0] * 1e200 }), ok, Run{Trials: 1000})
	refused(t, "squares overflow", err, "not-finite")
}

// The trial named in the error is the first bad one, no matter who met it.
func TestSimulateNamesTheFirstBadTrial(t *testing.T) {
	const bad = 3*blockSize + 17
	model := func(in [][]float64, out []float64) {
		copy(out, in[0])
		for t := range out {
			if out[t] > 0.999 {
				out[t] = math.Inf(1)
			}
		}
	}
	var messages []string
	for _, workers := range []int{1, 2, 5} {
		_, err := Simulate(model, []Input{Rectangular{0, 1}}, Run{Trials: 100 * bad, Seed: 4, Workers: workers})
		refused(t, "infinite", err, "not-finite")
		messages = append(messages, err.Error())
	}
	if messages[0] != messages[1] || messages[1] != messages[2] {
		t.Errorf("the message depends on the workers: %q", messages)
	}
}

func TestSimulatePanicsInTheCaller(t *testing.T) {
	for _, workers := range []int{1, 4} {
		func() {
			defer func() {
				if p := recover(); p != "broken model" {
					t.Errorf("%d workers: recovered %v", workers, p)
				}
			}()
			_, _ = Simulate(Each(func(in []float64) float64 {
				if in[0] > 0.99999 { // first met in a later block, by some worker
					panic("broken model")
				}
				return 0
			}), []Input{Rectangular{0, 1}}, Run{Trials: million, Seed: 1, Workers: workers})
		}()
	}
}

// A model may use its input columns as scratch space.
func TestModelMayOverwriteItsInputs(t *testing.T) {
	scratch := func(in [][]float64, out []float64) {
		for t := range out {
			in[0][t] *= 2
			out[t] = in[0][t]
		}
	}
	s := must(Simulate(scratch, []Input{Normal{1, 1}}, Run{Trials: 50_000, Seed: 1, Workers: 2}))(t)
	near(t, "mean", s.Mean(), 2, 5*2/math.Sqrt(50_000))
	near(t, "u", s.U(), 2, 5*2/math.Sqrt(100_000))
}
