package sqlite

import (
	"context"
	"database/sql"
	"slices"
	"sync"
	"time"
)

// The -wal file is moved into the file when nothing was appended for a while, and
// every few minutes where something is appended all the time: a copy of the file
// alone is then at most so old.
const (
	idleFor    = 10 * time.Second
	mostBehind = 2 * time.Minute
)

// settler moves the -wal file into the file, beside those who append and read. It
// waits for nobody: where somebody is at work it moves what it can, and comes
// again.
type settler struct {
	path  string
	there func() error // refuses a file that is not the one that was opened

	mu         sync.Mutex
	db         *sql.DB
	idle, late *time.Timer
	behind     bool // something was appended since the late timer was set
	closed     bool
}

// appended sets the timers.
func (s *settler) appended() {
	s.mu.Lock()
	defer s.mu.Unlock()
	switch {
	case s.closed:
	case s.idle == nil:
		s.idle, s.late = time.AfterFunc(idleFor, s.settle), time.AfterFunc(mostBehind, s.settle)
		s.behind = true
	default:
		s.idle.Reset(idleFor)
		if !s.behind {
			s.late.Reset(mostBehind)
			s.behind = true
		}
	}
}

// settle moves the -wal file once. What fails is tried again: the records are on
// stable storage in either.
func (s *settler) settle() {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.closed || s.there() != nil {
		return // what lies beside another file is none of its records
	}
	if s.db == nil {
		db, err := openPool(s.path, "rw", slices.Concat(settings, []string{"busy_timeout(0)"}))
		if err != nil {
			s.late.Reset(mostBehind)
			return
		}
		db.SetMaxOpenConns(1)
		s.db = db
	}
	var busy, frames, moved int
	err := s.db.QueryRowContext(context.Background(), "PRAGMA wal_checkpoint(TRUNCATE)").Scan(&busy, &frames, &moved)
	s.behind = err != nil || busy != 0
	if s.behind {
		s.late.Reset(mostBehind)
	}
}

// close waits for a move in progress.
func (s *settler) close() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.closed = true
	for _, t := range []*time.Timer{s.idle, s.late} {
		if t != nil {
			t.Stop()
		}
	}
	if s.db == nil {
		return nil
	}
	return s.db.Close()
}
