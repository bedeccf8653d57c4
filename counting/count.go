package counting

import (
	"math"

	"vialwright/quantity"
	"vialwright/uncertainty"
)

// Count is what a counter showed in a counting time.
type Count struct {
	N    float64 // counts, 0 or more; whole but from a ratemeter
	Time quantity.Span
}

// Rate is N over Time.
func (c Count) Rate() quantity.CountRate { return quantity.CountRate(c.N / float64(c.Time)) }

// Ratemeter is the count that knows as much as a ratemeter showing rate with
// the time constant tau, once it has settled: u(r)^2 = r/(2 tau), as if counted for
// 2 tau (ISO 11929-1:2019, annex on ratemeters; from memory, not seen).
func Ratemeter(rate quantity.CountRate, tau quantity.Span) Count {
	return Count{2 * float64(tau) * float64(rate), 2 * tau}
}

// Live takes the dead time off: a counter that is blind for dead after each
// count was awake for Time - N dead (not extended by counts in it; G. F. Knoll,
// Radiation Detection and Measurement; from memory, not seen). Domain: dead at most
// a tenth of Time in all, beyond which the model itself is in doubt. Errors:
// bad-count.
func (c Count) Live(dead quantity.Span) (Count, error) {
	if !c.usable() || !(dead >= 0) || c.N*float64(dead) > 0.1*float64(c.Time) {
		return Count{}, refuse("bad-count", "The counter was blind for more than a tenth of the time.",
			"Count at a larger distance, or a smaller part of the sample; check the unit of the dead time.")
	}
	return Count{c.N, c.Time - quantity.Span(c.N*float64(dead))}, nil
}

func (c Count) usable() bool {
	return c.N >= 0 && !math.IsInf(c.N, 0) && c.Time > 0 && !math.IsInf(float64(c.Time), 0)
}

func refuse(code, text, hint string) error {
	return &uncertainty.Error{Code: code, Text: text, Hint: hint}
}

func badCount() error {
	return refuse("bad-count", "The counts or counting times are negative, missing or not numbers.",
		"Enter whole counts of 0 or more and a counting time above 0 s.")
}
