package sqlite

import (
	"cmp"
	"context"
	"database/sql"
	"errors"
	"os"
	"slices"
	"sync"
	"time"

	"vialwright/store"
)

// The -wal file is moved into the file when nothing was appended for a while, and
// every few minutes where something is appended all the time: a copy of the file
// alone is then at most so old.
const (
	idleFor    = 10 * time.Second
	mostBehind = 2 * time.Minute
)

// SQLite would move the pages as part of the commit that fills so many, and whoever
// appended that record would wait for two more syncs. Here they are moved beside the
// commits; SQLite does it itself only where that does not keep up.
const (
	manyPages = 1000
	autoMove  = "wal_autocheckpoint(16000)"
)

// settler moves the -wal file into the file, beside those who append and read. It
// waits for nobody: where somebody is at work it moves what it can, and comes
// again.
type settler struct {
	path  string
	there func() error // refuses a file that is not the one that was opened

	work sync.Mutex // held while something is moved
	db   *sql.DB

	mu         sync.Mutex // who has appended waits for it, so it is never held while a disk is at work
	idle, late *time.Timer
	behind     bool // something was appended since the late timer was set
	pages      int  // about how many were appended since some were moved
	closed     bool
}

// appended sets the timers, and has a full -wal file moved.
func (s *settler) appended(records []store.Record) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.closed {
		return
	}
	s.pages += 2 // the last of the table and the one above it
	for _, r := range records {
		s.pages += len(r.Body) >> 12
	}
	if s.pages += len(records) >> 3; s.pages >= manyPages {
		s.pages = 0
		go s.move("PASSIVE")
	}
	switch {
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

// settle moves the -wal file and empties it. What fails is tried again: the records
// are on stable storage in either.
func (s *settler) settle() {
	s.move("PASSIVE") // nobody waits for this one, and little is left for the next
	moved := s.move("TRUNCATE")
	s.mu.Lock()
	switch s.behind = !moved; {
	case moved:
		s.late.Stop() // the next append sets it
	case !s.closed:
		s.late.Reset(mostBehind)
	}
	s.mu.Unlock()
	s.makeRoom()
}

// move moves the -wal file once, and tells whether all of it was.
func (s *settler) move(how string) bool {
	var busy, frames, moved int
	err := s.with(func(conn *sql.Conn) error {
		return conn.QueryRowContext(context.Background(), "PRAGMA wal_checkpoint("+how+")").Scan(&busy, &frames, &moved)
	})
	return err == nil && busy == 0
}

// makeRoom fills an empty -wal file with zeros, which SQLite takes for an empty one, so
// that the appends behind it write over them: the sync of a file that grows waits for
// the journal of the file system too, and for whatever others have written meanwhile.
// Without the room appends are slower, and nothing else.
func (s *settler) makeRoom() {
	_ = s.with(func(conn *sql.Conn) error {
		wal, err := os.OpenFile(s.path+"-wal", os.O_WRONLY, 0)
		if err != nil {
			return err
		}
		defer wal.Close()
		ctx := context.Background()
		if _, err := conn.ExecContext(ctx, "BEGIN IMMEDIATE"); err != nil { // no program writes there now
			return err
		}
		info, err := wal.Stat()
		if err == nil && info.Size() == 0 {
			_, err = wal.Write(make([]byte, walHeader+manyPages*(frameHeader+pageSize)))
		}
		_, open := conn.ExecContext(ctx, "ROLLBACK")
		return cmp.Or(open, err, wal.Sync())
	})
}

var errNotThere = errors.New("it is closed, or another file lies there")

// with does something with a connection of its own. What lies beside another file than
// the one that was opened is none of its records.
func (s *settler) with(do func(*sql.Conn) error) error {
	s.work.Lock()
	defer s.work.Unlock()
	s.mu.Lock()
	closed := s.closed
	s.mu.Unlock()
	if closed || s.there() != nil {
		return errNotThere
	}
	if s.db == nil {
		db, err := openPool(s.path, "rw", slices.Concat(settings, []string{"busy_timeout(0)"}))
		if err != nil {
			return err
		}
		db.SetMaxOpenConns(1)
		s.db = db
	}
	conn, err := s.db.Conn(context.Background())
	if err == nil {
		err = errors.Join(do(conn), conn.Close())
	}
	if err != nil { // no transaction of it stays open
		_, s.db = s.db.Close(), nil
	}
	return err
}

// close waits for a move in progress.
func (s *settler) close() error {
	s.mu.Lock()
	s.closed = true
	for _, t := range []*time.Timer{s.idle, s.late} {
		if t != nil {
			t.Stop()
		}
	}
	s.mu.Unlock()
	s.work.Lock()
	defer s.work.Unlock()
	if s.db == nil {
		return nil
	}
	return s.db.Close()
}
