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
//	u(y)^2 = w^2 (n_g/t_g^2 + n_0/t_0^2) + y^2 u_rel(w)^2
//	y*, y#, best estimate, interval                 ISO 11929-1:2019
//	L_C, L_D                                        Currie, Anal. Chem. 40 (1968) 586
//	p     = P(n_g or more of n_g + n_0 | one rate)  exact, binomial
//	t     : L_D(t) = level t/w                      the counting time that sees a level
//
// Given n_g + n_0 counts of one and the same rate, each falls into the sample
// with probability t_g/(t_g + t_0): p is exact for few counts too, where the
// limits after Currie and ISO 11929 promise more than they keep (J. Przyborowski,
// H. Wilenski, Biometrika 31 (1940) 313-323; from memory, not seen).
//
// # Domain of validity
//
// Counts that scatter by Poisson's law: a counter, background and sample steady
// while they are counted, dead time taken off by [Count.Live]. Limits need a blank
// of some ten counts; one of none at all is refused. Detection limit and counting
// time are those of the counting alone after Currie (w exactly known); y# of ISO
// 11929 holds u_rel(w) as well.
//
// # Worked example
//
// A wipe of 300 cm2 taking up 10 %, counted 60 s with an efficiency of 0.40, blank 100
// counts in 60 s: w = 1/12. L_C = 1.645 sqrt(200) = 23.3 and L_D = 49.2 counts, 0.0684
// Bq/cm2. A gross count of 310 gives 0.292 +- 0.028 Bq/cm2; one of 118 lies 18 above the
// blank, less than 23.3: not detected, below 0.0587 Bq/cm2 with 95 %.
package counting
