package slip

import "math"

// priors are the chances, for one entry, of each slip before anything is known
// of it; one kind is shared evenly among its ways. No published count of slips
// per entry of microsphere books was found: the sizes are common practice, no
// source. Where a report tells of the kind it is named in docs/theory/slips.md.
var priors = map[Part]map[Kind]float64{
	TheReading: {
		PointMoved: 3e-4, Swapped: 2e-4, Misread: 3e-4, OtherUnit: 3e-4, GrossForNet: 3e-4,
		OtherContainer: 3e-4, WrongHour: 1e-4, WrongDay: 1e-4, Unknown: 5e-5,
	},
	TheLabel:  {PointMoved: 1e-3, Swapped: 1e-3, Misread: 2e-3, OtherUnit: 1e-3, WrongHour: 2e-3, WrongDay: 2e-3},
	TheVolume: {PointMoved: 8e-4, Swapped: 8e-4, Misread: 8e-4},
	TheMove:   {NothingMoved: 1e-3, MovedTwice: 1e-3, OtherSource: 5e-4, OtherTarget: 5e-4},
}

// anySlip is the chance that a reading slipped at all, for two at once.
const anySlip = 1.5e-3

// logUniform is the density of an activity of which nothing is known but that
// it lies between 1 MBq and 100 GBq, spread evenly over its logarithm.
func logUniform(y float64) float64 { return -math.Log(max(y, 1e6)) - math.Log(math.Log(1e5)) }

// A reading in oddOnes of a hundred scatters odd times as far as the meter's
// repeatability says (common practice, no source).
const (
	oddOnes = 0.02
	odd     = 3
)
