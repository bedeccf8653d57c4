package settling

import "fmt"

// Error says which input is wrong, why in one plain sentence, and how to get
// on.
type Error struct {
	Input string // the field of Case (or the argument) that is wrong
	Msg   string // one plain sentence
	Hint  string // the way out
}

// Error gives the input, the sentence and the hint in one line.
func (e *Error) Error() string {
	return fmt.Sprintf("%s: %s (%s)", e.Input, e.Msg, e.Hint)
}

// domain builds the commonest refusal: a value outside lo..hi, with its unit.
func domain(input string, got, lo, hi float64, unit, hint string) *Error {
	return &Error{
		Input: input,
		Msg:   fmt.Sprintf("%.6g %s is outside %.6g to %.6g %s", got, unit, lo, hi, unit),
		Hint:  hint,
	}
}

// inside reports lo <= x <= hi and refuses a NaN.
func inside(x, lo, hi float64) bool { return x >= lo && x <= hi }

// bound refuses, as domain does, what is not inside lo..hi.
func bound[Q ~float64 | ~int](input string, got Q, lo, hi float64, unit, hint string) error {
	if inside(float64(got), lo, hi) {
		return nil
	}
	return domain(input, float64(got), lo, hi, unit, hint)
}

// when refuses what must not be.
func when(wrong bool, input, msg, hint string) error {
	if !wrong {
		return nil
	}
	return &Error{input, msg, hint}
}
