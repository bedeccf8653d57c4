// Package identity holds what tells one thing from another at the bench: the
// opaque serial on each of our labels, what a scanner sends from a maker's
// label, and the comparison made whenever something changes hands.
//
// # Label serials
//
// A serial names one printed label and says nothing about a patient: the words
// are on the label, and in the record under the serial. It has 12 characters,
//
//	s_1 s_2 ... s_11 c        printed in fours:  K7MP-3YWD-9CK2
//
// out of the 23 letters and digits
//
//	2 3 4 5 6 7 8 9 C D F H J K M N P R T V W X Y
//
// Of the groups that look alike in poor light, 0 O Q D, 1 I L, 2 Z, 5 S, 6 G,
// 8 B and U V, no two members are used, and with no A, E, I, O or U a serial spells no
// word. A first X marks a serial of practice, and no other serial begins with
// it, so that no screen, scanner or label can take the one for the other.
//
// The last character is the check character of ISO/IEC 7064:2003, MOD 37-2,
// whose values are 0 to 9 for the digits, 10 to 35 for A to Z and 36 for *:
// with weight 2^(12-i) at position i from the left,
//
//	Σ 2^(12-i) · value(s_i) ≡ 1  (mod 37)
//
// A serial is drawn so that its check character is one of the 23 above. Any
// program that knows MOD 37-2 can verify it. Since 37 is prime, a change of one
// character changes the sum by 2^k·(a-b), never a multiple of 37; and since 2
// has order 36 modulo 37, all twelve weights differ, so that exchanging any
// two unequal characters, neighbours or not, changes it by (2^k-2^j)·(a-b),
// never a multiple either. (The hybrid system MOD 37,36 of the same standard
// lets one exchange of neighbours in 630 through.)
//
// Sources: ISO/IEC 7064:2003 as given with all intermediates by the UK blood
// services' Guidelines (Red Book), Annex 2, ISBT 128 check character
// calculation. Worked example there: G123498654321 has the weighted sum
// 148354 ≡ 21, 38 - 21 = 17, so the check character is H.
//
// Domain: 22·23^9·n serials for patients and 23^9·n for practice, n from 9 to
// 23; that is at least 3.5e14 and 1.6e13. Of a million drawn, two are the same
// with a probability of 1.4e-3 at most; anyone who writes the journal refuses a
// serial it already holds.
//
// # What a scanner sends
//
// [Read] takes the text of one scan and never fails: what it cannot read it
// reports in [Scan].Problem, and the raw text is always kept. It knows our own
// serials and GS1 element strings (GS1 General Specifications):
//
//	(01) GTIN, 14 digits, the last a check digit: with weights 1 and 3
//	     alternating from the right, Σ ≡ 0 mod 10
//	(10) lot, 1 to 20 characters      (21) serial, 1 to 20 characters
//	(11) production date, (17) expiry date, YYMMDD; day 00 is the last day of
//	     the month, in old codes: new ones for health care carry the day since
//	     2025
//	(7003) expiry date and time, YYMMDDHHMM, in the maker's local time
//
// and a few more that it keeps without using them. The element strings are
// separated by FNC1, sent as GS (0x1D), except after those of predefined
// length. The symbology identifiers ]d2, ]C1, ]e0 and ]Q3 announce them (ISO/IEC
// 15424; values from memory, not seen); the bracketed form printed under a bar code is read too. A scanner that
// swallows GS makes a lot run on into what follows it: [Match], or the person
// who compares it with the label, has to catch that.
//
// The century (7.12): with d = YY - (year mod 100), the previous century for
// 51 <= d <= 99, the next one for -99 <= d <= -50, else that of the year; so
// the date is at most 49 years past and 50 ahead. Worked example: 75 read in
// 2026 is 2075 (d = 49), 77 is 1977 (d = 51).
//
// # Hand-over
//
// [Match] compares what was scanned with what is expected, one check after
// the other, in an order that never changes; see there.
package identity
