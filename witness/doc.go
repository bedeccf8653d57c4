// Package witness compares a journal with signed notes of its heads that were
// kept elsewhere.
//
// The chain of a journal shows that its records belong together. It does not
// show that they are the records that were made: anyone who can write the database
// can change a record and compute every hash after it again, or take the newest
// records away, and has a sound journal again. A note of a head that lies where
// that person cannot write shows both.
//
// # Note
//
// A [Note] says how many records a journal had at a time, and the hash that
// covers them. It is signed with Ed25519 in the format of the signed notes of
// transparency logs (golang.org/x/mod/sumdb/note), so that other programs can
// check it:
//
//	vialwright head 1
//	site hotlab
//	use patients
//	records 78
//	hash 5b1f...          64 hexadecimal digits
//	first 09ac...         the hash of record 1, which no other journal has
//	at 2027-03-04T12:10:03Z
//	store sqlite - 4 0
//
//	— hotlab 1x2y...      the signature
//
// The line store holds what the store said of itself ([Store]). A note made when
// somebody let recording go on after a loss has two more lines, resumed-by and
// resumed-why. There is one way to write each note; reading refuses every other.
//
// # Judging
//
// [Judge] compares a journal that was verified with all notes that were found.
// Each [Fault] has a code, which is stable, and the way out:
//
//	rewritten            a record was changed, and the hashes after it computed again
//	cut-off              the newest records were taken away
//	older-copy           an older copy of the journal lies in its place
//	failover             a standby server without the newest records took over
//	emptied              there is no record where there were some
//	another-journal      the first record is another one
//	mixed-use            practice in place of patients, or the other way about
//	witnesses-disagree   two notes with our signature tell of different journals
//	unknown-key          a note is signed by a key that is not known here
//	other-site           a note is of another site
//	damaged-note         a note cannot be read, or its signature does not hold
//	behind               a place has no note as new as another place has
//
// The first eight stop recording: our own key says that the journal was another
// one. The others do not, since anyone who can write a witness folder, and nothing
// else, could stop a bench with them; they are said.
//
// A head that was noted without a signature, beside the journal, is judged by the
// same rules. It finds accidents, and nobody who can write there.
//
// # Digits
//
// [Digits] gives the beginning of a hash as it is printed, with a check
// character, and [ReadDigits] takes it as people type it.
//
// Worked example: a journal had 78 records when its head was noted. It now ends
// at record 66, its hash of record 60 is that of an older note, and its tables
// are as they were. Judge gives older-copy, "records 67 to 78 are missing".
//
// The package does no input or output and knows no clock.
package witness
