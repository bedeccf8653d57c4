package learning

import "math"

// node is one point of a quadrature: f there and the step around it.
type node struct{ f, step float64 }

// The density at a node that is left out, and the longest step, in units of
// ln tau. For a density like e^x exp(-e^2x) the error of the trapezoidal rule
// with step h falls like exp(-pi^2/(2 h)): 4e-6 for 0.4; a normal one of width w
// with h = 0.8 w is exact to 1e-13 (L. N. Trefethen, J. A. C. Weideman, SIAM
// Review 56 (2014) 385-458).
const (
	negligible  = -20.0
	longestStep = 0.4
	mostNodes   = 400
)

// rule gives the nodes for the integral of exp(f) from -Inf to high. Below low f
// goes like x, since a spread that small changes nothing and its prior is flat
// there; the last node's step takes in what lies below. f is called with
// keep set for each node of the answer, in order from the peak down, then up.
func rule(f func(x float64, keep bool) float64, low, high float64) []node {
	peak, step := findPeak(func(x float64) float64 { return f(x, false) }, low, high)
	top := f(peak, true)
	nodes := []node{{top, step}}
	for x := peak - step; ; x -= step {
		if x < low {
			// h (1 + e^-h + e^-2h + ...) = h/(1 - e^-h)
			last := &nodes[len(nodes)-1]
			last.step = step / -math.Expm1(-step)
			break
		}
		y := f(x, true)
		top = math.Max(top, y)
		nodes = append(nodes, node{y, step})
		if y-top < negligible || len(nodes) >= mostNodes {
			break
		}
	}
	down := len(nodes)
	for x := peak + step; x <= high && len(nodes)-down < mostNodes; x += step {
		y := f(x, true)
		top = math.Max(top, y)
		nodes = append(nodes, node{y, step})
		if y-top < negligible {
			break
		}
	}
	return nodes
}

// findPeak gives the place of the greatest f and a step fit for the width there.
func findPeak(f func(float64) float64, low, high float64) (x, step float64) {
	const scan = 0.8
	n := int(math.Ceil((high-low)/scan)) + 1
	gap := (high - low) / float64(n-1)
	best := math.Inf(-1)
	for i := range n {
		at := low + gap*float64(i)
		if y := f(at); y > best {
			best, x = y, at
		}
	}
	for {
		a, b := math.Max(x-gap, low), math.Min(x+gap, high)
		fa, fb := f(a), f(b)
		if fa > best || fb > best {
			if fa > fb {
				x, best = a, fa
			} else {
				x, best = b, fb
			}
			continue
		}
		// Narrow enough once the bracket reaches a drop of about one half.
		if drop := best - math.Max(fa, fb); drop < 1 || gap < 1e-6 {
			return x, stepFor(best-fa, x-a, best-fb, b-x)
		}
		gap /= 2
	}
}

// stepFor gives 0.8 of the width of the parabola through the peak and the points
// beside it, that lie below it by those drops.
func stepFor(fa, left, fb, right float64) float64 {
	if left <= 0 || right <= 0 { // the peak is an end
		return longestStep / 2
	}
	// second difference on uneven points
	curvature := 2 * (fa/left + fb/right) / (left + right)
	return math.Min(longestStep, 0.8/math.Sqrt(math.Max(curvature, 1e-12)))
}

// logSum gives ln of the integral that the nodes stand for.
func logSum(nodes []node) float64 {
	top := math.Inf(-1)
	for _, n := range nodes {
		top = math.Max(top, n.f)
	}
	total := 0.0
	for _, n := range nodes {
		total += n.step * math.Exp(n.f-top)
	}
	return top + math.Log(total)
}
