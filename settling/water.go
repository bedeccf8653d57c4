package settling

import (
	"math"

	"vialwright/quantity"
)

// Density is held in grams per cubic centimetre (g/cm3).
type Density float64

// Viscosity is a dynamic viscosity held in millipascal seconds (mPa s).
type Viscosity float64

// Fluid is the liquid the spheres fall through.
type Fluid struct {
	Density   Density
	Viscosity Viscosity
}

// Lowest and highest temperature of the water correlations: 253.15 K to
// 383.15 K (IAPWS SR6-08(2011), range of validity).
const (
	coldestWater = -20.0
	hottestWater = 110.0
	kelvin       = 273.15
)

// Water gives density and viscosity of liquid water at 0.1 MPa by the IAPWS
// Revised Supplementary Release SR6-08(2011), valid from -20 C to 110 C
// (metastable below 0 C). The release puts its uncertainties no higher than
// those of the full formulations it stands for: density 1e-6 relative,
// viscosity 1 %. A temperature outside the range is an *Error.
func Water(t quantity.Temperature) (Fluid, error) {
	if !inside(float64(t), coldestWater, hottestWater) {
		return Fluid{}, domain("Temperature", float64(t), coldestWater, hottestWater, "C",
			"give the temperature of the liquid in degrees Celsius")
	}
	k := float64(t) + kelvin
	return Fluid{Density: waterDensity(k), Viscosity: waterViscosity(k)}, nil
}

// waterDensity gives g/cm3 at k kelvin: the reciprocal of the specific volume
// of SR6-08(2011) at 0.1 MPa,
//
//	v0 = (R Tr/p0) (a5 + sum a_i alpha^n_i + sum b_i beta^m_i),
//	alpha = Tr/(593 K - T), beta = Tr/(T - 232 K), Tr = 10 K,
//
// with i from 6 to 10 in a and 5 to 10 in b.
func waterDensity(k float64) Density {
	const gasConstant, tr, p0 = 461.51805, 10.0, 1e5 // J/(kg K), K, Pa
	alpha, beta := tr/(593-k), tr/(k-232)
	// alpha^4 (a6 + a7 alpha + a8 alpha^3 + a9 alpha^4 + a10 alpha^5): n = 4, 5, 7, 8, 9
	a := alpha * alpha
	a *= a * (6.74458446e3 + alpha*(-2.22521604e5+
		alpha*alpha*(1.00231247e8+alpha*(-1.63552118e9+alpha*8.32299658e9))))
	// beta (b5 + b6 beta + ... + b10 beta^5): m = 1 to 6
	b := beta * (5.78545292e-3 + beta*(-1.53195665e-2+beta*(3.11337859e-2+
		beta*(-4.23546241e-2+beta*(3.38713507e-2+beta*-1.19946761e-2)))))
	v0 := gasConstant * tr / p0 * (1.93763157e-2 + a + b) // m3/kg
	return Density(1e-3 / v0)
}

// waterViscosity gives mPa s at k kelvin: SR6-08(2011) equation 7,
//
//	mu0 / 1 uPa s = sum a_i (T/300 K)^b_i.
func waterViscosity(k float64) Viscosity {
	t := k / 300
	return Viscosity(1e-3 * (280.68*math.Pow(t, -1.9) + 511.45*math.Pow(t, -7.7) +
		61.131*math.Pow(t, -19.6) + 0.45903*math.Pow(t, -40)))
}
