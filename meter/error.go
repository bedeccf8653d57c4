package meter

import (
	"math"

	"vialwright/uncertainty"
)

// Error is what this package returns for an input that a person, a file or an
// instrument could have caused. Code is stable and meant for programs:
//
//	bad-reading    a reading or activity that is not finite or not above 0
//	bad-u          an uncertainty that is negative or not finite
//	bad-tolerance  a tolerance that is not above 0
//	bad-value      a value on a chart that is not finite
//	bad-limits     a centre, standard deviation or weight that draws no chart
//	bad-chance     a probability outside (0, 1)
//	bad-group      a group size out of range, or groups of unequal size
//	too-few        fewer values than the question needs
//	no-spread      values that are all the same
//	not-monotone   a later reading of a decaying source that is higher, or values out of order
//	narrow-range   readings that span less than a factor of ten
//	no-u           a reading without an uncertainty to weigh it by
//	beyond-fill    a volume outside of those that were tested
//	nothing-moved  a transfer that left no activity to compare
//
// The codes of vialwright/nuclide appear for half-lives and times out of range.
type Error = uncertainty.Error

func refuse(code, text, hint string) *Error { return &Error{Code: code, Text: text, Hint: hint} }

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
