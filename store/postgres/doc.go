// Package postgres keeps a log (package store) in a PostgreSQL database.
//
// # The address
//
//	postgres://USER@HOST:PORT/DATABASE?sslmode=verify-full&sslrootcert=FILE
//
// as PostgreSQL's own programs take it. A password is better kept out of the
// address, in PGPASSWORD or in ~/.pgpass (PostgreSQL documentation, "Database
// Connection Control Functions"). The connection must lead to the server
// itself or to one that keeps a client on one connection for a session.
//
// # The database
//
//	schema vialwright
//	  table layout    mark     integer   0x5649414C, the letters VIAL
//	                  version  integer   1, the version of this layout
//	  table record    seq      bigint    number, from 1
//	                  hash     bytea     32 bytes
//	                  body     bytea     1 to store.MaxBody bytes
//
// Triggers refuse every UPDATE, DELETE and TRUNCATE of both tables, and an
// INSERT of a number that does not follow another, or of a hash or a body of
// another size; an older log has checks of the table for the sizes, and is used
// as it is. They fire for every user,
// and in a session that has session_replication_role set to replica too.
// Besides, the owner of the tables is left with the rights to select and to
// insert. All this stops slips; it does not stop an owner who means it, which
// the hash chain of the journal shows. A schema of that name that this program
// did not make, or whose version is higher, is refused and left as it is; one
// whose tables, checks, triggers or functions are not as they were made is
// opened for reading only.
//
// Anyone who makes the log with [Create] owns it. Another user appends with
//
//	GRANT USAGE ON SCHEMA vialwright TO bench;
//	GRANT SELECT, INSERT ON vialwright.record TO bench;
//	GRANT SELECT ON vialwright.layout TO bench;
//
// # Appending
//
// An append is one statement, which commits itself: it inserts where nobody has
// the advisory lock (0x5649414C, 1) of the database and the last record is the
// expected one. Where another bench has the lock, or there are more records than
// go into one message (1000, or 8 MB), it is one transaction: the first exchange
// begins it, takes the lock and asks for the head; it waits for the other bench no
// longer than 10 s (CodeBusy), or until the context ends, and has written
// nothing. The last exchange commits. A session that inserts without the lock is
// stopped by the trigger or by the primary key, or stops us: that is a conflict.
//
// # Durability
//
// A commit is acknowledged when its write-ahead log is flushed, which takes
// synchronous_commit other than off, fsync on and, against torn pages after a
// power cut, full_page_writes on (PostgreSQL documentation, "Write Ahead Log",
// "Settings"). Every connection that can append asks for synchronous_commit on
// and then asks the server for all three; [Create] and [Open] refuse with
// [CodeUnsafe] where one is off. With standby servers that are named in
// synchronous_standby_names it has reached them too. A disk that answers a
// flush without writing defeats every database.
//
// # A connection that is lost
//
// Each session that appends has an advisory lock of its own, (0x5649414C, a
// number below 0), until the server ends it, which it does only when it is done
// with everything that was sent there. An append of one statement whose connection is
// lost, or that has no answer for 60 s, connects again, waits for that lock, and looks
// whether its records are there; if not it goes on and appends them. So a server that
// was started again, or another that took its place, is met without a word. Records
// that are there are answered once the standby servers have them too: a server that was
// started again shows them before. Where the server cannot be asked, or has not ended
// the lost session within 10 s, or where a transaction of two exchanges loses its
// connection at its commit, Append returns CodeUnsure. The next Head or Read of the handle waits for the same lock,
// so that it is final: what is not there then will never be. A session whose
// client is gone ends at once, or after 25 s where the network is. Another program
// sees records that arrive so late as it sees those of any other bench.
//
// The server is never asked to stop a statement: a commit that waits for a standby
// server would be there without having reached it.
//
// # Reading
//
// A loop over Read has a connection and a read-only transaction of its own, at
// isolation level repeatable read, and fetches page after page along the
// primary key. It waits for nobody and holds up nobody; one that stays open
// for days keeps the server from tidying up what else is in the database.
// There is no limit to the loops at a time but max_connections of the server.
//
// # What else is kept there
//
// Package store/vault/postgresvault keeps the vault in the same database, in a
// schema of its own. [Beside] lends it connections.
//
// # Worked example
//
// After Create and an Append of the bodies "received" and "assayed",
//
//	SELECT seq, convert_from(body, 'UTF8') FROM vialwright.record
//
// gives 1 received and 2 assayed, and DELETE FROM vialwright.record ends in
// "a record is never removed" or, for the owner, in "permission denied".
package postgres
