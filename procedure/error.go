package procedure

import (
	"slices"

	"vialwright/people"
)

// Codes of an [Error]. They are stable: a record or a test may rely on them.
// Refusals of package people keep their own.
const (
	CodeUnknownStep = "unknown-step"       // no step of the procedure
	CodeClosed      = "closed"             // the record of the order is closed
	CodeCancelled   = "cancelled"          // the preparation was cancelled
	CodeGiven       = "given"              // the dose was given
	CodeMismatch    = "mismatch"           // the second check differs, and nothing was done about it
	CodeNotCompared = "check-not-compared" // what the checker read cannot be set beside the record
	CodeWorking     = "check-working"      // the checker's figure is not that of the checker's readings
	CodeSlipTwice   = "check-slip-twice"   // the checker struck an own check out before
	CodeNotYet      = "not-yet"            // an earlier step is missing
	CodeAlready     = "already-done"       // it is done, and not done twice
	CodeTransferred = "transferred"        // the dose is no longer in its syringe
	CodeHeld        = "held"               // a finding has to be lifted first
	CodeUnsigned    = "order-unsigned"     // the order is not signed as it is
	CodeNotTaken    = "not-taken-over"     // who was named has not taken the dose over
	CodeReadOut     = "time-out-differs"   // what was read out is not what the record holds
	CodeWindow      = "window"             // now is outside the window of the dose
	CodeNoDeviation = "no-deviation"       // something went otherwise, and no deviation says so
	CodeNowhere     = "container-nowhere"  // nobody said where a container with something in it is

	// Paper.
	CodeNoWriter  = "no-writer"  // the person who wrote the sheet is not named
	CodeNotWriter = "not-writer" // what is signed was done by another

	// Labels.
	CodeNotPrinted = "not-printed" // a label that cannot be printed
	CodeNoLabel    = "no-label"    // nothing was scanned
	CodeOtherLabel = "other-label" // not a label of this order
	CodeVoidLabel  = "void-label"  // a label that is no longer in force
	CodeLabelSize  = "label-size"  // a label that is not on the container itself
)

// Error says why something was refused as one of package people does, with a code of
// this package.
type Error people.Error

// Error gives what is wrong, and the hint.
func (e *Error) Error() string { return (*people.Error)(e).Error() }

func refuse(code, msg, hint string) *Error { return &Error{Code: code, Msg: msg, Hint: hint} }

// NearMiss tells that the refusal kept a dose from going on under a wrong label,
// or to another patient or territory than the one ordered.
func (e *Error) NearMiss() bool {
	switch e.Code {
	case CodeOtherLabel, CodeVoidLabel, CodeLabelSize, CodeReadOut:
		return true
	}
	return false
}

// figureless are refusals that never hold a figure of the dose.
var figureless = []string{
	CodeMismatch, CodeUnsigned, CodeNotTaken, CodeNoWriter, CodeNotWriter, CodeNotCompared, CodeWorking, CodeSlipTwice,
}

// WithoutFigures is a refusal without the figures in it, for anyone who may still check
// the dose; an error of another package stays as it is.
func WithoutFigures(err error) error {
	e, ok := err.(*Error)
	if !ok || slices.Contains(figureless, e.Code) {
		return err
	}
	return &Error{Code: e.Code, Msg: "another step comes first", Hint: "the people who prepare the dose see which one; you may check the dose when it is ready"}
}
