package meter

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/integrate/quad"
)

// factors are the constants of control charts for groups of normal values: ranges lie from
// D3 to D4 of their mean.
type factors struct{ D3, D4 float64 }

const largestGroup = 100

// factorsFor works the constants out; an *Error with code bad-group unless
// 2 <= n <= 100. They are right to 1e-8.
//
//	d2 = E[R]/sigma = int P(R > r) dr   d2^2 + d3^2 = int 2 r P(R > r) dr
//	P(R <= r) = n int phi(x) (Phi(x + r) - Phi(x))^(n-1) dx
//	D3 = 1 - 3 d3/d2, not below 0   D4 = 1 + 3 d3/d2
//
// (L. H. C. Tippett, Biometrika 17 (1925) 364-387).
func factorsFor(n int) (factors, error) {
	if n < 2 || n > largestGroup {
		return factors{}, refuse("bad-group", fmt.Sprintf("There are no chart constants for groups of %d.", n), "A group has 2 to 100 values.")
	}
	d2, d3 := rangeMoments(n)
	return factors{D3: math.Max(0, 1-3*d3/d2), D4: 1 + 3*d3/d2}, nil
}

// rangeMoments gives mean and standard deviation of the range of n standard normal
// values, by Gauss-Legendre quadrature over r to 14 and over x to +-9. The steep
// side of large groups needs the many points over x: with 128 that of 100 is 1.5e-8 off.
func rangeMoments(n int) (mean, sd float64) {
	var r, wr [64]float64
	var x, wx [192]float64
	quad.Legendre{}.FixedLocations(r[:], wr[:], 0, 14)
	quad.Legendre{}.FixedLocations(x[:], wx[:], -9, 9)
	cdf := func(x float64) float64 { return math.Erfc(-x/math.Sqrt2) / 2 }
	var first, second float64
	for i, r := range r {
		above := 1.0 // P(R > r)
		for j, x := range x {
			phi := math.Exp(-x*x/2) / math.Sqrt(2*math.Pi)
			above -= wx[j] * float64(n) * phi * math.Pow(cdf(x+r)-cdf(x), float64(n-1))
		}
		first += wr[i] * above
		second += wr[i] * 2 * r * above
	}
	return first, math.Sqrt(second - first*first)
}
