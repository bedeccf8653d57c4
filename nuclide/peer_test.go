package nuclide_test

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"vialwright/nuclide"
	"vialwright/quantity"
)

// peer runs an independent program, given input on its standard input, and
// gives its output. Where the program or a library of it is absent the test
// skips; a build that sets CI=true must have it.
func peer(t *testing.T, needs, input string, command ...string) string {
	t.Helper()
	if testing.Short() {
		t.Skip("-short: the program that it is compared with is not asked")
	}
	absent := func(why error) {
		if os.Getenv("CI") == "true" {
			t.Fatalf("%s is required in CI and absent: %v", needs, why)
		}
		t.Skipf("%s is absent: %v", needs, why)
	}
	if _, err := exec.LookPath(command[0]); err != nil {
		absent(err)
	}
	cmd := exec.Command(command[0], command[1:]...)
	cmd.Stdin = strings.NewReader(input)
	var complaint strings.Builder
	cmd.Stderr = &complaint
	out, err := cmd.Output()
	if err != nil {
		if strings.Contains(complaint.String(), "ModuleNotFoundError") {
			absent(err)
		}
		t.Fatalf("%s: %v\n%s", needs, err, complaint.String())
	}
	return string(out)
}

const python = "/usr/bin/python3"

// ask sends a value as JSON to a Python program and reads its JSON answer.
func ask(t *testing.T, needs, program string, question, answer any) {
	t.Helper()
	input, err := json.Marshal(question)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal([]byte(peer(t, needs, string(input), python, "-c", program)), answer); err != nil {
		t.Fatal(err)
	}
}

func seeded() *rand.Rand { return rand.New(rand.NewPCG(1, 2)) }

// Python's decimal module with 60 digits: 2^(-t/T) of the very numbers given.
const decimalFactors = `
import json, sys
from decimal import Decimal, getcontext
getcontext().prec = 60
ln2 = Decimal(2).ln()
answer = []
for T, t, got in json.load(sys.stdin):
    f = (-ln2 * Decimal(t) / Decimal(T)).exp()
    answer.append(float(Decimal(got) / f - 1))
json.dump(answer, sys.stdout)
`

func TestFactorAgainstDecimalArithmetic(t *testing.T) {
	r := seeded()
	var question [][3]float64
	for range 4000 {
		T := 230550.0
		if r.IntN(2) == 0 {
			T = math.Pow(10, 12*r.Float64()-3)
		}
		by := T * math.Pow(10, 4*r.Float64()-3) // to ten half-lives
		if r.IntN(2) == 0 {
			by = -by
		}
		question = append(question, [3]float64{T, by, nuclide.Factor(quantity.Span(T), quantity.Span(by))})
	}
	var answer []float64
	ask(t, "Python 3", decimalFactors, question, &answer)
	worst := 0.0
	for i, q := range question {
		// in units of the last place, 2^-52 of the power of two below
		_, exponent := math.Frexp(q[2])
		ulps := math.Abs(answer[i]) * q[2] / math.Ldexp(1, exponent-53)
		worst = max(worst, ulps)
	}
	t.Logf("at worst %.3f units in the last place", worst)
	if worst > 1.5 {
		t.Errorf("the factor is off by %v units in the last place", worst)
	}
}

// The textbook solution of Bateman (Proc Cambridge Phil Soc 15 (1910) 423) for a
// parent and its daughter in 400-digit arithmetic, where its cancellation does no harm.
const decimalBateman = `
import json, sys
from decimal import Decimal, getcontext
getcontext().prec = 400
ln2 = Decimal(2).ln()
def grown(parent, daughter, branch, A1, A2, t):
    l1, l2 = ln2 / Decimal(parent), ln2 / Decimal(daughter)
    e1, e2 = (-l1 * Decimal(t)).exp(), (-l2 * Decimal(t)).exp()
    return Decimal(A2) * e2 + Decimal(branch) * Decimal(A1) * l2 * (e1 - e2) / (l2 - l1)
json.dump([float(grown(*q)) for q in json.load(sys.stdin)], sys.stdout)
`

