package protection

import (
	"math"
	"time"

	"vialwright/nuclide"
	"vialwright/quantity"
)

// Content is an activity of a nuclide in waste.
type Content struct {
	Nuclide  string
	Activity quantity.Activity
	// Level is the concentration at which it may leave, as the activity in a gram.
	Level quantity.Activity
	// HalfLife is, of Y-90, that of the site; 0 for what is not known to decay.
	HalfLife quantity.Span
}

// halfLives are those of nuclides that are found in Y-90 and are not in the table of
// evaluated data: Y-91 and Y-88 as tabulated publicly; Eu-152 and Eu-154 from memory
// (DDEP: 13.522 a and 8.601 a), good enough for "it does not decay away".
var halfLives = map[string]quantity.Span{
	"Y-91": 58.51 * quantity.Day, "Y-88": 106.6 * quantity.Day, "Eu-152": 13.522 * quantity.Year, "Eu-154": 8.601 * quantity.Year,
}

// HalfLifeOf gives the half-life of a nuclide that waste may hold.
func HalfLifeOf(name string) (quantity.Span, bool) {
	if n, err := nuclide.Parse(name); err == nil {
		return n.HalfLife().Value, true
	}
	t, ok := halfLives[name]
	return t, ok
}

// Fractions is the sum of fractions of what is in a mass, after a time.
func Fractions(all []Content, mass quantity.Mass, after quantity.Span) (sum float64) {
	for _, c := range all {
		left := c.Activity
		if c.HalfLife > 0 {
			left *= quantity.Activity(nuclide.Factor(c.HalfLife, after))
		}
		sum += float64(left) / float64(mass) / float64(c.Level)
		if c.Nuclide != string(nuclide.Sr90) {
			continue
		}
		for _, y := range all { // with the Y-90 that it feeds
			if y.Nuclide == string(nuclide.Y90) {
				fed := nuclide.Pair{Parent: c.HalfLife, Daughter: y.HalfLife, Branch: 1}.Grow(c.Activity, 0, after)
				sum += float64(fed) / float64(mass) / float64(y.Level)
			}
		}
	}
	return sum
}

// longestHold is beyond which waste is not held for decay.
const longestHold = 10 * quantity.Year

// ingrown is after the Y-90 that grew out of Sr-90 was the most: that is at ln(T1/T2)/(λ2 - λ1),
// 31.9 d with half-lives of 28.80 a and 64.0417 h.
const ingrown = 32 * quantity.Day

// Ready is the time after which the sum of fractions is 1 or less, and stays so; false where
// that takes more than ten years, or cannot be said, as without a mass or a level. What grows
// in, Y-90 out of Sr-90, is at its most before ingrown: each day up to then is looked at.
func Ready(all []Content, mass quantity.Mass) (quantity.Span, bool) {
	over := func(t quantity.Span) bool { return !(Fractions(all, mass, t) <= 1) } // what is no number is not ready
	if over(longestHold) {
		return 0, false
	}
	low := quantity.Span(-1)
	for day := quantity.Span(0); day <= ingrown; day += quantity.Day {
		if over(day) {
			low = day
		}
	}
	if low < 0 {
		return 0, true
	}
	high := longestHold
	if low < ingrown {
		high = low + quantity.Day
	}
	for range 80 { // to a fraction of a second
		if mid := (low + high) / 2; over(mid) {
			low = mid
		} else {
			high = mid
		}
	}
	return high, true
}

// HalfLives is the instant after n half-lives.
func HalfLives(from time.Time, halfLife quantity.Span, n float64) time.Time {
	return from.Add(quantity.Span(n * float64(halfLife)).Duration())
}

// Net is a reading less background, in any one unit.
type Net struct {
	At time.Time
	// Value is what is left of it, U its standard uncertainty.
	Value, U float64
}

// Decay is what a row of readings says of how fast it decays.
type Decay struct {
	HalfLife quantity.Span
	// Low is what it is longer than, at 97.5 %.
	Low quantity.Span
	// Readings is how many of the last readings say so.
	Readings int
}

// sigmas is how far a decay constant has to lie below that of the nuclide.
const sigmas = 3

// Slow tells whether the last readings decay more slowly than a half-life, and gives
// the longest row of them that says so. Readings that are not above their background
// say nothing and are left out.
func Slow(all []Net, halfLife quantity.Span) (found Decay, slow bool) {
	var used []Net
	for _, n := range all {
		if n.Value > 2*n.U && n.U > 0 {
			used = append(used, n)
		}
	}
	lambda := math.Ln2 / float64(halfLife)
	for n := 2; n <= len(used); n++ {
		l, u := slope(used[len(used)-n:])
		if !(l+sigmas*u < lambda) {
			continue
		}
		t := math.Inf(1)
		if l > 0 {
			t = math.Ln2 / l
		}
		found, slow = Decay{quantity.Span(t), quantity.Span(math.Ln2 / (l + 1.96*u)), n}, true
	}
	return found, slow
}

// slope is the decay constant of a row and its standard uncertainty, by weighted
// least squares of ln(value), u(ln y) = u/y, against time in seconds.
func slope(row []Net) (lambda, u float64) {
	var w, wt, wy, wtt, wty float64
	for _, n := range row {
		x, y := float64(nuclide.Elapsed(row[0].At, n.At)), math.Log(n.Value)
		k := math.Pow(n.Value/n.U, 2)
		w, wt, wy, wtt, wty = w+k, wt+k*x, wy+k*y, wtt+k*x*x, wty+k*x*y
	}
	d := w*wtt - wt*wt
	if !(d > 0) {
		return 0, math.Inf(1) // all at one time
	}
	return -(w*wty - wt*wy) / d, math.Sqrt(w / d)
}
