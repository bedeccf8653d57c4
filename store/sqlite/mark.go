package sqlite

import (
	"context"

	"vialwright/store"
)

// Mark implements store.Marked. The line is the schema cookie of the file, which
// SQLite raises with every change of a table or a trigger: records can only be
// taken out by who drops a trigger first.
func (l *Log) Mark(ctx context.Context) (store.Mark, error) {
	if err := l.handle.Usable(); err != nil {
		return store.Mark{}, err
	}
	m := store.Mark{Engine: "sqlite"}
	var line int64
	if err := l.readers.QueryRowContext(ctx, "PRAGMA schema_version").Scan(&line); err != nil {
		return store.Mark{}, l.readFailure(ctx, "reading the mark of the journal", err)
	}
	m.Line = uint64(line)
	return m, nil
}
