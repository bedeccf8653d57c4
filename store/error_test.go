package store

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"
)

// record is a valid record with that number.
func record(seq uint64) Record {
	return Record{Seq: seq, Body: []byte("body"), Hash: [32]byte{1}}
}

// TestCheck goes down the refusals in their order; each row is right but for
// what it is named after, and the rows that are wrong twice show which
// refusal comes first.
func TestCheck(t *testing.T) {
	bodyless, oversize, unhashed, wrong := record(2), record(2), record(2), record(3)
	bodyless.Body = nil
	oversize.Body = make([]byte, MaxBody+1)
	unhashed.Hash = [32]byte{}
	wrong.Body = nil
	full := record(1)
	full.Body = make([]byte, MaxBody)

	for _, c := range []struct {
		name    string
		expect  uint64
		records []Record
		code    string
	}{
		{"one", 0, []Record{record(1)}, ""},
		{"many", 0, []Record{record(1), record(2), record(3)}, ""},
		{"behind a head", 41, []Record{record(42)}, ""},
		{"largest body", 0, []Record{full}, ""},
		{"empty", 0, nil, CodeEmpty},
		{"number 0", 0, []Record{record(0)}, CodeGap},
		{"number 0 after the last number there is", ^uint64(0), []Record{record(0)}, CodeGap},
		{"starts late", 0, []Record{record(2)}, CodeGap},
		{"repeats the head", 1, []Record{record(1)}, CodeGap},
		{"gap inside", 0, []Record{record(1), record(3)}, CodeGap},
		{"same number twice", 0, []Record{record(1), record(1)}, CodeGap},
		{"backwards", 1, []Record{record(2), record(1)}, CodeGap},
		{"bodyless", 1, []Record{bodyless}, CodeBodyless},
		{"oversize", 1, []Record{oversize}, CodeOversize},
		{"unhashed", 1, []Record{unhashed}, CodeUnhashed},
		{"a gap comes before a missing body", 0, []Record{record(1), wrong}, CodeGap},
		{"an earlier record comes first", 0, []Record{record(1), unhashed, record(9)}, CodeUnhashed},
	} {
		t.Run(c.name, func(t *testing.T) {
			err := Check(t.Context(), Head{Seq: c.expect}, c.records)
			if CodeOf(err) != c.code || (err == nil) != (c.code == "") {
				t.Fatalf("got %v, want code %q", err, c.code)
			}
		})
	}
}

// TestCheckCancelled: a done context comes before any fault of the records.
func TestCheckCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if err := Check(ctx, Head{}, nil); !errors.Is(err, context.Canceled) {
		t.Fatalf("got %v", err)
	}
}

// TestConflictError: the three ways heads differ call for three ways out.
func TestConflictError(t *testing.T) {
	for _, c := range []struct {
		have, expected Head
		word           string
	}{
		{Head{Seq: 5}, Head{Seq: 3}, "read on from 4"},
		{Head{Seq: 3}, Head{Seq: 5}, "older copy"},
		{Head{Seq: 3, Hash: [32]byte{1}}, Head{Seq: 3, Hash: [32]byte{2}}, "not the log that was read"},
	} {
		err := error(&ConflictError{Have: c.have, Expected: c.expected})
		if !strings.Contains(err.Error(), c.word) {
			t.Errorf("%q does not say %q", err, c.word)
		}
	}
}

func TestCodeOf(t *testing.T) {
	cause := errors.New("no space")
	for _, c := range []struct {
		err  error
		code string
	}{
		{nil, ""},
		{cause, ""},
		{&Error{Code: CodeFailed, Msg: "writing", Err: cause}, CodeFailed},
		{fmt.Errorf("append: %w", &Error{Code: CodeGap}), CodeGap},
		{fmt.Errorf("append: %w", &ConflictError{}), CodeConflict},
	} {
		if got := CodeOf(c.err); got != c.code {
			t.Errorf("CodeOf(%v) = %q, want %q", c.err, got, c.code)
		}
	}
	err := error(&Error{Code: CodeFailed, Msg: "writing", Hint: "free some", Err: cause})
	if got := err.Error(); got != "writing: no space (free some)" || !errors.Is(err, cause) {
		t.Errorf("got %q", got)
	}
}
