package nuclide

import "vialwright/uncertainty"

// Error is a refusal that a person, a file or a setting can cause.
type Error = uncertainty.Error

// The codes of Error.
const (
	UnknownNuclide  = "nuclide-unknown"
	InvalidHalfLife = "half-life-invalid"
	FarHalfLife     = "half-life-far"
	InvalidActivity = "activity-invalid"
	OutOfRange      = "decay-out-of-range"
)

func refuse(code, text, hint string) *Error { return &Error{Code: code, Text: text, Hint: hint} }