func TestPairAgainstBatemanInDecimalArithmetic(t *testing.T) {
	r := seeded()
	var question [][6]float64
	var ours []quantity.Activity
	for range 600 {
		T := math.Pow(10, 2+6*r.Float64())
		q := [6]float64{T, math.Pow(10, 2+6*r.Float64()), 1 - r.Float64(), 1e12 * r.Float64(), 1e12 * r.Float64() * float64(r.IntN(2)), math.Pow(10, 8*r.Float64())}
		if r.IntN(3) == 0 { // close, but not the same
			q[1] = T * (1 + math.Pow(10, -3-9*r.Float64()))
		}
		p := nuclide.Pair{Parent: quantity.Span(q[0]), Daughter: quantity.Span(q[1]), Branch: quantity.Fraction(q[2])}
		question, ours = append(question, q), append(ours, p.Grow(quantity.Activity(q[3]), quantity.Activity(q[4]), quantity.Span(q[5])))
	}
	var answer []float64
	ask(t, "Python 3", decimalBateman, question, &answer)
	worst, compared := 0.0, 0
	for i, got := range ours {
		if answer[i] < 1e-8 { // e^-46 of the start: its exponent alone is known to 1e-14
			continue
		}
		compared++
		worst = max(worst, math.Abs(float64(got)/answer[i]-1))
	}
	t.Logf("%d pairs compared, at worst %.2g relative", compared, worst)
	if worst > 5e-14 || compared < 300 {
		t.Errorf("%d pairs compared, at worst %.2g relative", compared, worst)
	}
}

// SciPy carries the constants of CODATA (2018 in SciPy 1.10): the exact ones
// must be the same, the measured ones moved by less than 2e-9 since.
func TestConstantsAgainstSciPy(t *testing.T) {
	var want [4]float64
	ask(t, "Python 3 with SciPy", `
import json, sys
from scipy import constants as c
keV = 1e3*c.e
json.dump([c.e, c.alpha, c.m_e*c.c**2/keV, c.hbar/(c.m_e*c.c)*1e15], sys.stdout)`, nil, &want)
	for i, tolerance := range []float64{0, 2e-9, 2e-9, 2e-9} {
		near(t, "constant "+strconv.Itoa(i), nuclide.Constants[i]/want[i], 1, tolerance)
	}
}

// SciPy's own loggamma and adaptive quadrature, with the Fermi functions
// written as in the books (powers of p and all), not as in the package.
const scipySpectrum = `
import json, sys
import numpy as np
from scipy.special import loggamma, gammaln
from scipy.integrate import quad
alpha, rest, hbarc = 7.2973525643e-3, 510.99895069, 197326.980459
ask = json.load(sys.stdin)
def spectrum(z, a, end, shape, at):
    radius = (1.121*a**(1/3) + 2.426*a**(-1/3) - 6.614/a) * rest/hbarc
    def fermi(k, w):
        g = np.sqrt(k*k - (alpha*z)**2)
        p = np.sqrt(w*w - 1)
        y = alpha*z*w/p
        double = {1: 1, 2: 3}[k]
        return ((k*double)**2 * 4**k * (2*p*radius)**(2*(g - k))
                * np.exp(np.pi*y + 2*loggamma(g + 1j*y).real - 2*gammaln(1 + 2*g)))
    def raw(t):
        w = 1 + t/rest
        p, q = np.sqrt(w*w - 1), (end - t)/rest
        g1, g2 = np.sqrt(1 - (alpha*z)**2), np.sqrt(4 - (alpha*z)**2)
        lambda2 = fermi(2, w)/fermi(1, w)*(2 + g2)/(2*(1 + g1)) if shape == 1 else 1
        c = 1 if shape == 0 else q*q + lambda2*p*p
        return p*w*q*q*fermi(1, w)*c
    opt = dict(epsabs=0, epsrel=1e-12, limit=400)
    area = quad(raw, 0, end, **opt)[0]
    mean = quad(lambda t: t*raw(t), 0, end, **opt)[0]/area
    return [mean, [raw(t)/area for t in at], [quad(raw, 0, t, **opt)[0]/area for t in at]]
json.dump({
    "gamma": [[g.real, g.imag] for g in (loggamma(complex(x, y)) for x, y in ask["gamma"])],
    "spectra": [spectrum(*s) for s in ask["spectra"]],
}, sys.stdout)
`

