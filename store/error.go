package store

import (
	"context"
	"errors"
	"fmt"
)

// Codes of an [Error]. They are stable: a test or a screen may rely on them.
const (
	// Refusals of a request; the log is as it was.
	CodeClosed   = "log-closed"    // the handle is closed
	CodeReadOnly = "log-read-only" // an append to a log opened for reading
	CodeEmpty    = "log-empty"     // an append without records
	CodeGap      = "log-gap"       // a record whose number does not follow
	CodeBodyless = "log-bodyless"  // a record without a body
	CodeOversize = "log-oversize"  // a body of more than MaxBody bytes
	CodeUnhashed = "log-unhashed"  // a hash that is all zero
	CodeConflict = "log-conflict"  // a ConflictError: the head has moved
	CodeBusy     = "log-busy"      // another program holds the log for writing

	// Trouble with what the log lies on.
	CodeFailed  = "log-failed"  // the storage reported an error; nothing was stored
	CodeUnsure  = "log-unsure"  // it did so while storing: the records may be there or not
	CodeCorrupt = "log-corrupt" // what is stored cannot have been appended
	// CodeReplaced is for a log in whose place there is nothing, or another one,
	// since it was opened.
	CodeReplaced = "log-replaced"

	// Refusals to open; what is there is left untouched.
	CodeMissing = "log-missing" // there is nothing to open
	CodeExists  = "log-exists"  // there is something where a log was to be created
	CodeForeign = "log-foreign" // it belongs to another program
	CodeNewer   = "log-newer"   // a later version of this program wrote it
	CodeAltered = "log-altered" // its tables are not the ones this program made
	CodeDamaged = "log-damaged" // acknowledged records in it can no longer be read
	CodeChanged = "log-changed" // it was written to while it was read as a settled file
)

// Error is a refusal or a failure of a log: a stable code, one plain
// sentence, and the way out.
type Error struct {
	Code string // one of the Code constants
	Msg  string // what is wrong, without a full stop
	Hint string // what to do about it; may be empty
	Err  error  // the error beneath, if there is one
}

// Error gives what is wrong, what lies beneath, and the hint.
func (e *Error) Error() string {
	s := e.Msg
	if e.Err != nil {
		s += ": " + e.Err.Error()
	}
	if e.Hint != "" {
		s += " (" + e.Hint + ")"
	}
	return s
}

// Unwrap gives the error beneath, or nil.
func (e *Error) Unwrap() error { return e.Err }

// ConflictError refuses an append behind a head that is not the log's.
// Nothing was stored.
type ConflictError struct {
	Have     Head // the head of the log
	Expected Head // the head the append expected
}

// Error says how the two heads differ and what that means.
func (e *ConflictError) Error() string {
	have, want := e.Have.Seq, e.Expected.Seq
	switch {
	case have > want:
		return fmt.Sprintf("the log has gone on to record %d, the append expected record %d as the last (read on from %d and decide again)",
			have, want, want+1)
	case have < want:
		return fmt.Sprintf("the log ends at record %d, the append expected record %d (records that were read are gone: was an older copy put back?)",
			have, want)
	}
	return fmt.Sprintf("the log has another record %d than the append expected (this is not the log that was read: stop and compare them)", have)
}

// GoneOn tells that others have appended; false where what was read is gone, or is
// another one.
func (e *ConflictError) GoneOn() bool { return e.Have.Seq > e.Expected.Seq }

// CodeOf gives the code of an error of a log: that of an [Error],
// CodeConflict for a [ConflictError], "" for any other and for nil.
func CodeOf(err error) string {
	if e, ok := errors.AsType[*Error](err); ok {
		return e.Code
	}
	if _, ok := errors.AsType[*ConflictError](err); ok {
		return CodeConflict
	}
	return ""
}

// CheckLayout refuses a log whose tables have another layout than the one the program
// knows; what is what the log lies in. It and [Altered] are for those who implement a
// [Log] upon tables.
func CheckLayout(has, known int64, what string) error {
	switch {
	case has > known:
		return &Error{
			Code: CodeNewer,
			Msg:  fmt.Sprintf("the journal has layout %d, this program knows layout %d", has, known),
			Hint: "use the version of the program that wrote it, or a later one; the " + what + " was left as it is",
		}
	case has < known:
		return Altered(fmt.Sprintf("it claims layout %d, which never was", has))
	}
	return nil
}

// Altered refuses a log whose tables are not the ones the program made.
func Altered(how string) error {
	return &Error{
		Code: CodeAltered, Msg: "the tables of the journal were changed: " + how,
		Hint: "it can still be opened for reading; verify it and compare it with a copy",
	}
}

// Check goes down the refusals of an append that need no look at the log,
// from cancelled to unhashed, in the order of the package comment. It is for
// those who implement a [Log].
func Check(ctx context.Context, expect Head, records []Record) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	if len(records) == 0 {
		return &Error{Code: CodeEmpty, Msg: "an append without records"}
	}
	last := expect.Seq
	for _, r := range records {
		if err := checkRecord(last, r); err != nil {
			return err
		}
		last = r.Seq
	}
	return nil
}

// checkRecord refuses a record that cannot stand behind record number last.
func checkRecord(last uint64, r Record) error {
	switch {
	case r.Seq == 0 || r.Seq-1 != last:
		return &Error{
			Code: CodeGap, Msg: fmt.Sprintf("record %d cannot follow record %d", r.Seq, last),
			Hint: "records are numbered from 1 without a gap",
		}
	case len(r.Body) == 0:
		return &Error{Code: CodeBodyless, Msg: fmt.Sprintf("record %d has no body", r.Seq)}
	case len(r.Body) > MaxBody:
		return &Error{
			Code: CodeOversize, Msg: fmt.Sprintf("record %d has a body of %d bytes", r.Seq, len(r.Body)),
			Hint: fmt.Sprintf("at most %d bytes; split it", MaxBody),
		}
	case r.Hash == [32]byte{}:
		return &Error{Code: CodeUnhashed, Msg: fmt.Sprintf("record %d has no hash", r.Seq)}
	}
	return nil
}
