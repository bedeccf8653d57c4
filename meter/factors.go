package meter

import (
	"fmt"
	"math"
)

// factors are the constants of control charts for groups of n normal values: MeanRange is
// d2 = E[R]/sigma, RangeSD is d3 = sd(R)/sigma, and ranges lie from D3 to D4 mean R.
type factors struct{ MeanRange, RangeSD, D3, D4 float64 }

const largestGroup = 100

// factorsFor works the constants out; an *Error with code bad-group unless
// 2 <= n <= 100. They are right to 1e-8.
//
//	d2 = int P(R > r) dr   d2^2 + d3^2 = int 2 r P(R > r) dr
//	P(R <= r) = n int phi(x) (Phi(x + r) - Phi(x))^(n-1) dx
//	D3 = 1 - 3 d3/d2, not below 0   D4 = 1 + 3 d3/d2
//
// (L. H. C. Tippett, Biometrika 17 (1925) 364-387).
func factorsFor(n int) (factors, error) {
	if n < 2 || n > largestGroup {
		return factors{}, refuse("bad-group", fmt.Sprintf("There are no chart constants for groups of %d.", n), "A group has 2 to 100 values.")
	}
	d2, d3 := rangeMoments(n)
	return factors{MeanRange: d2, RangeSD: d3, D3: math.Max(0, 1-3*d3/d2), D4: 1 + 3*d3/d2}, nil
}

// rangeMoments gives mean and standard deviation of the range of n standard
// normal values: Simpson's rule over r, whose error is h^4/180 times the third
// derivative at 0, some 1e-9, and the trapezoidal rule over x, on one grid so that
// Phi is worked out once for each point.
func rangeMoments(n int) (mean, sd float64) {
	const (
		h    = 0.02
		half = 450 // x to +-9
		most = 700 // r to 14
	)
	phi, cdf := make([]float64, 2*half+1), make([]float64, 2*half+most+1)
	for i := range cdf {
		x := h * float64(i-half)
		cdf[i] = math.Erfc(-x/math.Sqrt2) / 2
		if i < len(phi) {
			phi[i] = h * math.Exp(-x*x/2) / math.Sqrt(2*math.Pi)
		}
	}
	var first, second float64
	for j := range most + 1 {
		p := 0.0
		for i, f := range phi {
			p += f * power(cdf[i+j]-cdf[i], n-1)
		}
		above := 1 - float64(n)*p
		w := h / 3 * float64(2+2*(j%2))
		if j == 0 || j == most {
			w = h / 3
		}
		first += w * above
		second += w * 2 * h * float64(j) * above
	}
	return first, math.Sqrt(second - first*first)
}

// power gives x^n by squaring.
func power(x float64, n int) float64 {
	y := 1.0
	for ; n > 0; n >>= 1 {
		if n&1 == 1 {
			y *= x
		}
		x *= x
	}
	return y
}
