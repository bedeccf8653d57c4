package uncertainty

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"testing"
)

// expression is a random formula in x[0] ... x[n-1], worked out both ways.
type expression struct {
	number Number
	text   string
}

// grow makes a random formula of some depth. Arguments of exp, log, division and
// powers are made tame first, so that no result overflows or vanishes.
func grow(g *rand.Rand, x []Number, depth int) expression {
	if depth == 0 {
		i := g.IntN(len(x))
		return expression{x[i], fmt.Sprintf("x[%d]", i)}
	}
	a := grow(g, x, depth-1)
	switch g.IntN(8) {
	case 0, 1:
		b := grow(g, x, g.IntN(depth))
		return expression{a.number.Add(b.number), "(" + a.text + "+" + b.text + ")"}
	case 2, 3:
		b := grow(g, x, g.IntN(depth))
		return expression{a.number.Sub(b.number), "(" + a.text + "-" + b.text + ")"}
	case 4:
		b := grow(g, x, g.IntN(depth))
		return expression{a.number.Mul(b.number).Scale(0.25), "(" + a.text + "*" + b.text + "*0.25)"}
	case 5: // a / (b^2 + 3)
		b := grow(g, x, g.IntN(depth))
		below := b.number.Pow(2).Add(Exact(3))
		return expression{a.number.Div(below), "(" + a.text + "/(" + b.text + "**2+3))"}
	case 6: // exp(a / (a^2 + 1))
		below := a.number.Mul(a.number).Add(Exact(1))
		return expression{a.number.Div(below).Exp(), "exp(" + a.text + "/(" + a.text + "**2+1))"}
	}
	// The argument stays above 1: the peer has no derivative of 0**1.5.
	below := a.number.Mul(a.number).Add(Exact(1.5))
	return expression{below.Log().Pow(1.5), "(log(" + a.text + "**2+1.5)**1.5)"}
}

// Random formulas of a few inputs against the Python package uncertainties,
// which takes the same first-order sums through a different organisation
// (independent variables and automatic differentiation).
func TestPeerUncertainties(t *testing.T) {
	const inputs, formulas = 5, 300
	g := rand.New(rand.NewPCG(100, 2008))
	values, v := make([]float64, inputs), make([][]float64, inputs)
	x := make([]Number, inputs)
	for i := range v {
		u := 0.05 * math.Abs(g.NormFloat64())
		values[i], v[i] = 1+3*g.Float64(), make([]float64, inputs)
		v[i][i] = u * u
		x[i] = New(values[i], u, string(rune('a'+i)), typeB)
	}
	made := make([]expression, formulas)
	texts := make([]string, formulas)
	for i := range made {
		made[i] = grow(g, x, 1+g.IntN(6))
		texts[i] = made[i].text
	}
	var answer [][3]float64
	peer(t, "linear_peer.py", "uncertainties, numpy",
		map[string]any{"values": values, "covariance": v, "expressions": texts}, &answer)
	worst := 0.0
	for i, want := range answer {
		y := made[i].number
		if y.Err() != nil {
			t.Fatalf("%s: %v", texts[i], y.Err())
		}
		scale := want[1] + 1e-3*math.Abs(want[0]) + 1e-300
		for _, d := range []float64{y.U() - want[1], y.Value() - want[0], (cov(y, x[0]) - want[2]) / x[0].U()} {
			worst = math.Max(worst, math.Abs(d)/scale)
			if !(math.Abs(d) <= 1e-9*scale) {
				t.Errorf("%s = %v(%v), Cov %v; want %v", texts[i], y.Value(), y.U(), cov(y, x[0]), want)
				break
			}
		}
	}
	t.Logf("%d formulas, greatest difference %.2g of u", len(answer), worst)
}

// question is a row of arguments for scipy, what we say, and how near we must be.
type question struct {
	arguments, got     []float64
	relative, absolute float64
}

type questions map[string][]question

func (ask questions) add(name string, q question) { ask[name] = append(ask[name], q) }

