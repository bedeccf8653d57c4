// Package store is the contract of the append-only log on which the journal
// stands. It holds no database: [Log] is what an engine promises, the
// subpackages keep the promise each with a database of its own, and the suite
// in storetest holds them to it.
//
// # The log
//
// A log is a sequence of records numbered from 1 without a gap. With n
// records,
//
//	n      number of records, n >= 0
//	r(i)   record i, 1 <= i <= n: its number i, its body, its hash
//	head   {n, hash of r(n)}; for n = 0 the zero Head
//
// A body is 1 to [MaxBody] bytes that the log does not look into. A hash is
// 32 bytes given by the caller, not all zero; the log stores and compares it
// and never computes it. Whether the hashes form a chain over the bodies is
// for the journal to say.
//
// # Append
//
// Append adds r(n+1) ... r(n+k) behind an expected head. When it returns nil
// all k records are on stable storage, in order: they survive the end of the
// process and a power cut. When it returns an error none is there, with the
// one exception of [CodeUnsure]. It refuses, in this order:
//
//	closed       the handle is closed                                 CodeClosed
//	read-only    the handle was opened for reading                    CodeReadOnly
//	cancelled    the context is done                                  its error
//	empty        no record was given                                  CodeEmpty
//	for each record in turn:
//	  gap        its number is not that of the record before plus 1   CodeGap
//	  bodyless   its body has no bytes                                CodeBodyless
//	  oversize   its body has more than MaxBody bytes                 CodeOversize
//	  unhashed   its hash is all zero                                 CodeUnhashed
//	conflict     the log's head is not the expected one               *ConflictError
//
// where the first record must follow the expected head. The conflict is what
// lets two benches write one journal: each decides on what it has read, says
// which head that was, and only one of two that decided on the same head is
// accepted. The other reads on and decides again. Nothing is ever replaced
// or removed; there is no call for it.
//
// A context that ends while Append waits for another writer ends the wait,
// and nothing is stored. Once the records are being written Append runs to
// its end.
//
// # Read
//
// Read gives the records from a number on, in order, at most limit of them.
// It sees the log as it was when the loop began: what is appended meanwhile,
// from inside the loop too, is seen by the next Read. A pair with an error is
// the last one. A number that is missing or a record that no Append can have
// written is [CodeCorrupt].
//
// # Handles
//
// A handle may be used by many goroutines at once. Several handles, in
// several processes, may be open on one log.
//
// # Worked example
//
// On an empty log, Append(Head{}, r1, r2) gives the head {2, h2}. A second
// bench that still expects Head{} and appends its own record 1 is told that
// it has {2, h2}; it reads records 1 and 2 and appends its record as number
// 3 behind {2, h2}.
package store

import (
	"context"
	"iter"
)

// MaxBody is the largest body of a record in bytes (1 MiB). One entry of the
// journal is below 10 kB; the limit keeps a mistake out of a log that never
// shrinks.
const MaxBody = 1 << 20

// All is the limit of a [Log] Read that goes on to the head.
const All = -1

// Record is one record of a log.
type Record struct {
	Seq  uint64   // number of the record, from 1
	Body []byte   // 1 to MaxBody bytes
	Hash [32]byte // given by the caller, not all zero
}

// Head is the head of the log once r is its last record.
func (r Record) Head() Head { return Head{Seq: r.Seq, Hash: r.Hash} }

// Head says how far a log goes: the number and the hash of its last record.
// The zero Head is that of an empty log.
type Head struct {
	Seq  uint64   // number of the last record; 0 when there is none
	Hash [32]byte // its hash; all zero when there is none
}

// Log is an append-only log of records. The package comment specifies it.
type Log interface {
	// Append adds records, all or none, behind the head expect, and
	// returns when they are on stable storage. Errors: the refusals listed
	// in the package comment, CodeBusy, CodeFailed, CodeUnsure.
	// The caller may change the bodies once Append has returned.
	Append(ctx context.Context, expect Head, records ...Record) error

	// Head gives the head of the log.
	Head(ctx context.Context) (Head, error)

	// Read gives the records numbered from and above, in order, no more
	// than limit of them; a negative limit ([All]) means no limit, 0 means
	// none. A from of 0 begins at 1; one above the head gives nothing. The
	// bodies belong to the caller.
	Read(ctx context.Context, from uint64, limit int) iter.Seq2[Record, error]

	// Close waits for an Append in progress and ends the use of the
	// handle; a Read in progress may go on to its end. Closing again does
	// nothing.
	Close() error
}
