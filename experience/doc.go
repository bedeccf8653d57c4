// Package experience goes through the records of a site's finished preparations for
// what they teach: the yield of every draw, the residual of every
// infusion, and how well doses and draws met what was wanted. It hands them to
// packages learning and meter, and writes the site experience as a fact of the
// next case.
//
// # Symbols
//
//	B, A    mean net reading of the vial before and after the draw, Bq
//	t_B, t_A  mean times of those readings
//	s       geometry factor of a reading (reading over activity)
//	V_0, V  volume in the vial before the draw, and drawn, mL
//	g       graduation of the syringe, mL
//	rho     share of the activity that stayed in the vial
//	y       yield: activity share per volume share
//	f       fraction of a dose that is residual
//	u       standard uncertainty
//
// # Finished
//
// An order counts once its dose was given or its record closed, and it was not
// given up. Entries are taken as their last corrections have them; one struck
// out is not there. What cannot be told, such as the yield of a draw with no
// reading of the vial after it, is named with the reason and left out.
//
// # Yield
//
// From readings of one meter before and after the draw, with nothing moved into
// or out of the vial between ([ledger.Book.Pair]), so that the meter's
// calibration factor cancels:
//
//	rho = (A/s_A)/(B/s_B)·exp(λ(t_A − t_B))     y = (1 − rho)·V_0/V
//	u(y)² = (V_0/V)²·rho²·[u²(A)/A² + u²(B)/B² + u²(s_A) + u²(s_B)] + y²·(g/(√12·V))²
//	u²(X) = Σ(max(u_r·x, δ/√12)² + u²(background))/n²   of n readings x
//
// (JCGM 100:2008, 5.1.2, F.2.2.1 and 4.3.7.) The terms of s are there only where
// the two geometries differ: one and the same cancels too. Where several meters
// have read the vial, the one with the smallest u(y) is taken: their values are
// not independent of the draw's own scatter. The volume in the vial has no term
// of its own: what the label's is off by scatters from vial to vial, and is
// learned. A yield outside 50 % to 150 % is no draw's: package dispensing stops
// there for a slipped reading, and it is named and left out here.
//
// # Residual
//
// f and its u from the dose rates of one geometry (dispensing.ResidualFraction)
// without the site's uncertainty of that geometry (policy residual-u): it is
// common to all cases, and would seem to average out; what is predicted is what
// the dose rates will say. The activity is f times the dose, both at the infusion
// time, and its u leaves the part of the dose's out that is common to all
// readings of the meter. An infusion that was stopped teaches no residual: what
// was not given is not residual.
//
// # Person and kind
//
// A draw is by the person in the entry, else by who recorded it. A vial's kind
// is labelled activity and volume to two digits (dispensing.Vial.Kind). A
// residual counts for the person who drew.
//
// # Domain of validity
//
// That of package learning: independent values that scatter about normally,
// and no drift, for which the charts are. A shared reading (the one after a
// draw is the one before the next from the same vial) ties two yields together
// by some −0.5 of the readings' part of their uncertainty, which is neglected:
// the scatter from case to case is larger.
//
// # Worked example
//
// 3239.8 MBq net at 11:00, 1869.8 MBq net at 11:14, u_r 0.8 % (steps of 10 MBq
// have 2.9 MBq; the readings' own 25.9 MBq and 15.0 MBq are more), 2.2 mL of 5
// mL drawn at 0.1 mL graduation: rho = 1869.8/3239.8·2^(14/3842.5) =
// 0.577135·1.002529 = 0.578594, y = 0.421406·5/2.2 = 0.957740;
// u² = (2.272727·0.578594)²·(0.008² + 0.008²) + (0.957741·0.1/(√12·2.2))²
// = 0.014877² + 0.012567², u = 0.019475.
package experience
