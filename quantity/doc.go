// Package quantity holds the physical quantities of the program, reads them
// from the text a person writes, and prints them for a person to read. No
// bare number crosses a border of the program: it travels as one of the types
// below, or as text with its unit.
//
// # Types
//
// Each type is a float64 held in one base unit. One curie is 3.7e10 Bq, one
// rem 0.01 Sv, one rad 0.01 Gy, one disintegration per minute 1/60 Bq, all
// exactly; a day is 24 h; a year is 365.2422 d.
//
//	Activity        Bq       written  Bq kBq MBq GBq TBq uCi mCi Ci
//	Volume          mL                uL mL L cm3
//	Mass            g                 mg g kg
//	Span            s                 s min h d a
//	DoseRate        uSv/h             nSv/h uSv/h mSv/h Sv/h mrem/h
//	AbsorbedDose    Gy                mGy Gy rad
//	DoseEquivalent  uSv               uSv mSv Sv mrem rem
//	Contamination   Bq/cm2            Bq/cm2 kBq/cm2 dpm/100cm2
//	Area            cm2               cm2 m2
//	CountRate       counts/s          cps cpm
//	Fraction        1                 %
//	Temperature     °C                C
//	Length          mm                um mm cm m
//
// The symbols in the last column are the canonical ones: ASCII, case-sensitive,
// u for micro.
//
// # Reading
//
// A quantity as a person wrote it is a [Stated]: the value, and the text with
// every digit as typed. The grammar of the canonical text, which is the only
// one a record may hold ([ParseCanonical]), is
//
//	quantity = number " " unit
//	number   = int [ "." digits ] [ "e" exponent ]
//	int      = "0" | nonzero { digit }
//	exponent = [ "-" ] int
//
// where -0 is no exponent. A Temperature may have "-" before its number.
// Parsing and writing again gives the same bytes. [Parse] is lenient in
// spelling only: white space of any width (or none) around and between number
// and unit, the three ways to write micro (u, U+00B5, U+03BC), ml and l, the
// raised 2 and 3, the degree sign, microcurie in full (it is printed so), E
// for e, an exponent written +3 or 03, and a decimal comma: one comma behind a
// whole number with any count of digits after it but three, or with three after a 0
// (1,3 and 0,125 and 1,3000). Everything that could be read in
// two ways is refused with an [Error] that shows the readings: a number
// without unit, a comma before exactly three digits (1,300 is 1.300 or 1300), two
// marks (1,300.5), a gap inside a number, .5 and 5. and 05, another
// case (mBq is a millibecquerel), a unit of another kind, spelled-out units
// and the abbreviations known to be misread (cc, mcg, hr).
//
// Reading is exact: with decimal number d·10^e and unit (num/den)·10^k in
// base units, the value is the float64 nearest to
//
//	d · num / den · 10^(e+k)
//
// rounded once, half to even. Domain: 0, or 4.9e-324 to 1.8e308 in the base
// unit; outside it a number is refused. Worked example: "81 mCi" is 81·37·10^6
// Bq = 2 997 000 000 Bq, exactly 2.997e9, and "2.2 mL" is exactly the float64
// written 2.2.
//
// # Printing
//
// A value with a standard or expanded uncertainty u is printed with u rounded
// to two significant digits and the value rounded to the same place
// (JCGM 100:2008, 7.2.6), each to the nearest, half to even. Without an
// uncertainty the number of significant digits is the caller's choice and
// zeros that end a decimal fraction are left off. There is always a digit before the
// decimal point and a space before the unit, no trailing zero that the
// uncertainty does not justify, and the microcurie is written in full (ISMP,
// List of Error-Prone Abbreviations, Symbols, and Dose Designations: trailing
// zero, naked decimal point, µ read as m, cc). [Both] prints SI and the older
// unit side by side. Worked example: 1.348e9 Bq with u = 0.0402e9 Bq is
//
//	1.348 ± 0.040 GBq (36.4 ± 1.1 mCi)
//
// since 0.0402 GBq / 0.037 GBq = 1.09 mCi.
//
// # Time
//
// An instant is read by [ParseTime] from RFC 3339 text with its offset, or
// from a local time in a named zone. A local time that the zone skipped or
// went through twice is refused with both readings. [FormatTime] is the one
// canonical writing.
//
// The package does no input or output, knows no clock, and loads no time
// zone.
package quantity
