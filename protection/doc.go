// Package protection is the arithmetic of radiation protection around Y-90: parcels,
// waste that decays, contaminated skin, and what a wall or a distance does. It knows
// no entry and no clock.
//
// # Parcels
//
//	TI = 100 x, x the highest dose rate at 1 m in mSv/h; up to 0.05 it is 0, else it is
//	     rounded up to the next tenth (49 CFR 172.403, IAEA SSR-6 524)
//	category = the higher of that by TI and that by surface dose rate:
//	     White-I (0, 0.005), Yellow-II (1, 0.5), Yellow-III (10, 2 mSv/h)
//
// [Calendar.Due] runs a time such as three hours from the arrival in working hours, else
// from the start of the next working time (10 CFR 20.1906(c)).
//
// # Waste
//
// [Ready] gives when a sum of fractions sum A_i(t)/(m C_i) comes down to 1 (IAEA RS-G-1.7),
// each nuclide by its half-life, Sr-90 with the Y-90 that grows in. [Slow] looks at the
// readings of one bin: by weighted least squares of ln(net) against time over the last n
// of them, for every n, a decay constant that lies more than three standard uncertainties
// below that of Y-90 says that something else is in it.
//
// # Skin
//
// 1 kBq/cm2 of Y-90 on the skin gives 2.0 mSv/h at a depth of 0.07 mm (conversion factors
// for beta emitters on the skin, as in IAEA-TECDOC-1162; the publication from memory). Our own
// transport calculations bracket it with 1.59 and 2.50. Between two
// readings the activity decays, and what is there before a wash is what was read before:
//
//	H = 2.0 sum over i of a_i · integral from t_i to t_(i+1) of C_i 2^(-(t-t_i)/T) dt
//	a = min(1, area/averaging area)
//
// with an averaging area of 1 cm2 (2013/59/Euratom art. 9) or 10 cm2 (10 CFR 20.1201).
//
// # Fingers
//
// What the fingers get of handling an activity is published per dose drawn up: 0.50 mSv of
// 3.34 GBq on average, 0.2951 mSv/GBq by a novice and 0.0975 by a trained person. [Fingers]
// gives what a year of such work comes to, between the two last.
//
// # Walls and distances
//
// Whether betas are stopped follows from the range of the highest energy, 2.2785 MeV, in
// the continuous slowing-down approximation (NIST ESTAR). What a container reads at a
// distance follows from published readings, or for what holds a vial from transport calculations
// of ours, per GBq, and from the inverse square: it is an order of magnitude, and is given with
// its spread.
//
// # Worked example
//
// 60 kBq/cm2 for 15 min: 2.0 · 60 · 0.25 = 30.0 mSv.
package protection
