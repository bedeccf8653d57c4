// Package vault is the contract of what is kept beside the journal and is no
// fact of it: hashes of passwords, sessions, what was typed and not sent yet.
// It can be changed and removed, and should it be lost no record of a patient
// is. [Over] is the one implementation; package sqlitevault keeps it in a SQLite
// file of its own, package postgresvault in the PostgreSQL database of the
// journal, under the same address; the suite in vaulttest holds both to the contract.
//
// # Items
//
// A vault has three shelves, [Secrets], [Sessions] and [Drafts]. On a shelf an
// item lies under a key of 1 to [MaxKey] bytes and has
//
//	value    0 to MaxValue bytes that the vault does not look into
//	version  a number above 0 that this vault gives once and never again
//	expires  an instant, kept to the microsecond (rounded down), or never
//
// An item is there from the Put that kept it until it is replaced, removed, or
// expires: at an instant now it is there when expires is never or now <
// expires. The vault reads no clock, now is an argument. An expired item that
// still takes room is gone for every call; [Vault] Sweep removes it for good.
//
// # Versions
//
// Two people, or one person on two screens, may change the same item. Each Put
// says which version it was decided on:
//
//	0        there is no item
//	v > 0    the item is there and has version v
//	Any      whatever there is
//
// and is refused with [CodeConflict] where that is not so; of two that name
// the same version one is accepted. Since no version is given twice, one that
// was removed and made again is not taken for the old one.
//
// # Refusals
//
// Every call refuses, in this order:
//
//	closed      the handle is closed                       store.CodeClosed
//	cancelled   the context is done                        its error
//	key         there is no such shelf, or the key has
//	            no bytes or more than MaxKey               CodeKey
//	oversize    the value has more than MaxValue bytes     CodeOversize
//	conflict    the version is another one                 CodeConflict
//
// Trouble with the database comes as a store.Error with a code of package
// store: CodeBusy, CodeFailed, CodeCorrupt and, where the outcome is open,
// CodeUnsure; then Get tells. A context that ends while a call waits for the
// database ends the wait; once something is being stored the call runs to its
// end. When Put or Remove returns nil the change is on stable storage.
//
// # What it protects
//
// The values are as secret as the database file: put in hashes, not passwords,
// and sessions under the hash of their token. A value does not get into a log
// by way of [Item]'s formatting.
//
// # Worked example
//
// Put(Secrets, "RP1", {"h1"}) on an empty shelf gives version 1. Two screens
// read it. Put(Secrets, "RP1", {"h2", version 1}) from the first gives version
// 2; the same from the second is refused as a conflict, and Get gives it "h2".
package vault

import (
	"context"
	"fmt"
	"time"

	"vialwright/store"
)

// Shelf is a part of a vault with keys of its own.
type Shelf string

// The shelves.
const (
	Secrets  Shelf = "secret"  // by the id of a person
	Sessions Shelf = "session" // by the hash of a token
	Drafts   Shelf = "draft"   // by whose it is and what form
)

const (
	// MaxKey is the longest key in bytes.
	MaxKey = 256
	// MaxValue is the largest value in bytes (1 MiB), the same as of a record
	// of the journal, so that what can be sent can be kept until then.
	MaxValue = store.MaxBody
	// Any is the version that stands for whatever there is.
	Any int64 = -1
)

// Codes of a store.Error that refuses a call; the vault is as it was.
const (
	CodeKey      = "vault-key"      // no such shelf, or a key that is empty or too long
	CodeOversize = "vault-oversize" // a value of more than MaxValue bytes
	CodeConflict = "vault-conflict" // it was changed, or is gone
)

// Item is what lies under a key. The zero Item is that of a key without one.
type Item struct {
	Value   []byte    // 0 to MaxValue bytes
	Version int64     // above 0; 0 when there is no item
	Expires time.Time // when it is gone; the zero time for never
}

// Format writes "item" for every verb.
func (Item) Format(f fmt.State, _ rune) { f.Write([]byte("item")) }

// Vault keeps items. The package comment specifies it. A handle may be used by
// many goroutines at once; several handles, in several processes, may be open
// on one vault.
type Vault interface {
	// Get gives the item under a key, the zero Item when none is there. The
	// value belongs to the caller; the instant it expires is in UTC.
	Get(ctx context.Context, now time.Time, shelf Shelf, key string) (Item, error)

	// Put keeps an item in place of the version that item.Version names, and
	// gives the version that it got. The caller may change the value once
	// Put has returned.
	Put(ctx context.Context, now time.Time, shelf Shelf, key string, item Item) (version int64, err error)

	// Remove takes an item of that version away, expired or not. Version 0 is
	// a conflict; Any is none, whether there is an item or not.
	Remove(ctx context.Context, shelf Shelf, key string, version int64) error

	// Sweep removes what has expired by now from every shelf for good, and
	// tells how many items that was.
	Sweep(ctx context.Context, now time.Time) (removed int, err error)

	// Close waits for calls in progress and ends the use of the handle.
	// Closing again does nothing.
	Close() error
}

// Check goes down the refusals that need no look at the vault, from cancelled
// to oversize. It is for those who implement a [Vault].
func Check(ctx context.Context, shelf Shelf, key string, value []byte) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	switch {
	case shelf != Secrets && shelf != Sessions && shelf != Drafts:
		return &store.Error{Code: CodeKey, Msg: "the vault has no such shelf"}
	case key == "" || len(key) > MaxKey:
		return &store.Error{
			Code: CodeKey, Msg: fmt.Sprintf("a key of the vault cannot have %d bytes", len(key)),
			Hint: fmt.Sprintf("1 to %d bytes; use a hash of what is longer", MaxKey),
		}
	case len(value) > MaxValue:
		return &store.Error{
			Code: CodeOversize, Msg: fmt.Sprintf("a value of %d bytes does not fit into the vault", len(value)),
			Hint: fmt.Sprintf("at most %d bytes", MaxValue),
		}
	}
	return nil
}

// Conflict is the refusal of a change that was decided on another version. It
// is for those who implement a [Vault].
func Conflict() error {
	return &store.Error{
		Code: CodeConflict, Msg: "it was changed in the meantime",
		Hint: "look at it again and decide again",
	}
}

// Micros gives an instant as whole microseconds since 1970, rounded down, and
// false for never: how an engine keeps Expires. At gives it back.
func Micros(expires time.Time) (int64, bool) {
	if expires.IsZero() {
		return 0, false
	}
	return expires.UnixMicro(), true
}

// At is the instant that [Micros] made a number of, in UTC.
func At(micros int64) time.Time { return time.UnixMicro(micros).UTC() }
