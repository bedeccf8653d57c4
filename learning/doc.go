// Package learning turns the site's own finished preparations into what the next plan
// should expect: draw yield, residual activity and residual fraction, for the
// vial kind at hand and the person who draws.
//
// # Symbols
//
//	y_i      one case's value: a share (1) or an activity (Bq)
//	u_i      standard uncertainty of its measurement, same unit, known
//	mu       the site's value
//	theta_k  value of vial kind k
//	phi_kp   value of person p with vial kind k
//	sigma    scatter from case to case of one person and kind
//	tau_p    spread between persons, within a kind
//	tau_k    spread between kinds
//	m0, s0   prior mean and standard deviation of mu
//	A        scale of the prior of one of the three spreads
//
// # Model
//
// The normal hierarchical model with known measurement variances (A. Gelman et
// al., Bayesian Data Analysis, 3rd ed., 2013, 5.4), with one level more and a
// scatter of its own:
//
//	mu ~ N(m0, s0^2)   theta_k ~ N(mu, tau_k^2)   phi_kp ~ N(theta_k, tau_p^2)
//	y_i ~ N(phi_kp, sigma^2 + u_i^2)
//
// The spreads have half-t priors with 4 degrees of freedom, of the family
// recommended by A. Gelman, Bayesian Analysis 1 (2006) 515-533, with tails light
// enough that a prior predictive standard deviation exists, tapered by
// exp(-(tau/(10 A))^2): a spread above some 20 A is not believed. A uniform prior
// and a spread fixed at zero are there too. Clause and page numbers
// are from memory, not seen.
//
// # Reckoning
//
// Given the three spreads everything else is normal and is integrated by algebra:
// with W = sum 1/(sigma^2 + u_i^2), S = sum y_i/(...), Q = sum y_i^2/(...) and
// L = sum ln(...) over the cases of one person and kind,
//
//	ln p(y | theta_k) = -(L + Q - S^2/W)/2 - ln(1 + W tau_p^2)/2
//	                    - (theta_k - S/W)^2 W/(1 + W tau_p^2)/2
//
// and the same step leads from persons to kinds and from kinds to the site. Over
// the spreads the integral is the trapezoidal rule in their logarithms, nested,
// with steps set from the width of each peak: no simulation, no random numbers,
// the same answer every time. Because u_i differs from case to case, W, S, Q and L
// depend on sigma; they are kept at 96 Chebyshev points of ln sigma and
// interpolated between, which is exact to some 1e-9 and makes adding a case a
// matter of 96 additions, whatever number is in.
//
// # What comes out
//
// Posterior mean and standard deviation for site, kind and person, and the
// predictive distribution of the next case's true value: a mixture of normals, so
// wide with few cases, and equal to the prior predictive with none. A case that
// does not fit is named ([Model.Unusual]) by its normalised predictive residual
//
//	z = Phi^-1( P(y_new <= y_i | all other cases) )
//
// and stays in until a person sets it aside.
//
// # Domain of validity
//
// Measurement uncertainties that are independent from case to case; what all
// cases have in common (a meter's calibration factor) shifts all of them and is
// not learned away. Yield is free of it, being a ratio of two readings. Values
// scattered about normally; intervals of a residual that would reach below zero
// are cut there. A person's ways with one vial kind say nothing of another kind,
// save through the site. Drift is not modelled: control charts (package meter)
// watch for it.
//
// # Worked example
//
// Priors of a yield: m0 = 1, s0 = 0.05, A = 0.05 for sigma, 0.02 for tau_p and
// tau_k. E[tau^2] = 1.727 A^2 for the tapered half-t, so that before any case the
// next yield is expected at
//
//	1 with sd sqrt(0.05^2 + 1.727 (0.05^2 + 0.02^2 + 0.02^2)) = 0.0905
//
// Given spreads sigma = 0.03, tau_p = tau_k = 0 and ten
// draws of mean 0.96 with u = 0.01: W = 10/(0.03^2 + 0.01^2) = 10 000, the site's
// value is (0.96 W + 1/0.05^2)/(W + 1/0.05^2) = 0.9615 with sd 1/sqrt(10 400) =
// 0.0098, and the next true yield 0.9615 with sd sqrt(0.0098^2 + 0.03^2) = 0.0316.
package learning
