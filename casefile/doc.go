// Package casefile reads and writes facts as a file that a person can read: for
// one order or vial alone, to be kept, sent, looked at, reckoned elsewhere and
// taken into another journal.
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
// A time without an offset is read in zone. An [Error] names line, column,
// path, what is wrong, what was expected and the way out. [Export] writes a
// case file that decodes to the same facts.
//
// [Describe], [Schema] and [Table] print the format for people, for programs and for
// a spreadsheet, from the declarations of package fact.
//
// [Extract] makes such a file of records of a site, [ForOrder] lets it say nothing
// of another patient, and [Place] gives its facts as they are recorded in the
// journal of a site.
package casefile
