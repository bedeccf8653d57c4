// Package paper prints what has to be on paper: labels for what holds the
// activity, the preparation sheet of a case, and a blank sheet for a day
// without power. It prints finished values; nothing is decided here.
//
// # Labels
//
// A label is one PDF page of exactly its size, for 300 dpi printers and yellow
// stock, black only. [PatientLabel] and [PracticeLabel] make it out of [Facts];
// what it is made for is part of it, follows the sort of its serial (package
// identity) and cannot be changed, so a label of practice always says
//
//	PRACTICE - NOT FOR PATIENT USE
//
// On each: the radiation symbol and the words CAUTION RADIOACTIVE MATERIAL (10
// CFR 20.1904(a) asks for both, with the nuclide, an estimate of the activity
// and its date; from memory, not seen); nuclide and form; activity in both units with date, time and
// offset; the patient's identifiers as given; order, version, territory and
// sub-dose n of m; the window of validity, cut to the whole minutes inside it;
// volume, lot and the half-life used; which copy it is, after the first; the
// serial in words and as a Data Matrix (ISO/IEC 16022, ECC 200). The bar code holds the
// serial and nothing else: no patient data. Its modules are 5 to 10 dots of
// 1/300 inch, 0.42 mm to 0.85 mm, with more than the quiet zone of one module
// on every side.
//
// The symbol has the proportions of 49 CFR part 172, appendix B: a disc of
// radius R, three blades of 60 degrees from 1.5 R to 5 R (also ISO 361; value
// from memory, not seen). Sizes and layout are our own.
//
// Figures: an activity has three significant digits on a label, without zeros
// at the end (ISMP, List of Error-Prone Abbreviations: trailing zero); a
// rounding of 0.5 % at most. A field that would need type smaller than 5 point,
// or 6.5 point on the two large labels, does not fit: the label is refused with
// the field's name. Nothing is ever cut.
//
// # Sheets
//
// A [Sheet] is sections of rows and tables on A4, with the number of pages and
// the head of the record on each. [FromResult] makes the sheet of a case:
// findings first, settings, then each of the [Steps] with its facts and
// computations (formula, inputs, unrounded result), then every entry with its
// corrections beside it and the signatures with their meaning. Uncertainties
// are standard uncertainties, rounded by JCGM 100:2008, 7.2.6. [BlankSheet] has
// the same steps as boxes to write in.
//
// # Files
//
// All faces are embedded, as subsets of DejaVu 2.37 (font/LICENSE.txt). The
// bytes depend on the input only, the time of printing included; compression
// may change with the Go release. The files are plain PDF; no claim of PDF/A is
// made. Texts are composed to Unicode form C. Scripts that need shaping are
// refused on a label and printed as code points on a sheet.
//
// # Domain of validity
//
// Labels of the four sizes, printed at full size; 0 < activity < 1000 TBq.
// Worked example: 1 348 340 000 Bq is printed 1.35 GBq = 36.4 mCi, and a window
// from 06:12:03 to 00:44:28 as 06:13 until 00:44.
package paper
