// Package dispensing plans a draw, judges what was drawn, and works out what
// was delivered. It is the reckoning that every page, screen and export shows.
//
// Symbols: A_p prescribed activity at infusion time t_a; R the residual
// activity that the order allows for, 0 where it states none, A_p·r/(1 − r)
// where it states a percentage r; t_d draw time; λ = ln 2/T½; q draw yield
// (activity share per volume share); u standard uncertainty.
//
//	Target     A_p + R at t_a
//	Wanted     A_d = (A_p + R)·exp(λ(t_a − t_d))
//	Volume     V = V_vial·A_d/(q·A_vial(t_d)), rounded to the graduation
//	Ratio      dispensed(t_a)/Target
//	Bounds     T = Target·(1 ± tolerance), or A_p·(1 ± limit) of the site where closer
//	Decision   p = Φ((T_U − y)/u) − Φ((T_L − y)/u) (JCGM 106:2012, 7.2)
//	Window     t = t_a + ln(y/T)/λ, from T_U to T_L
//	Residual   f = (R2 − B2)/(R1 − B1)·exp(λ(t2 − t1))
//	Delivered  dispensed(t_a)·(1 − f)
//
// The activities come from the reconciled books (package ledger). What no
// reading determines is never called dispensed: it is a [Rough] estimate and
// a stop. Readings are on a basis, and so is a prescription; the two must be
// one.
//
// # Site experience
//
// [Case].Experience holds the predictive distributions that the site's own
// finished cases gave when they were entered in the case (packages learning and
// experience). A draw rests on the row of the vial's kind and of who draws: of
// the person it was recorded for once it is made, of [Case].Drawer before. The
// mean takes the place of q, the standard deviation that of u(q), so that few
// cases widen a plan and many narrow it:
//
//	V = V_vial·A_d/(m·A_vial),  (u_V/V)² = (u_A/A)² + (s/m)² + (g/(√12·V))²
//
// A policy that states a draw yield has decided it, and wins; with learn: yes
// the site has decided to follow its cases. It is in the list of what was
// assumed, with what the policy alone would expect beside it. What
// the cases have taught of the residual informs, and raises no draw: only the
// physician's order does.
//
// Example: a vial of 3240 MBq in 5 mL, 1360.5 MBq wanted at the draw. Without
// cases q = 100 % ± 5 % asks for 2.100 mL; 200 draws that teach 93.1 % ± 2.4 %
// ask for 2.255 mL.
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
