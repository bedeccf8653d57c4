package uncertainty

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"
)

// identity is the model y = x.
func identity(in [][]float64, out []float64) { copy(out, in[0]) }

// Every distribution against its exact mean, standard deviation (both to 5
// standard errors, the fourth moment taken from the sample) and distribution
// function (Kolmogorov's distance; 1.95 is passed once in a thousand, the seed is
// fixed).
func TestInputsFollowTheirDistributions(t *testing.T) {
	gamma := func(shape, scale float64) func(float64) float64 {
		return func(x float64) float64 { return mathext.GammaIncReg(shape, math.Max(0, x)/scale) }
	}
	for _, c := range []struct {
		name     string
		in       Input
		mean, sd float64
		cdf      func(float64) float64
	}{
		{"normal", Normal{5, 2}, 5, 2, func(x float64) float64 { return phi((x - 5) / 2) }},
		{"rectangular", Rectangular{-1, 3}, 1, 4 / math.Sqrt(12), func(x float64) float64 { return (x + 1) / 4 }},
		{
			"inexact rectangular",
			InexactRectangular{0, 4, 1},
			2, math.Sqrt(16.0/12 + 1.0/9),
			inexactCDF,
		},
		{"exact after all", InexactRectangular{0, 1, 0}, 0.5, 1 / math.Sqrt(12), func(x float64) float64 { return x }},
		{
			"triangular",
			Triangular{0, 2},
			1, 2 / math.Sqrt(24),
			func(x float64) float64 {
				if x < 1 {
					return x * x / 2
				}
				return 1 - (2-x)*(2-x)/2
			},
		},
		{"arc sine", ArcSine{-2, 2}, 0, 4 / math.Sqrt(8), func(x float64) float64 { return 0.5 + math.Asin(x/2)/math.Pi }},
		{
			"t, 18",
			StudentT{100, 25, 18},
			100, 25 * math.Sqrt(18.0/16),
			distuv.StudentsT{Mu: 100, Sigma: 25, Nu: 18}.CDF,
		},
		{"t, 5", StudentT{0, 1, 5}, 0, math.Sqrt(5.0 / 3), distuv.StudentsT{Mu: 0, Sigma: 1, Nu: 5}.CDF},
		{"t, infinite", StudentT{0, 1, math.Inf(1)}, 0, 1, phi},
		{"exponential", Exponential{3}, 3, 3, func(x float64) float64 { return 1 - math.Exp(-x/3) }},
		{"gamma 0.5", Gamma{0.5, 2}, 1, math.Sqrt(0.5) * 2, gamma(0.5, 2)},
		{"gamma 2.5", Gamma{2.5, 3}, 7.5, math.Sqrt(2.5) * 3, gamma(2.5, 3)},
		{"counts 0", Counts(0), 1, 1, gamma(1, 1)},
		{"counts 100", Counts(100), 101, math.Sqrt(101), gamma(101, 1)},
		{"one of several normals", MultiNormal{[]float64{7}, [][]float64{{9}}}, 7, 3, func(x float64) float64 { return phi((x - 7) / 3) }},
	} {
		t.Run(c.name, func(t *testing.T) {
			const n = 400_000
			s := must(Simulate(identity, []Input{c.in}, Run{Trials: n, Seed: 11}))(t)
			fourth := 0.0
			for _, y := range s.values {
				fourth += math.Pow((y-c.mean)/c.sd, 4) / n
			}
			near(t, "mean", s.Mean(), c.mean, 5*c.sd/math.Sqrt(n))
			near(t, "sd", s.U(), c.sd, 5*c.sd*math.Sqrt((fourth-1)/(4*n)))
			if d := kolmogorov(s.values, c.cdf); d > 1.95 {
				t.Errorf("Kolmogorov distance %.3f", d)
			}
		})
	}
}

// inexactCDF is the distribution function of InexactRectangular{0, 4, 1}. Given
// the limit a in (-1, 1), x is rectangular on (a, 4-a): the mean over a of
// (x-a)/(4-2a), cut to [0, 1], by Simpson's rule on the part that is not cut.
func inexactCDF(x float64) float64 {
	from, to, sure := -1.0, 1.0, 0.0
	if x < 1 {
		to = math.Max(-1, x) // above it the limit lies beyond x
	}
	if x > 3 {
		cut := math.Min(1, 4-x) // above it all of the distribution lies below x
		sure, to = (1-cut)/2, cut
	}
	const panels = 200
	sum := 0.0
	for i := range panels + 1 {
		w := 2.0
		switch {
		case i == 0 || i == panels:
			w = 1
		case i%2 == 1:
			w = 4
		}
		a := from + (to-from)*float64(i)/panels
		sum += w * (x - a) / (4 - 2*a)
	}
	return sure + sum*(to-from)/panels/3/2
}

// The joint normal has the covariances asked for, a singular matrix included.
func TestMultiNormalHasItsCovariance(t *testing.T) {
	const n = 400_000
	v := [][]float64{{4, -1.2, 2}, {-1.2, 1, -0.6}, {2, -0.6, 1}} // third = first/2
	mean := []float64{10, -20, 0.5}
	joint := MultiNormal{mean, v}
	for i := range v {
		for j := range v {
			product := func(in []float64) float64 { return (in[1+i] - mean[i]) * (in[1+j] - mean[j]) }
			s := must(Simulate(Each(product), []Input{Rectangular{0, 1}, joint, Rectangular{0, 1}}, Run{Trials: n, Seed: 3}))(t)
			near(t, "covariance", s.Mean(), v[i][j], 5*s.U()/math.Sqrt(n))
		}
	}
	rest := func(in []float64) float64 { return in[2] - mean[2] - (in[0]-mean[0])/2 }
	s := must(Simulate(Each(rest), []Input{joint}, Run{Trials: 1000, Seed: 3}))(t)
	near(t, "third less half the first", s.U(), 0, 1e-12)
}

func TestInputsRefuseWhatIsNoDistribution(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, in := range []Input{
		Normal{nan, 1},
		Normal{0, -1},
		Normal{0, nan},
		Normal{inf, 1},
		Normal{0, inf},
		Rectangular{1, 0},
		Rectangular{nan, 1},
		Rectangular{-inf, 1},
		Rectangular{-1e308, 1e308},
		InexactRectangular{0, 1, 0.6},
		InexactRectangular{0, 1, -0.1},
		InexactRectangular{0, 1, nan},
		Triangular{1, 0},
		ArcSine{1, 0},
		ArcSine{0, inf},
		StudentT{0, 1, 2},
		StudentT{0, 1, nan},
		StudentT{0, -1, 5},
		StudentT{nan, 1, 5},
		Exponential{0},
		Exponential{-1},
		Exponential{nan},
		Exponential{inf},
		Gamma{0, 1},
		Gamma{1, 0},
		Gamma{nan, 1},
		Gamma{1, inf},
		Counts(-1),
		MultiNormal{},
		MultiNormal{[]float64{1}, nil},
		MultiNormal{[]float64{nan}, [][]float64{{1}}},
	} {
		_, err := Simulate(identity, []Input{Normal{0, 1}, in}, Run{Trials: 10})
		refused(t, "input", err, "bad-distribution")
	}
	_, err := Simulate(identity, []Input{MultiNormal{[]float64{1, 2}, [][]float64{{1, 2}, {2, 1}}}}, Run{Trials: 10})
	refused(t, "no covariance", err, "bad-covariance")
}
