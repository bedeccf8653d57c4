// Package storetest is a log for the tests of what stands on one, and the suite that every
// store.Log passes: its tests run it on each engine.
package storetest

import (
	"context"
	"crypto/sha256"
	"encoding/binary"
	"iter"
	"slices"
	"sync"

	"vialwright/store"
)

// Memory is a log in memory for the tests of what stands on a log. Several handles may
// share its records.
type Memory struct {
	mu      sync.Mutex
	Records []store.Record
	fail    error // what the next append answers, once
}

// FailNext has the next append answer an error and store nothing.
func (m *Memory) FailNext(err error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.fail = err
}

// Append refuses as every log does, and answers once what
// FailNext was given.
func (m *Memory) Append(ctx context.Context, expect store.Head, records ...store.Record) error {
	if err := store.Check(ctx, expect, records); err != nil {
		return err
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	if err := m.fail; err != nil {
		m.fail = nil
		return err
	}
	if have := m.head(); have != expect {
		return &store.ConflictError{Have: have, Expected: expect}
	}
	for _, r := range records {
		r.Body = slices.Clone(r.Body)
		m.Records = append(m.Records, r)
	}
	return nil
}

func (m *Memory) head() store.Head {
	if len(m.Records) == 0 {
		return store.Head{}
	}
	return m.Records[len(m.Records)-1].Head()
}

// Head is that of the last record.
func (m *Memory) Head(context.Context) (store.Head, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.head(), nil
}

// Read gives the records as they were when it was called.
func (m *Memory) Read(_ context.Context, from uint64, limit int) iter.Seq2[store.Record, error] {
	m.mu.Lock()
	records := slices.Clone(m.Records)
	m.mu.Unlock()
	return func(yield func(store.Record, error) bool) {
		for _, r := range records {
			if r.Seq < from {
				continue
			}
			if limit == 0 || !yield(r, nil) {
				return
			}
			limit--
		}
	}
}

// Close does nothing: another handle may be open.
func (m *Memory) Close() error { return nil }

// Chain makes records that follow head, one for each body, each with the
// SHA-256 of the hash before it, its number and its body as its hash. It is
// not the journal's chain, only one that tells records apart.
func Chain(head store.Head, bodies ...[]byte) []store.Record {
	records := make([]store.Record, 0, len(bodies))
	for _, body := range bodies {
		h := sha256.New()
		h.Write(head.Hash[:])
		h.Write(binary.BigEndian.AppendUint64(nil, head.Seq+1))
		h.Write(body)
		r := store.Record{Seq: head.Seq + 1, Body: body, Hash: [32]byte(h.Sum(nil))}
		records = append(records, r)
		head = r.Head()
	}
	return records
}
