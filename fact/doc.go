// Package fact is the catalogue of what can be said of a preparation: every kind
// of entry, declared once. A kind says under which act it is recorded, what class
// it is of and how it is put right ([Kind]); its fields say their names, their
// labels, what may stand in them, whether they must be given, and of what they
// speak. Reading and writing of records and of case files, forms, lists, the
// history and the description of the format go by the declarations.
//
// Nothing here reckons, and whether facts make sense together is for package fold.
// Nothing that was said is ever changed: a correction is one more fact, which
// points at the entry it corrects and gives the reason.
//
// # Facts
//
// A [Fact] is a pointer to a struct of this package. Three kinds stand at the
// head of a case: [Site], [Policy] and [Meter]. The others are its entries,
// numbered from 1 in the order in which they were made. casefile.Describe prints every
// kind with its fields. Each field is declared in one place, by the tags on
// the field of its struct ([Group]), and read, written and described from there.
//
// Quantities keep the digits and the unit they were written with
// ([quantity.Stated]), times their offset. An id is 1 to 32 of A-Z a-z 0-9
// . _ - and begins with a letter or digit. A text is 1 to 500 characters of
// UTF-8 on one line, without control characters, marks that turn the direction
// of reading, or space at either end.
//
// # A new kind
//
// A new kind of entry is a file with its struct, a line in the list of [Kinds], and a
// case of package fold where it moves activity or can be refused beside others. A new
// field is a line of the struct. A field of a type that no other has also needs a row
// in the table readings, which says how it is read.
//
// The package does no input or output and knows no clock. Zones are loaded by
// the caller's function.
package fact
