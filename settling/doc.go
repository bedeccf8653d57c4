// Package settling works out how a suspension of spheres settles in a vial,
// and for how long after agitation what is drawn through the needle
// still has the nominal activity concentration.
//
// It is a model. Its figures warn and plan; the activity meter decides.
//
// # Symbols
//
//	T          temperature                                   C
//	rho_f, mu  density, dynamic viscosity of water           g/cm3, mPa s
//	rho_p      density of the spheres                        g/cm3
//	d_i        diameter of size class i                      mm (um in words)
//	v0_i       terminal velocity of one sphere               mm/s
//	Re         Reynolds number rho_f v0 d / mu               1
//	phi_i      volume fraction of class i; phi their sum     1
//	phi_0      phi of the evenly mixed suspension            1
//	phi_max    phi of the packed bed                         1
//	n          Richardson-Zaki exponent                      1
//	v_i        velocity of class i, downwards, in the vessel mm/s
//	A(z)       horizontal area at height z                   mm2
//
// # Equations
//
// Water: IAPWS SR6-08(2011) at 0.1 MPa, -20 C to 110 C ([Water]).
//
// One sphere: weight less buoyancy equals drag, C_D = 24/Re (1 + 0.15 Re^0.687)
// (Schiller and Naumann; [Terminal]).
//
// Many spheres: Richardson and Zaki 1954, v = v0 (1-phi)^n, for one size; for
// several the closure of Masliyah 1979 and of Lockett and Bassoon 1979,
//
//	v_i = (1-phi)^(n-1) (v0_i - sum_k phi_k v0_k),   v_i = 0 where phi = phi_max,
//
// in which the slip of each class against the liquid is set by its terminal
// velocity, the density of the suspension and the total fraction, and no volume
// crosses a level of the closed vessel.
//
// In the vessel: A d(phi_i)/dt = d(A phi_i v_i)/dz, solved by an explicit
// upwind method that is Godunov's for one class (column.go), conserves each
// class to rounding and keeps phi_i >= 0 and phi <= phi_max whatever the input.
//
// A draw takes liquid at the level of the tip; what stands above slides down,
// what lies below stays (column.go). Concentration is activity per volume over
// that of the fresh suspension, each class weighted by its share of the sphere
// surface. The draw window ends when the mean of a whole
// draw leaves the tolerance or when the packed bed reaches the tip ([Window]).
//
// # Domain
//
// Rigid, equally dense, non-Brownian spheres in creeping flow (Re below 1) in
// water of 1 C to 60 C; solids up to nine tenths of phi_max; a vessel at rest
// with upright walls or walls that widen upwards. Not in the model: swirl left
// by the agitation, convection by warmth, spheres that stick together or to the
// wall, spheres sliding down a slanting wall, the flow round a needle tip close
// to the bed, disturbance by the draw. docs/theory/settling.md says what each
// would do.
//
// # Worked example
//
// 60e6 equal spheres of 32.5 um and 1.6 g/cm3 in 5 mL of suspension at 20 C:
//
//	rho_f = 0.99821 g/cm3, mu = 1.0016 mPa s                (SR6-08)
//	v0    = 0.3434 mm/s, Re = 0.0111, so n = 4.65
//	phi_0 = 60e6 (pi/6) 0.0325^3 / 5000 = 0.2157
//	clear line  v = v0 (1 - phi_0)^n = 0.1110 mm/s
//	bed         phi_0 v / (phi_max - phi_0) = 0.0623 mm/s   (phi_max = 0.60)
//	all settled 0.2157/0.60 of the liquid's height
package settling

// Caution stands under every picture of these figures and belongs beside each
// of them.
const Caution = "A model, not a measurement: your vial, needle and batch differ. The activity meter decides."