// askDistributions asks for quantiles.
func (ask questions) askDistributions() {
	for _, p := range []float64{0.1, 0.5, 0.6827, 0.9, 0.95, 0.9545, 0.99, 0.9973, 0.9999} {
		for _, nu := range []float64{0.5, 1, 1.5, 2, 3, 4.7, 9, 16, 30, 99.5, 1000, 12345, 1e5, 9e5} {
			// gonum's inverse of the incomplete beta function stops at about 1e-9
			ask.add("student", question{[]float64{p, nu}, []float64{studentFactor(p, nu)}, 1e-8, 0})
		}
		// Beyond a million the normal stands in, short by (k^2+1)/(4 nu) of k.
		ask.add("student", question{[]float64{p, 2e6}, []float64{studentFactor(p, 2e6)}, 3e-6, 0})
	}
}

// askDecisions asks for conformance.
func (ask questions) askDecisions(t *testing.T) {
	g := rand.New(rand.NewPCG(106, 2012))
	for range 300 {
		y, u, low := 6*g.NormFloat64(), 0.1+g.Float64(), 3*g.NormFloat64()
		high := low + 4*g.Float64()
		p := must(Conformance(y, u, Limits{low, high}))(t)
		// scipy's own difference of two near-equal terms costs it digits.
		ask.add("conformance", question{[]float64{y, u, low, high}, []float64{p}, 1e-10, 1e-15})
	}
}

// Distribution functions and intervals against scipy.
func TestPeerScipy(t *testing.T) {
	ask := questions{}
	ask.askDistributions()
	ask.askDecisions(t)
	request := map[string][][]float64{}
	for name, rows := range ask {
		for _, q := range rows {
			request[name] = append(request[name], q.arguments)
		}
	}
	var answer map[string][][]float64
	peer(t, "scipy_peer.py", "scipy, numpy", request, &answer)
	for _, name := range []string{"student", "conformance"} {
		if len(answer[name]) != len(ask[name]) {
			t.Fatalf("%s: %d answers to %d questions", name, len(answer[name]), len(ask[name]))
		}
		worst := 0.0
		for i, q := range ask[name] {
			for k, want := range answer[name][i] {
				d := math.Abs(q.got[k] - want)
				worst = math.Max(worst, d/math.Max(math.Abs(want), 1e-12))
				if !(d <= q.relative*math.Abs(want)+q.absolute) {
					t.Errorf("%s(%v)[%d] = %.15g, scipy says %.15g", name, q.arguments[:min(len(q.arguments), 8)], k, q.got[k], want)
				}
			}
		}
		t.Logf("%s: %d questions, greatest relative difference %.2g", name, len(ask[name]), worst)
	}
}

// The delivered-activity chain, which is near linear, against a simulation of it in
// numpy: the linear u comes within its second-order term, a few parts in 10^4 of u,
// besides the standard error of a million trials.
func TestPeerNumpyDeliveredChain(t *testing.T) {
	const python = "/usr/bin/python3"
	if err := exec.Command(python, "-c", "import numpy").Run(); err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("the peer needs numpy: ", err)
		}
		t.Skip("no peer: numpy is not installed")
	}
	out, err := exec.Command(python, "testdata/mc_peer.py", "1000000", "3").Output()
	if err != nil {
		t.Fatal(err)
	}
	var seconds, mean, sd, low, high float64
	if _, err := fmt.Sscan(string(out), &seconds, &mean, &sd, &low, &high); err != nil {
		t.Fatalf("%q: %v", out, err)
	}
	y := linearChain(chainNumbers())
	gotLow, gotHigh := y.Interval(0.95)
	near(t, "mean", y.Value(), mean, y.Value()*1e-3)
	alike(t, "sd", y.U(), sd, 1e-3+5/math.Sqrt(2e6))
	// Division by a factor bends the ends by less than (1.96 u/y)^2 y, 0.12 u.
	near(t, "low", gotLow, low, 0.12*sd)
	near(t, "high", gotHigh, high, 0.12*sd)
}
