package learning

import "math"

// Spreads are posterior means and standard deviations of sigma, tau_p and tau_k.
type Spreads[Q Quantity] struct{ Scatter, Persons, Kinds Estimate[Q] }

// Spreads gives what is known of the three spreads.
func (m *Model[Q]) Spreads() Spreads[Q] {
	s := m.engine.spreads()
	of := func(p part) Estimate[Q] { return Estimate[Q]{Q(p.mean), Q(math.Sqrt(p.variance))} }
	return Spreads[Q]{of(s[0]), of(s[1]), of(s[2])}
}
