// Package keep brings signed notes of a journal's heads (package witness) to the
// places that a site names, and asks those places when the journal is opened.
//
// # Places
//
//	PATH              a folder, such as one of another machine that is mounted here
//	                  or that of another site: one file for each note, in a folder
//	                  of the site's name
//	postgres://...    a database: one row for each note, in the table
//	                  vialwright_witness.note
//	strip:PATH        a folder that a printer is fed from: a strip of text for each
//	                  note, to be kept on paper. It is not read again; people
//	                  compare the digits.
//
// A place is best where who works on the journal's machine can add and not change
// or remove: a folder with that right alone, a database role with INSERT and
// SELECT. A note is written once and never over another.
//
// A place that is full or gone holds up nobody. Each has its own queue, is tried
// again every minute, and says since when it takes nothing ([Keeper.Standing]).
//
// Further faults are those of the places: unreachable, for one that gives no notes;
// unsound, for a store that lets nothing be recorded; unsigned, where a note could
// not be made; unnoted, where the file beside the journal cannot be written at the
// start; and resumed, which for 30 days says who let recording go on after a
// loss. Of these unsound alone stops recording.
//
// # When a note is made
//
// Every hour, when a dose is released, when a record is closed, and when the
// program ends, where anything was recorded since the last note.
//
// # Beside the journal
//
// After each append its number and hash are also written to a file beside the
// journal, or beside the site's key where the journal is in a database. It is not
// waited for until it is on the disk, so after a power cut it may be older than
// the journal, never newer: it is a lower bound. It is not signed. It finds a file
// that was put back, a -wal file that was lost or damaged, and a database that was
// emptied by accident, and nothing that somebody did who can write there.
package keep
