// Package uncertainty says how well a result is known, and what may be decided
// on it: linear propagation and conformance. It does no input or output, knows no clock, and gives the same answer every time.
//
// # Symbols
//
//	x_i, y     estimates of input quantities and of the result, in any unit
//	u(x)       standard uncertainty of x, in the unit of x
//	nu         degrees of freedom; infinite for a Type B evaluation
//	c_i        sensitivity df/dx_i
//	p          coverage probability or probability of conformance, 0 to 1
//	k, U       coverage factor; expanded uncertainty U = k u(y), in the unit of y
//	T_L, T_U   tolerance limits
//
// # Linear propagation: Number
//
// A [Number] is an estimate with the signed component c_i u(x_i) of every source
// behind it. Two results that hang on one meter share its source, so that
//
//	u(y)^2 = sum_i sum_j c_i c_j u(x_i) u(x_j) r(x_i, x_j)
//
// comes out right for sums, differences and ratios of them (JCGM 100:2008 5.2.2).
// Effective degrees of freedom are those of Welch and Satterthwaite (G.4.1),
// coverage factors those of Student's t (G.3). Domain: models that bend little over
// the uncertainty of their inputs.
//
// # Conformance
//
// After JCGM 106:2012, for normal knowledge of the measurand:
//
//	p_c = Phi((T_U - y)/u) - Phi((T_L - y)/u)
//
// # Worked example
//
// The activity drawn from a vial is the difference of two readings of one meter,
// f (R_1 - R_2), with a calibration factor f = 1 known to 2 % and readings of
// 3.12 GBq and 1.52 GBq that repeat to 0.3 % each:
//
//	y = 1.600 GBq
//	components  1.600 * 0.02 = 0.0320,  3.12 * 0.003 = 0.00936,  1.52 * 0.003 = 0.00456
//	u(y) = sqrt(0.0320^2 + 0.00936^2 + 0.00456^2) = 0.0337 GBq, 2.1 %
//
// Taken as two independent readings of 2 % the same would come to 0.070 GBq. For
// limits of 1.60 GBq -+ 10 % the probability of conformance is
// 2 Phi(0.16/0.0337) - 1 = 0.999998.
//
// # Sources
//
// Evaluation of measurement data: JCGM 100:2008, JCGM 106:2012; and the papers named
// where they are used. Clause numbers of JCGM 106 are from memory, not seen.
//
// # Errors
//
// What a person, a file or an instrument can cause comes back as an [Error] with a
// code, a sentence and a hint; a programmer's mistake (lists of different lengths)
// panics.
package uncertainty
