package nuclide

import (
	"math"
	"math/cmplx"
)

// stirling holds B(2k)/(2k (2k-1)) for k = 1, 2, ...; B are the Bernoulli
// numbers.
var stirling = [...]float64{
	1.0 / 12, -1.0 / 360, 1.0 / 1260, -1.0 / 1680, 1.0 / 1188,
	-691.0 / 360360, 1.0 / 156, -3617.0 / 122400, 43867.0 / 244188, -174611.0 / 125400,
}

// logGamma gives the principal branch of ln Gamma(z) for Re z > 0. Stirling's
// series (NIST Digital Library of Mathematical Functions 5.11.1),
//
//	ln Gamma(z) = (z - 1/2) ln z - z + ln(2 pi)/2 + sum B(2k)/(2k(2k-1) z^(2k-1)),
//
// is used for |z| >= 12, where ten terms leave less than 1e-17 (DLMF 5.11(ii),
// for Re z > 0); a smaller z is raised by Gamma(z) = Gamma(z+1)/z (5.5.1).
// Each logarithm is taken by itself, which keeps the branch.
func logGamma(z complex128) complex128 {
	var raised complex128
	for cmplx.Abs(z) < 12 {
		raised += cmplx.Log(z)
		z++
	}
	inverse := 1 / z
	square := inverse * inverse
	var sum complex128
	for k := len(stirling) - 1; k >= 0; k-- {
		sum = sum*square + complex(stirling[k], 0)
	}
	half := complex(math.Log(2*math.Pi)/2, 0)
	return (z-0.5)*cmplx.Log(z) - z + half + sum*inverse - raised
}
