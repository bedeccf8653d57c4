package uncertainty

// Error is what this package returns for an input a person, a file or an
// instrument could have caused. Code is stable and meant for programs:
//
//	bad-value          an estimate that is not a finite number
//	bad-uncertainty    a standard uncertainty that is negative or not finite
//	bad-dof            degrees of freedom that are not positive
//	bad-probability    a probability outside (0, 1)
//	bad-limits         a lower limit above the upper one, or limits that are NaN
//	too-few            fewer readings than the question needs
//	not-finite         a result that is not a finite number
type Error struct {
	Code string // one of the codes above
	Text string // one plain sentence: what is wrong
	Hint string // the way out
}

// Error gives the sentence and the hint.
func (e *Error) Error() string { return e.Text + " " + e.Hint }

func refuse(code, text, hint string) *Error {
	return &Error{Code: code, Text: text, Hint: hint}
}
