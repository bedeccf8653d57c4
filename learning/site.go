package learning

import (
	"vialwright/pack"
	"vialwright/quantity"
)

// Draw is what one finished draw taught.
type Draw struct {
	// Kind of vial, Person who drew.
	Kind, Person string
	// Yield q is the assayed share of the vial's activity over the share of its
	// volume, U its standard uncertainty from measurement.
	Yield, U quantity.Fraction
}

// Residual is what one finished infusion left behind.
type Residual struct {
	// Activity left behind at the infusion time, and its standard uncertainty.
	Activity, ActivityU quantity.Activity
	// Fraction of the dispensed activity left behind, and its standard
	// uncertainty.
	Fraction, FractionU quantity.Fraction
}

// Site learns all three quantities of one site.
type Site struct {
	Yields     *Model[quantity.Fraction]
	Activities *Model[quantity.Activity] // left behind
	Fractions  *Model[quantity.Fraction] // left behind
}

// NewSite gives a site without cases and with the priors of this package.
func NewSite() *Site {
	return &Site{New(YieldPrior()), New(ResidualActivityPrior()), New(ResidualFractionPrior())}
}

// In has the cases that are taken in from now on lie in a room.
func (s *Site) In(r pack.Room) {
	s.Yields.cases.Room, s.Activities.cases.Room, s.Fractions.cases.Room = r, r, r
}

// Clear takes all cases out.
func (s *Site) Clear() {
	s.Yields.clear()
	s.Activities.clear()
	s.Fractions.clear()
}

// AddDraw takes a draw in. Errors as for Model.Add.
func (s *Site) AddDraw(d Draw) error {
	return s.Yields.Add(Case[quantity.Fraction]{d.Kind, d.Person, d.Yield, d.U})
}

// AddResidual takes the residual of a kind of vial, and of a person who drew, in both ways
// or, on an error, in neither. Errors as for Model.Add.
func (s *Site) AddResidual(kind, person string, r Residual) error {
	fraction := Case[quantity.Fraction]{kind, person, r.Fraction, r.FractionU}
	if err := s.Fractions.check(fraction); err != nil {
		return err
	}
	if err := s.Activities.Add(Case[quantity.Activity]{kind, person, r.Activity, r.ActivityU}); err != nil {
		return err
	}
	return s.Fractions.Add(fraction)
}
