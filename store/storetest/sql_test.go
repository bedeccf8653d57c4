package storetest

import "testing"

// appendOnly wants an engine that speaks SQL to refuse every statement that
// would change, remove, skip or repeat a record of its table record(seq,
// hash, body), no matter who sends it. exec runs one statement on the database of
// the log that open opened last, in any session but the log's own.
func appendOnly(t *testing.T, open opener, exec func(sql string) error) {
	b := newBench(t, open)
	want := b.append("one", "two", "three")
	for _, sql := range []string{
		"UPDATE record SET body = hash",
		"UPDATE record SET hash = body WHERE seq = 2",
		"UPDATE record SET seq = seq + 10",
		"UPDATE record SET body = body WHERE seq = 1",
		"DELETE FROM record",
		"DELETE FROM record WHERE seq = 3",
		"INSERT INTO record (seq, hash, body) SELECT 5, hash, body FROM record WHERE seq = 3",
		"INSERT INTO record (seq, hash, body) SELECT 0, hash, body FROM record WHERE seq = 3",
		"INSERT INTO record (seq, hash, body) SELECT -1, hash, body FROM record WHERE seq = 3",
		"INSERT INTO record (seq, hash, body) SELECT seq, hash, body FROM record WHERE seq = 3",
		"INSERT INTO record (seq, hash, body) SELECT seq, hash, hash FROM record WHERE seq = 3 ON CONFLICT (seq) DO UPDATE SET body = excluded.body",
		"INSERT INTO record (seq, hash, body) SELECT 4, hash, NULL FROM record WHERE seq = 3",
		"INSERT INTO record (seq, hash, body) SELECT 4, body, body FROM record WHERE seq = 3",
	} {
		if err := exec(sql); err == nil {
			t.Errorf("accepted: %s", sql)
		}
		b.wantAll(want)
	}
	want = append(want, b.append("four")...)
	b.wantAll(want)
}
