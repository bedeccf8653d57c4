package learning

import (
	"fmt"

	"vialwright/quantity"
)

// Data are the cases of one person with one vial kind, as they are.
type Data[Q Quantity] struct {
	// N is how many there are.
	N int
	// Mean of the values, 0 without a case; SD their standard deviation, 0
	// with fewer than two. Neither is weighted.
	Mean, SD Q
}

// Shown puts what was believed and what was found side by side.
type Shown[Q Quantity] struct {
	// Prior is the predictive distribution before any case.
	Prior Predictive[Q]
	// Data of this person with this kind, and how many cases there are in all.
	Data Data[Q]
	// Predictive is for the next case; a plan takes this one.
	Predictive Predictive[Q]
}

// show prints a share in per cent to a tenth and an activity to three digits.
func show[Q Quantity](x Q) string {
	if a, ok := any(x).(quantity.Activity); ok {
		return fmt.Sprintf("%.3g MBq", a.MBq())
	}
	return fmt.Sprintf("%.1f %%", 100*float64(x))
}
