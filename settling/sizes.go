package settling

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"

	"vialwright/quantity"
)

// Sizes is a lognormal distribution of sphere diameters by number. Mean and SD are the
// mean and standard deviation of the spheres there are, that is after the cut
// at Min and Max. With SD below 0.05 um all spheres count as equal.
type Sizes struct {
	Mean, SD quantity.Length
	Min, Max quantity.Length
}

// spectrum is a checked distribution, in micrometres.
type spectrum struct {
	mean, sd, min, max float64
	centre, spread     float64 // parameters before the cut, of ln d
}

// Class stands for all spheres of a diameter range. The shares of Volume and
// Surface are those of the range exactly; Diameter is chosen so
// that the class carries the range's flux in a dilute suspension under Stokes'
// law, d^2 = <d^5>/<d^3>. The three moments 2, 3 and 5 of the distribution are
// thus kept whatever the number of classes.
type Class struct {
	Diameter quantity.Length
	Volume   quantity.Fraction // share of the solids volume
	Surface  quantity.Fraction // share of the total sphere surface
}

// MaxClasses is the largest number of size classes.
const MaxClasses = 64

// Split divides the spheres into n classes, largest first, and gives the mean
// volume of one sphere. Class limits lie at the volume quantiles (1 - cos(pi j/n))/2,
// narrow at both ends of the distribution, since the first few per cent of
// solids to pass the needle decide a draw window.
func (sizes Sizes) Split(n int) ([]Class, quantity.Volume, error) {
	s, err := sizes.spectrum()
	if err != nil {
		return nil, 0, err
	}
	if n < 1 || n > MaxClasses {
		return nil, 0, domain("Classes", float64(n), 1, MaxClasses, "classes", "7 to 24 is usual")
	}
	if s.sd == 0 {
		return []Class{{Diameter: sizes.Mean, Volume: 1, Surface: 1}}, ball(s.mean), nil
	}
	edges := s.edges(n)
	all := s.moments(s.min, s.max)
	classes := make([]Class, n)
	for i := range classes {
		m := s.moments(edges[n-1-i], edges[n-i])
		classes[i] = Class{
			Diameter: quantity.Length(1e-3 * math.Sqrt(m[5]/m[3])),
			Volume:   quantity.Fraction(m[3] / all[3]),
			Surface:  quantity.Fraction(m[2] / all[2]),
		}
	}
	return classes, quantity.Volume(math.Pi / 6 * all[3] / all[0] * 1e-12), nil
}

// ball is the volume of a sphere of um micrometres; 1 mL is 1e12 um3.
func ball(um float64) quantity.Volume { return quantity.Volume(math.Pi / 6 * um * um * um * 1e-12) }

// spectrum checks the distribution and finds its parameters before the cut.
func (sizes Sizes) spectrum() (spectrum, error) {
	s := spectrum{
		mean: float64(sizes.Mean) * 1e3, sd: float64(sizes.SD) * 1e3,
		min: float64(sizes.Min) * 1e3, max: float64(sizes.Max) * 1e3,
	}
	switch {
	case !inside(s.mean, 1, 1000):
		return s, domain("Sizes.Mean", s.mean, 1, 1000, "um", "give the number mean diameter")
	case !inside(s.sd, 0, 1000):
		return s, domain("Sizes.SD", s.sd, 0, 1000, "um", "give 0 for equal spheres")
	case s.sd < 0.05:
		s.sd = 0
		return s, nil
	case !inside(s.min, 1, s.mean) || s.min == s.mean:
		return s, domain("Sizes.Min", s.min, 1, s.mean, "um", "the smallest sphere is smaller than the mean")
	case !inside(s.max, s.mean, 1000) || s.max == s.mean:
		return s, domain("Sizes.Max", s.max, s.mean, 1000, "um", "the largest sphere is larger than the mean")
	}
	return s, s.solve()
}