func TestSpectrumAgainstSciPy(t *testing.T) {
	type branch struct {
		z, a int
		end  float64
	}
	var question struct {
		Gamma   [][2]float64 `json:"gamma"`
		Spectra [][5]any     `json:"spectra"`
	}
	r := seeded()
	for range 500 {
		question.Gamma = append(question.Gamma, [2]float64{0.01 + 4*r.Float64(), math.Pow(10, 6*r.Float64()-3)})
	}
	for _, b := range []branch{{40, 90, 2278.7}, {39, 90, 545.9}, {56, 137, 513.97}, {1, 3, 18.591}, {92, 238, 1200}} {
		for shape := range 3 {
			at := []float64{b.end / 1000, b.end / 20, b.end / 3, b.end / 2, b.end * 0.9, b.end * 0.999}
			question.Spectra = append(question.Spectra, [5]any{b.z, b.a, b.end, shape, at})
		}
	}
	var answer struct {
		Gamma   [][2]float64
		Spectra [][3]json.RawMessage
	}
	ask(t, "Python 3 with SciPy", scipySpectrum, question, &answer)
	worst := 0.0
	for i, z := range question.Gamma {
		got := nuclide.LogGamma(complex(z[0], z[1]))
		d := math.Hypot(real(got)-answer.Gamma[i][0], imag(got)-answer.Gamma[i][1])
		worst = max(worst, d/(1+math.Hypot(real(got), imag(got))))
	}
	t.Logf("ln Gamma: at worst %.2g", worst)
	if worst > 2e-14 {
		t.Errorf("ln Gamma is off by %.2g", worst)
	}
	worst = 0
	for i, q := range question.Spectra {
		worst = max(worst, worstOfSpectrum(t, q, answer.Spectra[i]))
	}
	t.Logf("spectra: at worst %.2g", worst)
	if worst > 2e-12 { // the adaptive quadrature was asked for 1e-12
		t.Errorf("a spectrum is off by %.2g", worst)
	}
}

// worstOfSpectrum gives the largest relative difference of mean and density
// and absolute difference of cumulative.
func worstOfSpectrum(t *testing.T, q [5]any, answer [3]json.RawMessage) float64 {
	t.Helper()
	var mean float64
	var density, cumulative []float64
	for i, to := range []any{&mean, &density, &cumulative} {
		if err := json.Unmarshal(answer[i], to); err != nil {
			t.Fatal(err)
		}
	}
	s := spectrum(t, q[0].(int), q[1].(int), nuclide.Energy(q[2].(float64)), nuclide.Shape(q[3].(int)))
	worst := math.Abs(float64(s.Mean())/mean - 1)
	for i, at := range q[4].([]float64) {
		worst = max(worst, math.Abs(s.Density(nuclide.Energy(at))/density[i]-1),
			math.Abs(float64(s.Cumulative(nuclide.Energy(at)))-cumulative[i]))
	}
	if math.IsNaN(worst) {
		t.Fatalf("%v: not a number", q)
	}
	return worst
}

// GNU units, a general tool with its own constants, does the same sums from
// the units up.
func TestAgainstGNUUnits(t *testing.T) {
	T := nuclide.Y90.HalfLife().Value
	y90 := nuclide.Y90
	for _, c := range []struct {
		from, to string
		got      float64
	}{
		{"3 GBq * 2^(-10 hour/(230550 s))", "GBq", 3 * nuclide.Factor(T, hours(10))},
		{"3 GBq * 2^(6 hour/(230550 s))", "GBq", 3 * nuclide.Factor(T, -hours(6))},
		{"81 mCi * 2^(-24 hour/(230550 s))", "GBq", 81 * float64(quantity.MilliCurie/quantity.GigaBecquerel) * nuclide.Factor(T, quantity.Day)},
		{"28.80 * 365.2422 day", "s", float64(nuclide.Sr90.HalfLife().Value)},
		{"933.10 keV", "J", y90.ElectronEnergies()[0].Value.Joules()},
	} {
		out := peer(t, "GNU units", "", "units", "--terse", "--output-format", "%.15g", c.from, c.to)
		want, err := strconv.ParseFloat(strings.TrimSpace(out), 64)
		if err != nil {
			t.Fatalf("units %q: %v", c.from, err)
		}
		near(t, c.from, c.got/want, 1, 5e-14)
	}
}
