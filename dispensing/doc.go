// Package dispensing plans a draw, judges what was drawn, and works out what
// was delivered. It is the reckoning that every page, screen and export shows.
//
// Symbols: A_p prescribed activity at infusion time t_a; r expected residual
// fraction; t_d draw time; λ = ln 2/T½; q draw yield (activity share per
// volume share); u standard uncertainty.
//
//	Target     A_p/(1 − r) at t_a
//	Wanted     A_d = A_p/(1 − r)·exp(λ(t_a − t_d))
//	Volume     V = V_vial·A_d/(q·A_vial(t_d)), rounded to the graduation
//	Ratio      dispensed(t_a)/Target
//	Decision   p = Φ((T_U − y)/u) − Φ((T_L − y)/u), T = Target·(1 ± tolerance)
//	           (JCGM 106:2012, 7.2)
//	Window     t = t_a + ln(Ratio/(1 ± tolerance))/λ
//	Residual   f = (R2 − B2)/(R1 − B1)·exp(λ(t2 − t1))
//	Delivered  dispensed(t_a)·(1 − f)
//
// The activities come from the reconciled books (package ledger). What no
// reading determines is never called dispensed: it is a [Rough] estimate and
// a stop. Readings are on a basis, and so is a prescription; the two must be
// one.
//
// Worked example: prescribed 1.30 GBq at 13:30, residual 2 %; vial read
// 3.2398 GBq net at 11:00 and 1.8498 GBq net at 11:14 with 2.2 mL of 5 mL
// drawn at 11:10 between. Wanted at the draw 1360.5 MBq, 2.103 mL; dispensed
// 1348.3 MBq ± 39.7 MBq at 13:30, ratio 1.0164, conformance 0.9974; valid
// from 06:12:03 to 00:44:28 the next day. Dose rates 182 and 6.4 uSv/h, 0.2
// background, 3.7 h apart: residual 3.55 %, delivered 1300.5 MBq.
//
// Domain of validity: one nuclide, resin microspheres in water, doses infused
// within about three days of the readings. The output is a check for licensed
// people, not a medical device; local codes, the licence, the package insert
// and licensed practice decide.
package dispensing
