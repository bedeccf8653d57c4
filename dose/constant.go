package dose

import (
	"fmt"
	"math"

	"vialwright/nuclide"
	"vialwright/quantity"
	"vialwright/uncertainty"
)

// Constant is the mean dose that one gigabecquerel gives to one kilogram in
// which it decays away.
type Constant struct {
	// Value is in Gy kg/GBq, U its standard uncertainty.
	Value, U float64
	// Says names what it was worked out from.
	Says string
}

// The constants in print for Y-90, in Gy kg/GBq: from (64.041 h, 0.9267 MeV) to
// (64.2 h, 0.9367 MeV). 49.67 and 50 are both in use.
const leastPrinted, mostPrinted = 49.38, 50.04

// ConstantOf works the constant out (MIRD):
//
//	K = 1e9 · T/ln 2 · E   with T in s and E in J
//
// Its uncertainty is that of the values in print, a rectangle (JCGM 100:2008,
// 4.3.7): the evaluations disagree by more than each says of itself.
func ConstantOf(h nuclide.HalfLife, e nuclide.MeanEnergy) Constant {
	k := 1e9 * float64(h.Value) / math.Ln2 * e.Value.Joules()
	return Constant{k, k * (mostPrinted/leastPrinted - 1) / math.Sqrt(12), fmt.Sprintf("half-life %s, %s; mean energy %.4g keV per decay, %s",
		quantity.FormatDigits(h.Value, 6, "h"), h.Source, float64(e.Value), e.Source)}
}

// DefaultConstant is that of the nuclide data in use.
func DefaultConstant() Constant {
	return ConstantOf(nuclide.Y90.HalfLife(), nuclide.Y90.ElectronEnergies()[0])
}

// String gives the constant with what it was worked out from.
func (c Constant) String() string { return fmt.Sprintf("%.2f Gy kg/GBq (%s)", c.Value, c.Says) }

func (c Constant) number() uncertainty.Number {
	return uncertainty.New(c.Value, c.U, "dose constant", math.Inf(1))
}
