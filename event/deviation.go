package event

import (
	"fmt"

	"vialwright/quantity"
)

// Deviation is how far what was delivered is from something, which it names.
type Deviation struct {
	// Of is "prescribed" or "dispensed", Amount what that is.
	Of     string
	Amount string
	// Value is A/amount - 1, U its standard uncertainty; 0 where it is not known, as
	// it is of the dispensed where somebody entered what was delivered.
	Value, U quantity.Fraction
}

// String writes it, always with what it is of: "-20.2 % ± 2.8 % of the
// prescribed 1.300 GBq".
func (d Deviation) String() string {
	s := fmt.Sprintf("%+.1f %%", 100*float64(d.Value))
	if d.U > 0 {
		s += " ± " + quantity.FormatDigits(d.U, 2, "%")
	}
	return s + " of the " + d.Of + " " + d.Amount
}
