// Package journal binds facts together so that nobody can change one unseen: the
// one way each is written in a record, and the chain of hashes through the
// records.
//
// # Record
//
// A [Record] has exactly one encoding, a JSON object without white space:
//
//	{"v":2,"recorded":"2027-03-04T12:10:31Z","by":"rp-3",
//	 "kind":"draw","fact":{"from":"S1", ... ,"volume":"2.2 mL"}}
//
// on one line. Fields stand in the order of their declarations (package fact), absent ones are left
// out. A list has its brackets even around one item. In a text only " and \
// are escaped, each by one \. Quantities are canonical text in the sense of
// [quantity.ParseCanonical], times that of [quantity.FormatTime], serials in
// fours. Only a geometry's factor, the numbers of entries and a label's copy
// are JSON numbers. [Parse] refuses everything that Marshal would not have written,
// so that what is read is written again with the same bytes.
//
// # Chain
//
// The digest and the hash of record n with body b and salt s are
//
//	d(n) = SHA-256( s " " b )
//	h(n) = SHA-256( hex(h(n−1)) "\n" n "\n" hex(d(n)) "\n" )
//
// with hex and s in lower case, n in decimal digits, and 64 zeros for h(0).
// Written out, a journal has one line "n hex(h(n)) hex(d(n)) s b" for each
// record, and a few lines of any scripting language verify it. The content of a
// record can be destroyed when its retention ends, leaving its digest: the chain
// still verifies, and the salt keeps the digest from telling what it was. Cutting
// records off the end leaves a sound journal: only the [Head], kept elsewhere,
// shows that.
//
// The package does no input or output and knows no clock.
package journal