// solve finds centre and spread so that the cut distribution has the wanted
// mean and standard deviation: Newton's method in (centre, ln spread) with the
// step halved until the miss shrinks.
func (s *spectrum) solve() error {
	s.spread = math.Sqrt(math.Log1p(s.sd * s.sd / (s.mean * s.mean))) // of the distribution without a cut
	s.centre = math.Log(s.mean) - s.spread*s.spread/2
	tooWide := &Error{
		"Sizes.SD", "no such distribution fits between Min and Max with this mean and standard deviation",
		"make the standard deviation smaller or the limits wider",
	}
	const small = 1e-5
	for range 60 {
		m, d := s.miss()
		if math.Hypot(m, d) < 1e-10 {
			return nil
		}
		near := *s
		near.centre += small * s.spread
		m1, d1 := near.miss()
		near = *s
		near.spread *= 1 + small
		m2, d2 := near.miss()
		a, b, c, e := (m1-m)/(small*s.spread), (m2-m)/small, (d1-d)/(small*s.spread), (d2-d)/small
		det := a*e - b*c
		stepC, stepS := -(e*m-b*d)/det, -(a*d-c*m)/det
		for cut := 1.0; ; cut /= 2 {
			near = *s
			near.centre += cut * stepC
			near.spread *= math.Exp(cut * stepS)
			if m1, d1 = near.miss(); math.Hypot(m1, d1) < math.Hypot(m, d) {
				break
			}
			if cut < 1e-4 {
				return tooWide
			}
		}
		*s = near
	}
	return tooWide
}

// miss gives mean and standard deviation less the wanted ones, over the mean.
func (s *spectrum) miss() (mean, sd float64) {
	m := s.moments(s.min, s.max)
	mu := m[1] / m[0]
	return (mu - s.mean) / s.mean, (math.Sqrt(math.Max(0, m[2]/m[0]-mu*mu)) - s.sd) / s.mean
}

// density is the unnormalised number density at d micrometres.
func (s *spectrum) density(d float64) float64 {
	z := (math.Log(d) - s.centre) / s.spread
	return math.Exp(-z*z/2) / d
}

// nodes and weights of Gauss-Legendre quadrature on -1..1.
var gaussX, gaussW = func() (x, w [24]float64) {
	quad.Legendre{}.FixedLocations(x[:], w[:], -1, 1)
	return x, w
}()

// reach is the part of min..max outside which there is nothing: 15 standard
// deviations about the mean.
func (s *spectrum) reach() (lo, hi float64) {
	return math.Max(s.min, s.mean-15*s.sd), math.Min(s.max, s.mean+15*s.sd)
}

// moments gives the integrals of density d^k for k = 0 to 5 over a..b, by
// 24-point Gauss-Legendre on panels no wider than an eighth of the range and
// two standard deviations.
func (s *spectrum) moments(a, b float64) (m [6]float64) {
	lo, hi := s.reach()
	a, b = math.Max(a, lo), math.Min(b, hi)
	panels := math.Max(1, math.Ceil((b-a)/math.Min((s.max-s.min)/8, 2*s.sd)))
	half := (b - a) / panels / 2
	for p := 0.0; p < panels; p++ {
		mid := a + (2*p+1)*half
		for i, x := range gaussX {
			d := mid + half*x
			w := half * gaussW[i] * s.density(d)
			for k := range m {
				m[k] += w
				w *= d
			}
		}
	}
	return m
}

// edges gives the n+1 class limits in micrometres, smallest first.
func (s *spectrum) edges(n int) []float64 {
	const fine = 1024
	cum := make([]float64, fine+1)
	lo, hi := s.reach()
	step := (hi - lo) / fine
	for i := range fine {
		d := lo + (float64(i)+0.5)*step
		cum[i+1] = cum[i] + s.density(d)*d*d*d
	}
	edges := make([]float64, n+1)
	edges[0], edges[n] = lo, hi
	at := 0
	for j := 1; j < n; j++ {
		want := cum[fine] * (1 - math.Cos(math.Pi*float64(j)/float64(n))) / 2
		for cum[at+1] < want {
			at++
		}
		edges[j] = lo + step*(float64(at)+(want-cum[at])/(cum[at+1]-cum[at]))
	}
	return edges
}
