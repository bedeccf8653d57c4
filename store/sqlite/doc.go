// Package sqlite keeps a log (package store) in one SQLite file.
//
// # The file
//
//	application id   0x5649414C, the letters VIAL
//	user version     1, the version of this layout
//	table record     seq   INTEGER PRIMARY KEY   number, from 1
//	                 hash  BLOB, 32 bytes
//	                 body  BLOB, 1 to store.MaxBody bytes
//
// The table is STRICT. Triggers refuse every UPDATE and DELETE and an INSERT
// whose number is not the last one plus 1, so that no slip in any program's
// SQL can touch what is written. They do not stop a person who drops them
// first; that is shown by the hash chain of the journal. A file with another
// application id or a higher user version is refused, and not a byte of it
// changes; one with other tables or triggers is opened for reading only.
//
// # Durability
//
// The file is in WAL mode with synchronous=FULL. A commit appends its pages
// to the -wal file and syncs that file before Append returns. (NORMAL syncs
// the -wal file only at a checkpoint, and a power cut may take back the last
// commits; EXTRA differs from FULL only in rollback-journal mode. SQLite
// documentation, "PRAGMA synchronous" and "Write-Ahead Logging".) A torn
// tail of the -wal file fails its checksum and is passed over on the next
// open, so a batch is there as a whole or not at all; the open log says so
// ([Log.Torn]). SQLite passes over everything behind a bit that was flipped in the
// -wal file in the same way, and in silence; since each append is synced before the
// next begins, two or more lost appends cannot come from a power cut, and Open
// refuses such a file with CodeDamaged and leaves it as it is. The engine syncs the
// directory with the first sync of a new -wal file, Create does so for the
// file itself. On macOS the pragma fullfsync reaches through the disk's own
// cache. A disk that answers a sync without writing defeats every database.
//
// WAL mode is kept in the file. The other settings are not, so they stand in
// the connection string, where each connection of the pool gets them. Linux is
// asked for fdatasync, which leaves out nothing but time stamps, and for locks that belong to the open file. Elsewhere locks
// belong to the process, and opening one log twice in one process can drop
// them: open it once.
//
// No memory map is used for reading: it would be a fifth faster, and a bad
// sector would then end the process in place of an error.
//
// The -wal file is moved into the file when nothing was appended for ten seconds,
// and after two minutes where something is appended all the time, so that a copy of
// the file alone is at most so old. Where it becomes long before that it is moved
// beside the appends, which do not wait for it. Whenever it is empty it is filled with
// 4 MB of zeros, which is no frame of SQLite: the sync of an append that writes over
// them takes half as long as that of one which makes the file longer. An append to a file that was removed or
// replaced since it was opened is refused with CodeReplaced.
//
// # Ways to open
//
// [Create] makes a new file and refuses to touch one that is there. [Open]
// reads and writes a file that is there. [OpenReadOnly] is for verifying: it
// does not change the file. When a -wal file lies beside it, a writer is at
// work or was cut off, and the records in the -wal file are read too. When
// none does, the file is complete in itself and is read without locks and
// without making any file beside it; should a writer come and change the file
// meanwhile, the reading ends in CodeChanged, and opening it again reads both.
//
// One append at a time writes; others wait, in this process without limit,
// for another process up to 10 s (CodeBusy). Reading waits for nobody. A loop
// over Read that stays open for hours keeps the -wal file from being reused,
// and it grows for as long.
//
// # Worked example
//
// After Create and an Append of the bodies "received" and "assayed", the
// command sqlite3 FILE "SELECT seq, body FROM record" prints 1|received and
// 2|assayed, and sqlite3 FILE "DELETE FROM record" ends in "a record is never
// removed".
package sqlite
