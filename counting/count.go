package counting

import (
	"math"

	"vialwright/quantity"
	"vialwright/uncertainty"
)

// Count is what a counter showed in a counting time.
type Count struct {
	N    float64 // counts, 0 or more
	Time quantity.Span
}

// Rate is N over Time.
func (c Count) Rate() quantity.CountRate { return quantity.CountRate(c.N / float64(c.Time)) }

// Live takes the dead time off: a counter that is blind for dead after each count, which
// counts in it do not make longer, was awake for Time - N dead, so that its rate is
//
//	n = m/(1 - m dead),  m = N/Time   u(n)^2 = N/(Time - N dead)^2
//
// (non-paralysable model; G. F. Knoll, Radiation Detection and Measurement, chapter 4; from
// memory, not seen). Domain: dead at most a tenth of Time in all, beyond which the
// model itself is in doubt. Errors: bad-count.
func (c Count) Live(dead quantity.Span) (Count, error) {
	if !c.usable() || !(dead >= 0) || c.N*float64(dead) > 0.1*float64(c.Time) {
		return Count{}, refuse("bad-count", "The counter was blind for more than a tenth of the time.",
			"Count at a larger distance, or a smaller part of the sample; check the unit of the dead time.")
	}
	return Count{c.N, c.Time - quantity.Span(c.N*float64(dead))}, nil
}

func (c Count) usable() bool {
	return c.N >= 0 && finite(c.N) && c.Time > 0 && finite(float64(c.Time))
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

func refuse(code, text, hint string) error {
	return &uncertainty.Error{Code: code, Text: text, Hint: hint}
}

func badCount() error {
	return refuse("bad-count", "The counts or counting times are negative, missing or not numbers.",
		"Enter whole counts of 0 or more and a counting time above 0 s.")
}
