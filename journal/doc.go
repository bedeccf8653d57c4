// Package journal holds the facts of a preparation: their kinds, the one way
// each is written in a record, the chain that binds the records, the fold that
// reckons a case from its facts, and the case file a person writes and reads.
//
// Nothing in a journal is ever changed. A correction is one more fact, which
// points at the entry it corrects and gives the reason.
//
// # Facts
//
// A [Fact] is a pointer to a struct of this package. Three kinds stand at the
// head of a case: [Site], [Policy] and [Meter]. The others are its entries,
// numbered from 1 in the order in which they were made. [Describe] prints every
// kind with its fields. Each field is named in one place, the method fields of
// its kind, and read, written and described from there.
//
// Quantities keep the digits and the unit they were written with
// ([quantity.Stated]), times their offset. An id is 1 to 32 of A-Z a-z 0-9
// . _ - and begins with a letter or digit. A text is 1 to 500 characters of
// UTF-8 on one line, without control characters, marks that turn the direction
// of reading, or space at either end.
//
// # Record
//
// A [Record] has exactly one encoding, a JSON object without white space:
//
//	{"v":2,"recorded":"2027-03-04T12:10:31Z","by":"rp-3",
//	 "kind":"draw","fact":{"from":"S1", ... ,"volume":"2.2 mL"}}
//
// on one line. Fields stand in the order of Describe, absent ones are left
// out. A list has its brackets even around one item. In a text only " and \
// are escaped, each by one \. Quantities are canonical text in the sense of
// [quantity.ParseCanonical], times that of [quantity.FormatTime], serials in
// fours. Only a geometry's factor, the numbers of entries and a label's copy
// are JSON numbers. Parse refuses everything that Marshal would not have written,
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
// # Fold
//
// [Fold] applies the corrections (the last correction of an entry holds), puts
// the entries in the order of their times and takes them into the books. An
// order, and a receipt without a time, have no time and come first; a residual
// has the time of its last reading; entries of one time keep the order of the
// list. A time
// written to the minute is taken as no earlier than those with seconds of the
// same minute that stand above it: minutes are compared with minutes. The epoch
// of the books is the earliest reference time of a vial. Then:
//
//	receive    opens a shipping vial; u(label) = label · label-tolerance/√3
//	draw       into a new id opens a syringe; into a syringe of the same order it is a top-up
//	transfer   into a new id opens an administration vial; carries the order along
//	return     goes into a container that is there, never into one of another order
//	discard    into a new id opens a waste item
//	read       y = gross − background; u(background) = background-u or repeatability·background;
//	           floor δ/√12, δ the step of the last digit of gross (JCGM 100:2008, F.2.2.1)
//	infuse     moves what the order's container holds to the patient under the order's id
//
// Of several policies, and of several meters of one id, before the first entry
// the last is in force; each but the first gives a reason.
//
// The kinds from check to close move nothing. Of them Fold asks that what they
// name is there at their time, that a label's serial comes once and its copies
// count on, that a dose is scanned after its label was printed, first released
// before it left, taken over after it was handed over, and not read out or
// given up after it was given, and that nothing but a deviation follows on the closing of an order's record. Whether
// a step was in place is for package procedure.
//
// A settling-test moves nothing either, and is in no book: its readings, at
// least four at three times in their order, are carried to the time of the
// shaking without their background, and kept in the case.
//
// A meter has one common factor for each basis (prior 1, u = calibration-u)
// and one for each geometry used (prior factor, u = factor·u). A dose is given
// from its order's only administration vial with liquid in it, or from its
// only such syringe. A residual with both readings and no infusion implies
// that the dose was given, at the moment nearest to the planned one that lies
// between the two readings and not before the dose came into its container.
// Its share is then measured; a residual that has one half so far is kept and
// used for nothing.
//
// Ids of orders, vials and containers share one space; meters have their own.
// Settings that were not given are assumed, and listed in the case with where
// they come from. A background of more than twice its reading and 1 MBq is
// refused as a slip of unit; a net reading a little below zero is not. What is
// unlikely is left to the findings; refused is what would take the books out
// of all numbers: activities above 1 PBq, prescribed or labelled ones below
// 1 kBq, volumes above 10 L, dose rates above 1 kSv/h, factors beyond 1000
// either way, and times more than 400 days (150 half-lives) from the epoch.
//
// Worked example: in the file testdata/worked.yaml the reading of entry 3 is
// 3.24 GBq with a background of 0.2 MBq. It enters as 3.2398 GBq, u(background)
// = 0.8 % · 0.2 MBq = 1.6 kBq and floor = 10 MBq/√12 = 2.887 MBq. The label,
// 3.0 GBq to 10 %, has u = 0.3/√3 = 0.1732 GBq. The residual implies an
// infusion at the planned 13:30, which lies between its readings at 11:30 and
// 15:12: with a half-life of 64.0417 h
//
//	f = (6.4 − 0.2)/(182 − 0.2) · 2^(3.7/64.0417) = 0.035497
//
// and 1 − f = 0.964503 of the dose is measured to have been given.
//
// # Case file
//
// [Decode] reads a case file: plain YAML in the sense of package plainyaml, or
// JSON, of at most [MaxBytes]. What a word means is decided by the field it
// stands in: lot: 0311 is the text 0311, and volume: 5 is refused, since it has
// no unit.
//
//	case: 1                    the number of this format
//	zone: Atlantic/Azores      and half-life, half-life-u: the fact case
//	policy: {tolerance: 10 %}  the fact policy
//	meters: [...]              the facts meter
//	entries: [...]             the entries, each {kind: {field: value, ...}}
//
// A time without an offset is read in zone. A [FileError] names line, column,
// path, what is wrong, what was expected and the way out. [Export] writes a
// case file that decodes to the same facts.
//
// # Codes
//
// Codes of refusals are stable. Those of quantities and times are
// [quantity.Error]'s, those of half-lives nuclide's, those of residuals
// dispensing's, and unknown-container, empty-container, same-container,
// overdrawn and before-receipt the ledger's. The others are in the tables of
// testdata, one case at least for each.
//
// The package does no input or output and knows no clock. Zones are loaded by
// the caller's function.
package journal
