package postgres

import (
	"context"

	"github.com/jackc/pgx/v5"

	"vialwright/store"
)

// selectMark asks the server who it is and which of its databases, on which timeline, and how far its log
// goes; of a standby, how far it has replayed.
const selectMark = `SELECT (SELECT system_identifier::text FROM pg_control_system()) || '/' || (SELECT oid::text FROM pg_database WHERE datname = current_database()),
	CASE WHEN pg_is_in_recovery() THEN (SELECT timeline_id FROM pg_control_checkpoint())
		ELSE ('x' || substr(pg_walfile_name(pg_current_wal_lsn()), 1, 8))::bit(32)::int END,
	((CASE WHEN pg_is_in_recovery() THEN pg_last_wal_replay_lsn() ELSE pg_current_wal_lsn() END) - '0/0'::pg_lsn)::bigint`

// Mark implements store.Marked.
func (l *Log) Mark(ctx context.Context) (store.Mark, error) {
	if err := l.handle.Usable(); err != nil {
		return store.Mark{}, err
	}
	m := store.Mark{Engine: "postgres"}
	var line, count int64
	err := l.readers.ask(ctx, "reading the mark of the journal", func(conn *pgx.Conn) error {
		return conn.QueryRow(ctx, selectMark).Scan(&m.ID, &line, &count)
	})
	if err != nil {
		return store.Mark{}, err
	}
	m.Line, m.Count = uint64(line), uint64(count)
	return m, nil
}
