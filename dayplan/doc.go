// Package dayplan finds which vial serves which order, when each dose is drawn and
// when it is infused, with proof that no better plan exists, or with a bound on
// how much better one could be.
//
// # Symbols
//
//	a        activity wanted at infusion, A_p + R (package dispensing), Bq
//	T, E     half-life; day's end, the instant that activities are carried to
//	D        a carried from the infusion start s to E: a·2^(−(E − s)/T)
//	U        usable activity of a vial at E: A·q·(1 − dead volume/volume)
//	q, u_q   mean yield of a draw, relative standard uncertainty of that mean
//	s_q      relative scatter of one draw
//	u        relative standard uncertainty of the activity of a vial
//	L, Q     sum of D, and of D², of the orders drawn from a vial
//
// # Equations
//
//	V = V_vial·D/(q·A)                                 volume of a draw
//	P = ∫ φ(c; u_q) Π Φ((U(1 + c) − L)/√(U²u² + s_q²Q)) dc    odds of a plan
//
// # Objectives
//
// In this order, each with the former fixed: fewest orders not served, fewest
// sphere windows broken, fewest vials opened, fewest changes against the plan in
// force, least activity left at E, least hand dose. All six are whole numbers.
//
// The model, its limits and the search with its bounds are in
// docs/theory/dayplan.md. The package knows no clock: the caller gives the time at
// which the question is asked, and a number of steps.
//
// # Worked example
//
// A vial of 3.0 GBq in 5 mL with 0.3 mL dead volume and a yield of 95 % holds
// 2.679 GBq that can be used at its reference time. 1.30 GBq with 3 % residual at
// 10:30 asks for 1.2357 GBq of it at 18:00.
//
// # Domain of validity
//
// One nuclide, resin microspheres in water, some days. A plan is a proposal for
// licensed people: each draw is still read, checked and released at the bench.
package dayplan
