// Package event reckons, by a rule profile, whether an infusion that is over is
// an event, and which clocks run. It decides nothing: it says which paragraph
// applies to what was recorded, how well that paragraph is known, and what is
// missing. A person decides, and signs.
//
// # Symbols
//
//	A_p, A_d, A   prescribed, dispensed, delivered, at infusion time   Bq
//	u             standard uncertainty of A                            Bq
//	d             A/A_p - 1, of the prescribed; A/A_d - 1, of the dispensed
//	f             share of A_d that stayed behind; A = A_d (1 - f)
//
// # Order of the decision
//
//  1. What is missing is named, and the answer is "cannot say", unless 2 holds, or
//     more was delivered than the limit, which nothing excuses. Where the residual is
//     by parts, those not read are missing, unless it is too much of them already.
//  2. Another patient, route or site than ordered is an event by its own
//     paragraph, whatever the amount.
//  3. A prescribed range is kept or not; a percentage of its middle is none of it.
//  4. Otherwise d is held against the profile's limits over and under. The rule
//     goes by the best estimate; the probability that the true value is beyond,
//     Phi((T - A)/u) (JCGM 106:2012, 7.2), stands beside.
//  5. Less than prescribed is excused, where the profile says so, by what the
//     patient did; by stasis, where the order says "or at stasis", somebody saw
//     it, and the way of the dose was free; and by an emergent condition, where
//     the order is revised in time. A blockage, a leak, equipment, an operator and
//     anything else excuse nothing.
//  6. A value from memory never leads to a milder answer than none: by such an
//     exception it stays an event, which it is said beside, and by such a limit
//     that is not reached the answer is "cannot say".
//
// A reason counts as it was given at the end of the procedure. One given later is
// added, and stops no clock.
//
// # Delivered
//
// An activity is taken as entered, or worked out from the dose rates of the jar
// (package dispensing) or from the parts in the activity meter. Two that disagree
// by more than twice their combined uncertainty are an answer of neither. A jar
// errs both ways: a residual of all or of nothing is questioned. Percentages are
// reckoned, never entered.
//
// # Clocks
//
// So many hours are elapsed time, over a change of the clocks too. So many days
// are calendar days of the site's zone, to the end of the day. A clock stops when what
// it asks for is recorded, late or not. The completion of an order has two: before the
// patient leaves recovery, and else so many hours from the end of the procedure, for
// which the end of the infusion stands until it is recorded.
//
// # Worked example
//
// Prescribed 1.300, delivered 1.037 ± 0.036 GBq: d = -20.23 %, 20 % or more under
// with a probability of Phi((1.040 - 1.037)/0.036) = 53 %. By 10 CFR 35.3045(a) as
// in profile us this is an event for the reason "blockage". Discovered on
// 2027-03-04 at 15:20 in Lisbon: the authority by the end of 2027-03-05, patient
// and referring physician by 2027-03-05 15:20, the report by the end of
// 2027-03-19.
package event
