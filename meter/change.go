package meter

import (
	"fmt"
	"math"
	"time"
)

// Point is a value and when it was taken.
type Point[Q ~float64] struct {
	At    time.Time
	Value Q
}

// How a series changes.
const (
	Steady = "steady"
	Step   = "step"
	Drift  = "drift"
)

// Change is what a series of values in the order of time does: it is Steady, it
// makes one Step, or it begins to Drift.
type Change[Q ~float64] struct {
	Is string
	// Odds are those of Is against Steady; for a steady series those of its being so.
	Odds float64
	// First is the value from which it holds, from 0, and Low to High are those that it may
	// be with 95 % of the odds.
	First, Low, High int
	// Before is the mean of what was before, By what a step adds, or what a drift had
	// added at the last value.
	Before, By Q
}

// ChangePrior is the probability, before anything is read, that a series holds a
// change: an assumption, no source.
const ChangePrior = 0.1

// ChangeIn compares three accounts of a series with normal scatter of unknown size: one
// mean; a step behind any value; a straight drift from any value on. Each change has one
// parameter more, weighed as by one value's worth of information (R. E. Kass, L.
// Wasserman, J Am Stat Assoc 90 (1995) 928; from memory, not seen), and all places are alike
// before:
//
//	ln B_k = n/2 ln(S_0/S_k) - 1/2 ln n,   odds = prior/(1 - prior) mean_k B_k
//
// with S the sum of squares left. Errors: too-few below eight values, bad-value,
// no-spread, not-monotone for values not in the order of time.
func ChangeIn[Q ~float64](points []Point[Q]) (Change[Q], error) {
	n := len(points)
	if n < 8 {
		return Change[Q]{}, refuse("too-few", fmt.Sprintf("A change cannot be told from %d values.", n), "Collect eight or more.")
	}
	x, t := make([]float64, n), make([]float64, n)
	for i, p := range points {
		x[i], t[i] = float64(p.Value), p.At.Sub(points[0].At).Seconds()
		if !(math.Abs(x[i]) <= largest) {
			return Change[Q]{}, refuse("bad-value", fmt.Sprintf("Value %d is not a finite number.", i+1), "Leave it out or correct it.")
		}
		if i > 0 && t[i] < t[i-1] {
			return Change[Q]{}, refuse("not-monotone", "The values are not in the order of time.", "Sort them.")
		}
	}
	mean, sd := meanSD(x)
	if !(sd > 0) {
		return Change[Q]{}, refuse("no-spread", "The values are all the same.", "Record them with more digits.")
	}
	total := sd * sd * float64(n-1)
	best := Change[Q]{Is: Steady, Before: Q(mean), Odds: math.Inf(1)}
	for _, kind := range []string{Step, Drift} {
		c := changeOf[Q](x, t, kind, total)
		// half of the prior to each kind
		c.Odds *= ChangePrior / (1 - ChangePrior) / 2
		if c.Odds > 1 && (best.Is == Steady || c.Odds > best.Odds) {
			best = c
		} else if best.Is == Steady {
			best.Odds = min(best.Odds, 1/c.Odds)
		}
	}
	return best, nil
}

// changeOf fits a change behind each value but the outermost two, and gives the
// likeliest with the mean of the Bayes factors.
func changeOf[Q ~float64](x, t []float64, kind string, total float64) Change[Q] {
	n := len(x)
	c := Change[Q]{Is: kind}
	logs, top := make([]float64, n), math.Inf(-1)
	for k := 2; k <= n-2; k++ {
		before, by, left := regress(x, t, kind, k)
		// a perfect fit would be believed without bounds
		left = math.Max(left, 1e-12*total)
		logs[k] = float64(n)/2*math.Log(total/left) - math.Log(float64(n))/2
		if logs[k] > top {
			top, c.First, c.Before, c.By = logs[k], k, Q(before), Q(by)
		}
	}
	var sum float64
	for k := 2; k <= n-2; k++ {
		sum += math.Exp(logs[k] - top)
	}
	c.Odds = math.Exp(top) * sum / float64(n-3)
	part := 0.0
	c.Low = -1
	for k := 2; k <= n-2; k++ {
		part += math.Exp(logs[k]-top) / sum
		if c.Low < 0 && part >= 0.025 {
			c.Low = k
		}
		if c.High = k; part >= 0.975 {
			break
		}
	}
	return c
}

// regress fits a + b g by least squares, g = 1 from value k on for a step, and for a
// drift the time since value k-1 as a share of what is left of the series.
func regress(x, t []float64, kind string, k int) (a, b, left float64) {
	n := float64(len(x))
	g := make([]float64, len(x))
	length := t[len(t)-1] - t[k-1]
	var sg, sx, sgg, sgx float64
	for i := range x {
		switch {
		case i >= k && kind == Step:
			g[i] = 1
		case i >= k && length > 0:
			g[i] = (t[i] - t[k-1]) / length
		}
		sg, sx, sgg, sgx = sg+g[i], sx+x[i], sgg+g[i]*g[i], sgx+g[i]*x[i]
	}
	if d := sgg - sg*sg/n; d > 0 {
		b = (sgx - sg*sx/n) / d
	}
	a = (sx - b*sg) / n
	for i := range x {
		r := x[i] - a - b*g[i]
		left += r * r
	}
	return a, b, left
}
