package meter

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mathext"

	"vialwright/nuclide"
	"vialwright/quantity"
)

// Shape is what explains a series of readings of one decaying source.
type Shape string

// The shapes. Each but Straight has one parameter more than the straight line
// ln R = ln A0 - ln 2 t/T:
//
//	BadPoint    one reading is left out
//	DeadTime    R = A/(1 + tau A), too little at the top of the range
//	Offset      R = A + b, a background not taken off, or taken off twice
//	OtherDecay  the half-life is free: an impurity, or another nuclide
const (
	Straight   Shape = "straight"
	BadPoint   Shape = "bad-point"
	DeadTime   Shape = "dead-time"
	Offset     Shape = "offset"
	OtherDecay Shape = "other-half-life"
)

// Explanation is one shape with what it takes.
type Explanation struct {
	Shape Shape
	// Point is the reading that is left out, from 0; -1 for none.
	Point int
	// Value and its standard uncertainty U are tau in 1/Bq of dead time, b in Bq of an
	// offset, the half-life in s of another decay; 0 for the others.
	Value, U float64
	// Chi2 is what is left, of Dof degrees of freedom.
	Chi2 float64
	Dof  int     // degrees of freedom
	a0   float64 // ln of the activity at the first reading
}

// Line is what a test of linearity by decay comes to.
type Line struct {
	// Free is the fit with the half-life free, without a bad point.
	Free Explanation
	// Is explains the readings best; Or are others that do so with odds of no less
	// than one in twenty of it, the best first.
	Is Explanation
	Or []Explanation
	// Reference is the reading in the middle of the range that Outcomes are given
	// from; a bad point is among them, and is not in Within.
	Reference int
	Outcomes  []Outcome
	Within    bool
}

// leastPoints and leastRange are what a test of linearity needs: five readings over
// a factor of ten (common practice, no source).
const (
	leastPoints = 5
	leastRange  = 10
	// clear is how unlikely, in all, what an explanation takes off chi-square has to
	// be by chance before it is believed.
	clear = 0.01
)

// LinearityLine fits the logarithms of readings of one decaying source with weights
// 1/u^2, compares the explanations, and gives deviations from the reading in the middle of
// the range (from the highest, a dead time shows at the wrong end).
//
// Explanations are compared by chi^2 + ln n for a parameter (G. Schwarz, Ann Stat
// 6 (1978) 461; from memory, not seen), and 2 ln n more for which point is bad. One is
// believed that takes off more than chance does in 1 % of series.
//
// Errors: too-few below five readings, narrow-range below a factor of ten,
// not-monotone where a later reading is higher than chance allows, no-u where a reading has
// no uncertainty to weigh it by, and those of [Linearity].
func LinearityLine(readings []Reading, h nuclide.HalfLife, tolerance quantity.Fraction) (Line, error) {
	if err := checkLine(readings, h, tolerance); err != nil {
		return Line{}, err
	}
	s := seriesOf(readings, h)
	l := Line{Free: s.shaped(OtherDecay)}
	l.Is, l.Or = s.explain(s.straight(-1), l.Free)
	if l.Is.Shape == BadPoint {
		s.w[l.Is.Point] = 0
		l.Free = s.shaped(OtherDecay)
		l.Free.Dof--
	}
	l.Reference = s.middle(l.Is.Point)
	var err error
	if l.Outcomes, err = Linearity(readings, l.Reference, h, tolerance); err != nil {
		return Line{}, err
	}
	l.Within = true
	for i, o := range l.Outcomes {
		l.Within = l.Within && (o.Within || i == l.Is.Point)
	}
	return l, nil
}

func checkLine(readings []Reading, h nuclide.HalfLife, tolerance quantity.Fraction) error {
	if err := checkTest(h, tolerance, readings...); err != nil {
		return err
	}
	if len(readings) < leastPoints {
		return refuse("too-few", fmt.Sprintf("A test of linearity by decay needs %d readings, and has %d.", leastPoints, len(readings)), "Follow the decay longer.")
	}
	low, high := readings[0].Net, readings[0].Net
	for i, r := range readings {
		low, high = min(low, r.Net), max(high, r.Net)
		if !(r.U > 0) {
			return refuse("no-u", fmt.Sprintf("Reading %d has no uncertainty to weigh it by.", i+1), "Give the repeatability of the meter.")
		}
		if i == 0 {
			continue
		}
		last := readings[i-1]
		if !r.At.After(last.At) || float64(r.Net) > float64(last.Net)*(1+4*root(r.U, last.U)) {
			return refuse("not-monotone", fmt.Sprintf("Reading %d is not lower and later than reading %d, as a decaying source is.", i+1, i), "Check times and units, and that it is one source.")
		}
	}
	if high < leastRange*low {
		return refuse("narrow-range", "The readings span less than a factor of ten.", "Follow the decay over the range in use.")
	}
	return nil
}

// series are the readings as a fit takes them.
type decaySeries struct {
	y, w, f, lnf, t []float64 // ln reading, 1/u^2, decay factor and its logarithm, time in s
	decay           float64   // ln 2/T
}

func seriesOf(readings []Reading, h nuclide.HalfLife) decaySeries {
	s := decaySeries{decay: math.Ln2 / float64(h.Value)}
	for _, r := range readings {
		t := float64(nuclide.Elapsed(readings[0].At, r.At))
		s.y = append(s.y, math.Log(float64(r.Net)))
		s.w = append(s.w, 1/(float64(r.U)*float64(r.U)))
		s.t, s.lnf, s.f = append(s.t, t), append(s.lnf, -s.decay*t), append(s.f, math.Exp(-s.decay*t))
	}
	return s
}

