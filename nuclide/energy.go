package nuclide

// Energy is held in kiloelectronvolts (keV), the unit of the evaluations.
type Energy float64

// Multiples of the electronvolt.
const (
	KiloElectronVolt Energy = 1
	MegaElectronVolt Energy = 1e3
)

// elementaryCharge in coulombs, exact (BIPM, The International System of
// Units, 9th edition, 2019): 1 eV = 1.602176634e-19 J.
const elementaryCharge = 1.602176634e-19

// Joules gives e in joules (J).
func (e Energy) Joules() float64 { return float64(e) * 1e3 * elementaryCharge }
