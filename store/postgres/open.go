package postgres

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"vialwright/store"
)

// patience is how long an append waits for the answer to what it has sent.
const patience = 60 * time.Second

// Create makes a new, empty log in the database at address, which has to be
// there, and opens it. Errors: CodeExists when the schema vialwright holds
// anything, CodeMissing when there is no such database, CodeUnsafe,
// CodeReadOnly, CodeBusy, CodeFailed.
func Create(ctx context.Context, address string) (*Log, error) {
	cfg, _, err := connections(address)
	if err != nil {
		return nil, err
	}
	writers := &pool{cfg: cfg, check: checkServer}
	defer writers.close()
	if err := writers.ask(ctx, "creating the journal", func(conn *pgx.Conn) error { return build(ctx, conn) }); err != nil {
		return nil, err
	}
	return Open(ctx, address)
}

// build makes the objects, in one transaction.
func build(ctx context.Context, conn *pgx.Conn) error {
	if _, err := conn.Exec(ctx, begin+"; "+takeLock); err != nil {
		return err
	}
	found, err := described(ctx, conn, "vialwright")
	if err != nil {
		return err
	}
	if len(found) > 0 {
		return &store.Error{
			Code: store.CodeExists, Msg: "the database has something in the schema vialwright already",
			Hint: "open it, or choose another database",
		}
	}
	// IF NOT EXISTS would ask for the right to create schemas all the same.
	const missing = "SELECT to_regnamespace('vialwright') IS NULL"
	script := create
	var none bool
	if err := conn.QueryRow(ctx, missing).Scan(&none); err != nil {
		return err
	}
	if none {
		script = "CREATE SCHEMA vialwright;" + script
	}
	if _, err := conn.Exec(ctx, script); err != nil {
		return err
	}
	if _, err := conn.Exec(ctx, "INSERT INTO vialwright.layout (mark, version) VALUES ($1, $2)", mark, layout); err != nil {
		return err
	}
	_, err = conn.Exec(ctx, "COMMIT")
	return err
}

// Open opens the log in the database at address for reading and appending.
// Errors: CodeMissing, CodeForeign, CodeNewer, CodeAltered, CodeUnsafe,
// CodeReadOnly (a standby server), CodeBusy, CodeFailed.
func Open(ctx context.Context, address string) (*Log, error) {
	writers, readers, err := connections(address)
	if err != nil {
		return nil, err
	}
	l := &Log{writers: &pool{cfg: writers, check: checkAppender}, readers: &pool{cfg: readers}, patience: patience}
	l.handle.ToAppend()
	return l.opened(l.writers.ask(ctx, opening, func(conn *pgx.Conn) error {
		if err := checkMarks(ctx, conn); err != nil {
			return err
		}
		return checkSchema(ctx, conn)
	}))
}

// OpenReadOnly opens the log in the database at address for reading, on a
// standby server too. A log whose triggers were tampered with is opened, since
// its records may still prove sound. Errors: CodeMissing, CodeForeign,
// CodeNewer, CodeAltered (a version that never was), CodeFailed.
func OpenReadOnly(ctx context.Context, address string) (*Log, error) {
	cfg, err := configure(address, reading)
	if err != nil {
		return nil, err
	}
	toRead(cfg)
	l := &Log{readers: &pool{cfg: cfg}, patience: patience}
	return l.opened(l.readers.ask(ctx, opening, func(conn *pgx.Conn) error { return checkMarks(ctx, conn) }))
}

const opening = "opening the journal"

// opened is the log, closed where it could not be opened.
func (l *Log) opened(err error) (*Log, error) {
	if err != nil {
		l.Close()
		return nil, err
	}
	return l, nil
}

// checkAppender is checkServer for a session that appends.
func checkAppender(ctx context.Context, conn *pgx.Conn) error {
	if err := checkServer(ctx, conn); err != nil {
		return err
	}
	return setFence(ctx, conn)
}

// checkServer refuses a server that does not keep what it acknowledges, or
// takes no writes.
func checkServer(ctx context.Context, conn *pgx.Conn) error {
	var fsync, pages, commit string
	var standby bool
	err := conn.QueryRow(ctx, `SELECT current_setting('fsync'), current_setting('full_page_writes'),
		current_setting('synchronous_commit'), pg_is_in_recovery()`).Scan(&fsync, &pages, &commit, &standby)
	switch {
	case err != nil:
		return err
	case fsync == "off":
		return unsafeSetting("fsync")
	case pages == "off":
		return unsafeSetting("full_page_writes")
	case commit == "off":
		return unsafeSetting("synchronous_commit")
	case standby:
		e := named[stateReadOnly]
		return &e
	}
	return nil
}
