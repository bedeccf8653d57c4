// Package browsertest is the bench as a person meets it: the program is built
// and started with an invented laboratory, and a real browser is driven
// through whole preparations, by keys alone and by touch alone. It has no code
// of its own.
//
// A hand is a way of working a page: keys (Tab, typing, Space, the arrows,
// Enter) or touch (taps, and typing into what was tapped). A desk is one
// person in a browser of their own. A day is a server with its invented case.
// Each page that a desk arrives at is looked at before anything is done on it:
// it must be marked as practice at its top, in its title and in each picture.
//
// The numbers that are entered are worked out here, from what is printed on
// the vial and not from what the page proposes. With
//
//	L   the label's activity, 3.0 GBq (Bq), at the reference time t_ref
//	V   the volume of the vial, 5.0 mL
//	v   the volume drawn (mL), as the bench asks
//	T   the half-life of yttrium-90, 64.0417 h (here exact)
//	q   the share of what a drawn volume holds that leaves the vial, 0.97
//
// the meter shows, with a factor of 1 and a background b of 0.2 MBq,
//
//	G1 = L·2^((t_ref − t)/T) + b             before the draw
//	G2 = (G1 − b)·(1 − q·v/V) + b            after it
//
// and the dose at the infusion time t_inf is
//
//	A = (G1 − G2)·2^(−(t_inf − t)/T)
//
// The few minutes between the two readings are left out: 64 h halve, so one
// minute moves a figure by 2·10⁻⁴ of itself. Worked example: drawn 2.2 mL of
// 5.0 mL five hours before the reference, for an infusion after two and a half:
// G1 = 3.167 GBq, G2 = 1.815 GBq, A = 1.316 GBq.
//
// Domain of validity: the invented laboratory of the program, which marks
// every page, and a Chromium with the DevTools protocol. Without a Chromium
// the tests are skipped, and fail where CI is "true". With VIALWRIGHT_SCREENS
// set to 1 the pictures in docs/screens are taken again; with VIALWRIGHT_LOOK set
// to a folder every page that is looked at is photographed into it and put onto
// contact sheets (make screens).
//
// The accessibility rules are those of axe-core 4.14.1, which is in testdata
// with its licence (MPL-2.0), as it was published.
package browsertest
