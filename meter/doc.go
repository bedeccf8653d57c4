// Package meter holds the tests of an activity meter and the control charts that
// watch meters, people, lots and catheters over time.
//
// # Symbols
//
//	A, A_e     net reading and expected activity, Bq
//	d          deviation A/A_e - 1
//	s_g        geometry factor: reading over activity, against the reference
//	u          relative standard uncertainty
//	x_i        a value on a chart, in its own unit; n how many, or how many a group
//	mu, sigma  centre and standard deviation a chart is drawn with
//	MR, R      moving range |x_i - x_(i-1)|; range of a group
//	lambda, L  weight of the newest value, and width of the limits, of an EWMA
//
// # Activity meter
//
// Constancy and accuracy: A_e = A_0 2^(-t/T) of a source whose activity was
// stated; of several readings their mean, and their range on a chart of its own. Linearity: A_e from one reading of the series. Precision: deviation of
// repeated readings from their mean (IAEA-TECDOC-602, 2.3.2 and 2.4.1). Geometry:
//
//	s_g = A_in / (A_before - A_after), all at one time
//
// where activity moved out of a container in the reference geometry into one in
// geometry g, read by the same meter, so that its calibration factor cancels. A
// container that is only topped up has A_after = 0. Tolerances are the site's
// rules, and arguments throughout; a result is within by simple acceptance, the
// bounds included.
//
// # Charts
//
//	individuals     mu -+ 3 sigma, sigma = mean MR/d2 (2.66 mean MR)
//	moving range    up to D4 mean MR (3.267)
//	ranges          of groups of n values, D3 mean R to D4 mean R
//	EWMA            z_i = lambda x_i + (1 - lambda) z_(i-1), z_0 = mu
//	                mu -+ L sigma sqrt(lambda/(2 - lambda) (1 - (1 - lambda)^(2 i)))
//
// with d2 = E[R]/sigma and the like worked out by numerical integration for normal
// values (W. A. Shewhart; tables in ASTM MNL 7 and D. C. Montgomery, Introduction
// to Statistical Quality Control). The EWMA is that of S. W. Roberts,
// Technometrics 1 (1959) 239-250, with limits exact at every time (J. M. Lucas, M.
// S. Saccucci, Technometrics 32 (1990) 1-12). [Judge] applies the rules of J. O.
// Westgard et al., Clin Chem 27 (1981) 493-501. Outliers after F. E. Grubbs,
// Technometrics 11 (1969) 1-21. Sources from memory, not seen, save the IAEA's.
//
// # Series and scales
//
// [LinearityLine] fits ln R with weights 1/u^2 and compares what explains it: one bad
// point, dead time, an offset, another half-life. [ChangeIn] tells a step or a drift of
// a series in time, with odds. [AtFill] interpolates a factor between two fills, and
// [ScaleOf] sets the label-matched and the traceable scale of a meter side by side.
//
// # Domain of validity
//
// Values that, where all is well, are independent and about normal. Limits drawn
// from a few points are themselves uncertain: sigma by about 0.91/sqrt(n), 29 % for
// 10 points and 18 % for 25. Net readings: background is taken away before.
//
// # Worked example
//
// A Cs-137 source certified at 5.55 MBq, 2.00 a ago, half-life 30.05 a: expected
// 5.55 2^(-2/30.05) = 5.299778 MBq. A reading of 5.60 MBq deviates by 5.60/5.299778
// - 1 = +5.665 %, outside a tolerance of 5 %.
package meter
