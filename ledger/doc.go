// Package ledger keeps the activity books of a preparation and reconciles
// them with every meter reading taken.
//
// # Books
//
// Containers hold activity; movements carry unknown amounts of it from one
// to another. One nuclide means that every activity can be carried to one
// instant, the epoch t0, where activity is conserved by every movement:
//
//	X_c = Σ in − Σ out            (epoch activity of container c, Bq)
//	A_c(t) = X_c·exp(−λ(t − t0))  λ = ln 2/T½
//
// Nothing is created: the contents of all containers add up to what was
// received, always, because a movement adds one linear form to its target and
// takes the same form from its source.
//
// # Readings
//
// A net reading of container c at time t by meter m in geometry g is
//
//	y = k_m·s_g·(1 + e)·X_c·exp(−λ(t − t0))
//
//	k_m  calibration factor of the meter, common to all its readings;
//	     prior 1, standard uncertainty u_k
//	s_g  geometry factor (container kind, fill), common to all readings in
//	     that geometry; prior from the geometry test, standard uncertainty u_g
//	e    new in each reading, standard uncertainty u_r (the repeatability)
//
// The background is taken away first and its own uncertainty u_B enters (JCGM
// 100:2008, 5.1.2, and F.2.2.1 for δ/√12). Of the repeatability and the display
// step the larger counts, since a step hides the scatter below it (common
// practice, no source):
//
//	σ² = max(u_r·h, δ/√12)² + u_B²   h the model's value, δ the display step
//
// # Reconciliation
//
// All readings of vials and of everything drawn from them are used together:
// generalised least squares for (x, k, s), with the priors of k and s as data
// of their own, by Gauss-Newton with weights at the fitted values (Björck,
// Numerical Methods for Least Squares Problems, SIAM 1996, 9.2, from memory). The common
// factors stay explicit parameters: put into the covariance of the measured
// values they would bias the answer low (Peelle's pertinent puzzle; R. W.
// Peelle 1987; see also Frühwirth, Neudecker and Leeb, EPJ Web of
// Conferences 27 (2012) 00008, cited from memory).
//
// Vials are independent of one another but for the common factors, so the
// least-squares matrix is block angular and is solved block by block (Björck,
// 6.3).
//
// Where no reading determines a movement, what its volume or the label says
// of it stands in, and [Balances.Assayed] and [Balances.Known] say so.
// Readings on different bases (see [quantity.Basis]) are never compared or subtracted:
// the basis of the first reading is the component's, others are set aside.
//
// # Hand check
//
// For one draw D between a reading before and one after, in one geometry,
// with both readings taken to one time (y1, y2), by JCGM 100:2008, 5.1.2, the
// common factors by 5.2.2:
//
//	D = (y1 − y2)/(k·s),  u(D)² = u_r²·(y1² + y2²) + (u_k² + u_g²)·D²
//
// Example: 3.2398 GBq net at 11:00, 1.8498 GBq net at 11:14, u_r 0.8 %, u_k
// 2 %: taken to 13:30 the draw is 1348.340 MBq, standard uncertainty 39.650 MBq.
//
// # The half-life
//
// One half-life T, of standard uncertainty u(T), carries every reading to the
// epoch and every amount away from it. It is taken as it is set and not fitted.
// An amount A = gᵀ·θ carried to t follows it as the fit done again would (JCGM
// 100:2008, 5.1.2), to the first order of how far the data lie from the fit; with
// J, V and C as below, and t_i from the epoch to what datum i is of, f_i fitted:
//
//	A(t)     = D·A                       D = exp(−λt)
//	m_i      = −∂f_i/∂λ                  t_i·f_i for a reading or a label
//	∂A(t)/∂T = D·(ln 2/T²)·(t·A − gᵀ·C·Jᵀ·V⁻¹·m)
//	u²(A(t)) = D²·gᵀ·C·g + (∂A(t)/∂T)²·u²(T)
//
// A share's datum is the amount moved less share·source. Where what stayed,
// (1 − share)·source, was carried over Δ to be compared with the source, m is less
// by Δ times that. A covariance of two amounts has the product of
// their two derivatives more, and so have all amounts of all sets.
//
// Another epoch changes nothing: it adds τ·f to m, and f = J·(x, 0), whose priors
// are 0, so that gᵀ·C·Jᵀ·V⁻¹·f = A. One reading at t1 gives A(t)·(ln 2/T²)·(t − t1),
// nothing at its own time. Two of equal weight give t less the mean of their
// times. A difference of y1 at t1 and y2 at t2 gives
// Σ ±y_i·exp(−λ(t − t_i))·(ln 2/T²)·(t − t_i), and so does a second figure (below).
//
// # A second figure
//
// Another person reads the vessel once more, at t_c, and that reading y_c is
// kept out of the books ([Balances.Second]). With the n readings y_i of the
// books from when the vessel still held the amount too, and the factors at
// their priors k0 and s0,
//
//	A_c = Σ y_i/(n·k0·s0·D_i) − y_c/(k0·s0·D_c)     D = exp(−λ(t − t0))
//
// or, where the vessel holds the amount itself, A_c = y_c/(k0·s0·D_c). The
// figure A of the books rests on the same y_i and on the same priors, so that
// the two are compared by the uncertainty of their difference. Both are
// functions of independent data: with a = ∂A_c/∂data, the gradient g = ∂A/∂θ
// of all that is fitted, the design J = ∂data/∂θ of the books' data, and
// C = (Jᵀ·V⁻¹·J)⁻¹, generalised least squares has ∂A/∂data = gᵀ·C·Jᵀ·V⁻¹, and
//
//	u²(A_c)     = Σ a²·σ² over y_i, y_c, k0 and s0
//	cov(A_c, A) = gᵀ·C·Jᵀ·a over y_i, k0 and s0
//	u²(A_c − A) = u²(A_c) + gᵀ·C·g − 2·cov(A_c, A)
//
// (JCGM 102:2011, 6.2.1.3, from memory, for the covariance of two functions of one set of
// data.) Shared readings and common factors cancel as far as both rest on
// them. Hand check: one reading y1 before, one y2 after, and y_c at the time of
// y2, by one meter in one geometry: A = (y1 − y2)/(k·s), A_c = (y1 − y_c)/(k·s),
//
//	A_c − A = (y2 − y_c)/(k·s),  u² = (σ_2² + σ_c²)/(k·s)² + (u_k² + u_s²)·(A_c − A)²
//
// # Domain of validity
//
// One nuclide; readings well above the meter's background; factors known to
// better than some tens of per cent (the fit is linear in the unknowns and
// bilinear in the factors).
package ledger
