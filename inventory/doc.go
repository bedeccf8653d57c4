// Package inventory says what activity is where on a site, at any instant past or
// future, by the lines of its licence.
//
// # What is summed
//
// Every container of every folded case holds, at the instant t, what the movements up
// to t left in it, as the reconciliation of its set gives them (package ledger), decayed
// to t. Where entries of a set contradict one another and its figures are withheld, labels
// and volumes alone are used, and it is said. A parcel that arrived holds its printed
// activity until its vials are received; one that was ordered counts from when it is due.
// Check sources in use are held too, each decayed from its certificate; they are no part of
// what came in. What came out of several vials on different lines of the licence counts on
// each by its share.
//
//	received = held + given + gone
//
// with held what is on the site (vials, syringes, doses, residual parts, waste, parcels), given
// what is in patients, and gone what left: bins released, containers sent back or handed
// on, and what was lost. Activity is conserved by every movement, so that the difference
// of the two sides is the rounding of the arithmetic, far below a becquerel.
//
// # Uncertainty
//
// The parts of a set are summed with their covariance. Between sets the common factors of
// meter and geometry are taken as one error and added; what else there is adds in
// squares:
//
//	u^2 = sum (u_set^2 - c_set^2) + (sum c_set)^2
//
// with c_set what the common factors bring (JCGM 100:2008, 5.2.2, with correlations of
// 1 and 0). It is never too small for sets on different meters. That of the half-life,
// below 0.1 % within a week, is left out. A label that nobody read counts with the site's
// tolerance of labels: of a parcel it is added as a common factor is, since the labels of one
// supplier may err together, and of a vial in squares.
//
// # Worked example
//
// Two vials of 3 GBq are ordered, with the reference time Saturday 18:00. On Thursday at
// 16:57 they hold 6 GBq · 2^(49.05/64.0417) = 10.2 GBq.
package inventory
