package nuclide

// Error is a refusal that a person, a file or a setting can cause.
type Error struct {
	// Code is stable and meant for programs.
	Code string
	// Text is one plain sentence.
	Text string
	// Hint says what to do about it.
	Hint string
}

// Error gives the sentence and the hint.
func (e *Error) Error() string { return e.Text + " " + e.Hint }

// The codes of Error.
const (
	UnknownNuclide  = "nuclide-unknown"
	InvalidHalfLife = "half-life-invalid"
	FarHalfLife     = "half-life-far"
	InvalidActivity = "activity-invalid"
	OutOfRange      = "decay-out-of-range"
)
