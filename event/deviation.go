package event

import (
	"fmt"
	"math"
	"strconv"

	"vialwright/quantity"
	"vialwright/rules"
)

// Deviation is how far what was delivered is from something, which it names.
type Deviation struct {
	// Of is "prescribed" or "dispensed", Amount what that is.
	Of     string
	Amount string
	// Value is A/amount - 1, U its standard uncertainty; 0 where it is not known, as
	// it is of the dispensed where somebody entered what was delivered.
	Value, U quantity.Fraction
	// more are the decimals that it is written with beyond the first.
	more int
}

// against takes as many decimals as it takes to see on which side of a limit it lies:
// -19.97 % where -20.0 % would look as if it had reached 20 %.
func (d Deviation) against(v rules.Value) Deviation {
	const most = 5
	for d.more < most && v.Reached(math.Abs(d.rounded())) != v.Reached(math.Abs(float64(d.Value))) {
		d.more++
	}
	return d
}

// text is the percentage as it is written, rounded what that is.
func (d Deviation) text() string { return fmt.Sprintf("%+.*f", 1+d.more, 100*float64(d.Value)) }

func (d Deviation) rounded() float64 {
	p, err := strconv.ParseFloat(d.text(), 64)
	if err != nil {
		return float64(d.Value)
	}
	return p / 100
}

// String writes it, always with what it is of: "-20.2 % ± 2.8 % of the
// prescribed 1.300 GBq".
func (d Deviation) String() string {
	s := d.text() + " %"
	if d.U > 0 {
		s += " ± " + quantity.FormatDigits(d.U, 2, "%")
	}
	return s + " of the " + d.Of + " " + d.Amount
}
