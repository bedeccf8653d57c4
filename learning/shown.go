package learning

import (
	"fmt"
	"math"

	"vialwright/quantity"
)

// Data are the cases of one person with one vial kind, as they are.
type Data[Q Quantity] struct {
	// N is how many there are.
	N int
	// Mean of the values, 0 without a case; SD their standard deviation, 0
	// with fewer than two. Neither is weighted.
	Mean, SD Q
}

// Shown puts what was believed and what was found side by side.
type Shown[Q Quantity] struct {
	Kind, Person string
	// Prior is the predictive distribution before any case.
	Prior Predictive[Q]
	// Data of this person with this kind, and how many cases there are in all.
	Data Data[Q]
	// All is how many cases of any kind and person are in.
	All int
	// Site, OfKind and OfPerson are the posterior of mu, theta_k and phi_kp.
	Site, OfKind, OfPerson Estimate[Q]
	// Predictive is for the next case; a plan takes this one.
	Predictive Predictive[Q]
}

// Show gives prior, data, posterior and predictive distribution of the next
// case of a vial kind and a person; an *Error with code bad-coverage unless
// 0 < coverage < 1.
func (m *Model[Q]) Show(kind, person string, coverage quantity.Fraction) (Shown[Q], error) {
	s := Shown[Q]{Kind: kind, Person: person, All: m.Cases()}
	var err error
	if s.Prior, err = predict[Q](m.empty, kind, person, coverage); err != nil {
		return Shown[Q]{}, err
	}
	if s.Predictive, err = predict[Q](m.engine, kind, person, coverage); err != nil {
		return Shown[Q]{}, err
	}
	s.Site = m.estimate(kind, person, ofSite)
	s.OfKind = m.estimate(kind, person, ofKind)
	s.OfPerson = m.estimate(kind, person, ofPerson)
	s.Data = m.data(kind, person)
	return s, nil
}

func (m *Model[Q]) estimate(kind, person string, l level) Estimate[Q] {
	mean, sd := m.engine.mixture(kind, person, l).moments()
	return Estimate[Q]{Q(mean), Q(sd)}
}

func (m *Model[Q]) data(kind, person string) (d Data[Q]) {
	k, p, _ := m.engine.find(kind, person)
	if p < 0 {
		return d
	}
	a := m.engine.kinds[k].persons[p].sums
	n := float64(a.n)
	if d.N = a.n; d.N == 0 {
		return d
	}
	d.Mean = m.prior.Mean + Q(a.y/n)
	if d.N > 1 {
		d.SD = Q(math.Sqrt(math.Max(0, a.yy-a.y*a.y/n) / (n - 1)))
	}
	return d
}

// Sentence says why the plan differs from what it would be without the site's
// cases.
func (s Shown[Q]) Sentence() string {
	before := fmt.Sprintf("%s (%s to %s)", show(s.Prior.Mean), show(s.Prior.Low), show(s.Prior.High))
	if s.All == 0 {
		return "No preparation is finished yet: the plan expects " + before + ", as assumed."
	}
	own := fmt.Sprintf("None of the %s is by %s with %s", count(s.All), s.Person, s.Kind)
	switch {
	case s.Data.N == 1:
		own = fmt.Sprintf("The one preparation by %s with %s gave %s", s.Person, s.Kind, show(s.Data.Mean))
	case s.Data.N > 1:
		own = fmt.Sprintf("The %s by %s with %s gave %s on average, with a scatter of %s", count(s.Data.N), s.Person, s.Kind, show(s.Data.Mean), show(s.Data.SD))
	}
	return fmt.Sprintf("%s; with all %s of the site the plan expects %s (%s to %s), without any it would expect %s.", own, count(s.All),
		show(s.Predictive.Mean), show(s.Predictive.Low), show(s.Predictive.High), before)
}

func count(n int) string {
	if n == 1 {
		return "1 preparation"
	}
	return fmt.Sprintf("%d preparations", n)
}

// show prints a share in per cent to a tenth and an activity to three digits.
func show[Q Quantity](x Q) string {
	if a, ok := any(x).(quantity.Activity); ok {
		return fmt.Sprintf("%.3g MBq", a.MBq())
	}
	return fmt.Sprintf("%.1f %%", 100*float64(x))
}