// straight is the weighted mean of ln R - ln f, with one reading left out, or none
// for -1.
func (s decaySeries) straight(but int) Explanation {
	e := Explanation{Shape: Straight, Point: but, Dof: len(s.y) - 1}
	if but >= 0 {
		e.Shape, e.Dof = BadPoint, e.Dof-1
	}
	var sw, sy float64
	for i := range s.y {
		if i != but {
			sw, sy = sw+s.w[i], sy+s.w[i]*(s.y[i]-s.lnf[i])
		}
	}
	e.a0 = sy / sw
	for i := range s.y {
		if i != but {
			r := s.y[i] - s.lnf[i] - e.a0
			e.Chi2 += s.w[i] * r * r
		}
	}
	return e
}

// model gives ln R less ln A0 at reading i for a parameter p, and its derivative:
//
//	dead time   ln f - ln(1 + p f), p = tau A0
//	offset      ln(f + p),          p = b/A0
//	half-life   -p t,               p = ln 2/T
func (s decaySeries) model(shape Shape, i int, p float64) (m, d float64) {
	switch shape {
	case DeadTime:
		return s.lnf[i] - math.Log1p(p*s.f[i]), -s.f[i] / (1 + p*s.f[i])
	case Offset:
		return math.Log(s.f[i] + p), 1 / (s.f[i] + p)
	}
	return -p * s.t[i], -s.t[i]
}

// shaped fits ln A0 and the parameter of a shape by Gauss and Newton, halving a step
// that makes it worse.
func (s decaySeries) shaped(shape Shape) Explanation {
	e := Explanation{Shape: shape, Point: -1, Dof: len(s.y) - 2}
	p := 0.0
	if shape == OtherDecay {
		p = s.decay
	}
	var varP float64
	e.a0, e.Chi2, _, _ = s.inner(shape, p)
	for range 60 {
		_, _, step, v := s.inner(shape, p)
		varP = v
		a0, chi2 := math.NaN(), math.NaN()
		for ; math.Abs(step) > 1e-15*math.Abs(p); step /= 2 {
			if a0, chi2, _, _ = s.inner(shape, p+step); chi2 <= e.Chi2 {
				break
			}
		}
		if !(chi2 <= e.Chi2) {
			break
		}
		p, e.a0, e.Chi2 = p+step, a0, chi2
	}
	top := math.Exp(e.a0)
	switch shape {
	case DeadTime:
		e.Value, e.U = p/top, math.Sqrt(varP)/top
	case Offset:
		e.Value, e.U = p*top, math.Sqrt(varP)*top
	default:
		e.Value, e.U = math.Ln2/p, math.Ln2/p/p*math.Sqrt(varP)
	}
	return e
}

// inner takes the best ln A0 for a parameter, chi-square there, the step of p that
// Gauss and Newton take next, and the variance of p.
func (s decaySeries) inner(shape Shape, p float64) (a0, chi2, step, variance float64) {
	var sw, sr, sd, sdd, sdr float64
	for i := range s.y {
		m, d := s.model(shape, i, p)
		r := s.y[i] - m
		sw, sr, sd, sdd, sdr = sw+s.w[i], sr+s.w[i]*r, sd+s.w[i]*d, sdd+s.w[i]*d*d, sdr+s.w[i]*d*r
	}
	a0 = sr / sw
	for i := range s.y {
		m, _ := s.model(shape, i, p)
		r := s.y[i] - m - a0
		chi2 += s.w[i] * r * r
	}
	variance = 1 / (sdd - sd*sd/sw)
	return a0, chi2, (sdr - sd*a0) * variance, variance
}

// explain compares the explanations.
func (s decaySeries) explain(fixed, free Explanation) (is Explanation, or []Explanation) {
	n := float64(len(s.y))
	type weighed struct {
		Explanation
		cost float64
	}
	all := []weighed{{fixed, fixed.Chi2}}
	believe := func(e Explanation, tries, cost float64) {
		gain := math.Max(0, fixed.Chi2-e.Chi2)
		// chi-square of one degree of freedom
		if chance := tries * mathext.GammaIncRegComp(0.5, gain/2); chance < clear {
			all = append(all, weighed{e, e.Chi2 + cost})
		}
	}
	for i := range s.y {
		believe(s.straight(i), n, 3*math.Log(n))
	}
	believe(s.shaped(DeadTime), 1, math.Log(n))
	believe(s.shaped(Offset), 1, math.Log(n))
	believe(free, 1, math.Log(n))
	slices.SortStableFunc(all, func(a, b weighed) int { return cmp.Compare(a.cost, b.cost) })
	for _, x := range all[1:] {
		if x.cost-all[0].cost < 2*math.Log(20) {
			or = append(or, x.Explanation)
		}
	}
	return all[0].Explanation, or
}

// middle is the reading nearest to the middle of the range, in logarithms, that is
// not bad.
func (s decaySeries) middle(bad int) int {
	best, half := -1, (slices.Min(s.y)+slices.Max(s.y))/2
	for i, y := range s.y {
		if i != bad && (best < 0 || math.Abs(y-half) < math.Abs(s.y[best]-half)) {
			best = i
		}
	}
	return best
}
