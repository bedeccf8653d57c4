// Package counting turns counts into a surface activity, and says what a count
// can see: of a wipe in a counter, or of a probe held over the surface itself.
//
// # Symbols
//
//	n_g, t_g   counts of the sample (gross), and its counting time in s
//	n_0, t_0   counts of a blank, and its counting time in s
//	r_n        net rate n_g/t_g - n_0/t_0, counts per second
//	e          efficiency: counts for each decay in the counting geometry, 0 to 1
//	f          part of the removable activity that the wipe takes up, 0 to 1;
//	           1 where the surface itself is measured
//	A          area wiped, or under the probe, in cm2
//	w          1/(e f A), the surface activity in Bq/cm2 of one net count per second
//	k          1.645, for errors of 5 % on both sides
//
// # What is worked out
//
//	y     = w r_n                                   the surface activity
//	u(y)^2 = w^2 (n_g/t_g^2 + n_0/t_0^2)
//	L_C, L_D                                        Currie, Anal. Chem. 40 (1968) 586
//	t     : L_D(t) = level t/w                      the counting time that sees a level
//
// # Domain of validity
//
// Counts that scatter by Poisson's law: a counter, background and sample steady
// while they are counted, dead time taken off by [Count.Live]. Limits need a blank
// of some ten counts: below that L_C understates the false alarms. One of none at all
// is refused. Detection limit and counting time are those of the counting alone, w
// being taken as exact.
//
// # Worked example
//
// A wipe of 300 cm2 taking up 10 %, counted 60 s with an efficiency of 0.40, blank 100
// counts in 60 s: w = 1/12. L_C = 1.645 sqrt(200) = 23.3 and L_D = 49.2 counts, 0.0684
// Bq/cm2. A gross count of 310 gives 0.292 +- 0.028 Bq/cm2; one of 118 lies 18 above the
// blank, less than 23.3: not detected.
package counting
