package settling

import (
	"math"

	"vialwright/quantity"
)

// Velocity is held in millimetres per second (mm/s), downwards positive.
type Velocity float64

// StandardGravity is g in m/s2 (3rd CGPM, 1901; exact). Local gravity lies
// within 0.3 % of it everywhere a hospital stands.
const StandardGravity = 9.80665

// mostReynolds is the highest Reynolds number of the drag correlation (Schiller and
// Naumann, Z Ver dtsch Ing 77:318), C_D = 24/Re (1 + 0.15 Re^0.687).
const mostReynolds = 800

// excess is the factor by which drag exceeds Stokes' law, C_D = 24/Re, at re.
func excess(re float64) float64 { return 1 + 0.15*math.Pow(re, 0.687) }

// Fall is one sphere at its terminal velocity.
type Fall struct {
	Velocity Velocity
	Reynolds float64 // rho_f v d / mu
}

// Terminal gives the steady fall of one sphere, far from walls and from other
// spheres: weight less buoyancy equals drag,
//
//	(pi/6) d^3 (rho_p - rho_f) g = C_D (pi/4) d^2 rho_f v^2 / 2,
//
// which in terms of the Archimedes number Ar = g d^3 rho_f (rho_p - rho_f)/mu^2
// reads Re (C_D Re / 24) = Ar/18. Its left side rises with Re and C_D Re / 24
// is at least 1, so the root lies in 0..Ar/18 and is found there by a
// bracketed Newton iteration. An input that is not positive, a sphere no
// denser than the fluid, or a fall beyond the correlation is an *Error.
func Terminal(diameter quantity.Length, rho Density, f Fluid) (Fall, error) {
	if err := checkFall(diameter, rho, f); err != nil {
		return Fall{}, err
	}
	d, mu := float64(diameter)*1e-3, float64(f.Viscosity)*1e-3 // m, Pa s
	rf, rp := float64(f.Density)*1e3, float64(rho)*1e3         // kg/m3
	target := StandardGravity * d * d * d * rf * (rp - rf) / (mu * mu) / 18
	re := reynolds(target)
	if re > mostReynolds {
		return Fall{}, domain("Diameter", re, 0, mostReynolds, "(Reynolds number)", "the drag correlation does not reach spheres this large")
	}
	return Fall{Velocity: Velocity(1e3 * re * mu / (rf * d)), Reynolds: re}, nil
}

func checkFall(diameter quantity.Length, rho Density, f Fluid) error {
	switch {
	case !inside(float64(diameter), 1e-6, 100):
		return domain("Diameter", float64(diameter), 1e-6, 100, "mm", "give the sphere's diameter")
	case !inside(float64(f.Viscosity), 1e-3, 1e6) || !inside(float64(f.Density), 1e-4, 30):
		return &Error{"Fluid", "density and viscosity must be positive", "take them from Water"}
	case !(rho > f.Density) || rho > 30:
		return domain("Density", float64(rho), float64(f.Density), 30, "g/cm3", "only spheres denser than the liquid settle")
	}
	return nil
}

// reynolds solves Re * excess(Re) = target, whose left side is increasing.
func reynolds(target float64) float64 {
	return newton(0, target, target, 1e-14, func(re float64) (miss, slope float64) { // excess >= 1
		const h = 1e-6
		return re*excess(re) - target, ((1+h)*excess(re*(1+h)) - excess(re)) / h
	})
}

// newton finds the root x of an increasing function between lo and hi to a part near of it.
// It begins at a guess, and its steps must stay inside the bracket, so that it always ends.
func newton(lo, hi, x, near float64, f func(x float64) (miss, slope float64)) float64 {
	for range 200 {
		miss, slope := f(x)
		if miss > 0 {
			hi = x
		} else {
			lo = x
		}
		next := x - miss/slope
		if !(next > lo && next < hi) {
			next = lo + (hi-lo)/2
		}
		if math.Abs(next-x) <= near*x {
			return next
		}
		x = next
	}
	return x
}
