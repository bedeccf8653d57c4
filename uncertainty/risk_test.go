package uncertainty

import (
	"math"
	"testing"
)

var resistors = Process{Mean: 1500, SD: 0.12, U: 0.04} // ohm

// A process of resistors of 1500 ohm -+ 0.2 ohm inspected with u = 0.04 ohm, after
// the example of JCGM 106:2012 9.5 (process and limits from memory, not seen; the
// risks computed apart by adaptive quadrature).
func TestJCGM106GlobalRisk(t *testing.T) {
	tolerance := Limits{1499.8, 1500.2}
	r := must(Risk(resistors, tolerance, tolerance))(t)
	near(t, "R_C, no guard band", r.Consumer, 0.018942, 5e-7)
	near(t, "R_P, no guard band", r.Producer, 0.037208, 5e-7)
	r = must(Risk(resistors, tolerance, Limits{1499.82, 1500.18}))(t)
	near(t, "R_C, guarded", r.Consumer, 0.009878, 5e-7)
	near(t, "R_P, guarded", r.Producer, 0.069027, 5e-7)

	// Accepting everything, the consumer bears all that does not conform: 9.558 %.
	all := must(Risk(resistors, tolerance, Limits{-open, open}))(t)
	alike(t, "R_C, all accepted", all.Consumer, 2*upperTail(0.2/0.12), 1e-12)
	near(t, "R_P, all accepted", all.Producer, 0, 0)
	near(t, "R_C, all accepted", all.Consumer, 0.09558, 5e-6)
}

// Accepted and not conforming, rejected and conforming, and what the measured
// values and the items alone say must hold together: measured values are normal
// with variance SD^2 + U^2, so
// P(accepted) = P(conforming) + R_C - R_P.
func TestRiskHoldsTogether(t *testing.T) {
	for _, u := range []float64{0, 1e-6, 1e-3, 0.1, 1, 3} {
		for _, l := range []struct{ tolerance, acceptance Limits }{
			{Limits{-1, 2}, Limits{-1, 2}},
			{Limits{-1, 2}, Limits{-0.8, 1.8}},
			{Limits{-1, 2}, Limits{-1.5, 2.5}},
			{Limits{-open, 1}, Limits{-open, 0.7}},
			{Limits{0.5, open}, Limits{0.6, open}},
			{Limits{-30, 30}, Limits{-1, 1}},
			{Limits{3, 3.5}, Limits{-2, -1}},
		} {
			p := Process{Mean: 0.3, SD: 1.2, U: u}
			r := must(Risk(p, l.tolerance, l.acceptance))(t)
			conforming := must(Conformance(p.Mean, p.SD, l.tolerance))(t)
			accepted := must(Conformance(p.Mean, math.Hypot(p.SD, u), l.acceptance))(t)
			near(t, "P(accepted)", conforming+r.Consumer-r.Producer, accepted, 1e-12)
			if r.Consumer < 0 || r.Producer < 0 || r.Consumer > 1-conforming+1e-12 || r.Producer > conforming+1e-12 {
				t.Errorf("risks out of range: %+v", r)
			}
		}
	}
}
