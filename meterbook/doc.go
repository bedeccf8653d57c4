// Package meterbook is the book of a site's instruments and check sources: what each
// test came to, what is due, what is wrong and since when, and what that does to a
// reading. It is drawn from entries each time; nothing in it is entered as a result.
//
// # Symbols
//
//	A_0, A_e   activity of a source on its certificate, and decayed to a test
//	d          A/A_e - 1 of a net reading A
//	u          relative standard uncertainty
//	s          geometry factor, reading over activity
//
// # Tests
//
//	constancy  d against the decayed source; on a setting of another nuclide, or of a
//	           dose rate or a count rate, against the first reading of that source so
//	accuracy   d against the certificate, its uncertainty included
//	linearity  package meter, LinearityLine: the bad point or the shape is named
//	sleeves    readings times their factor against their mean
//	precision  readings against their mean; an outlier by Grubbs at 5 %
//	geometry   s of all runs so far of one container, setting, insert and fill
//	background against the chart of those before it
//	zero       as background
//
// A test is held against the tolerance of [Rules]; where a profile states none, one is
// assumed and called so. It warns where the chart of its series does: limits at three
// sigma of the first twenty readings (meter.Individuals).
//
// # Series
//
// Constancy tests of one instrument, source, setting and insert are a series. A step
// or a drift in it with odds of twenty to one is named with its start
// (meter.ChangeIn). A reading that is outside the tolerance of its source, and
// inside that of another source of the book, is a swapped source.
//
// # Readings
//
// What a finding does to the uncertainty of a reading is, where it can be said, one
// more component: the tolerance of the test that is missing as the half-width of a
// rectangle, u = tolerance/sqrt(3) (JCGM 100:2008, 4.3.7). Where a factor does not
// hold at all, none can be given.
//
// # Worked example
//
// Cs-137, 7.4 MBq on its certificate of 3.5 a ago: A_e = 7.4 2^(-3.5/30.05) = 6.826058
// MBq. A net reading of 6.71 MBq departs by -1.700 %: within 5 %.
package meterbook
