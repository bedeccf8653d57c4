package learning

import "vialwright/uncertainty"

// Error is what this package returns for an input that a person, a file or an
// instrument could have caused. Code is stable and meant for programs:
//
//	bad-value  a value that is not finite, or absurdly far from the prior
//	bad-u      an uncertainty that is negative or not finite
//	no-name    a case without vial kind or person
type Error = uncertainty.Error

func refuse(code, text, hint string) *Error { return &Error{Code: code, Text: text, Hint: hint} }
