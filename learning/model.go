package learning

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"vialwright/pack"
	"vialwright/quantity"
	"vialwright/uncertainty"
)

// Case is one finished case's value.
type Case[Q Quantity] struct {
	// Kind of vial and Person who drew; both must be given.
	Kind, Person string
	// Value and its standard uncertainty U from measurement, 0 or more.
	Value, U Q
}

// held is a case in few bytes, since those of all years are held: of which of the groups
// that the model has met.
type held[Q Quantity] struct {
	group    int32
	value, u Q
}

// Model learns one quantity. It is not safe for concurrent use, since the
// first question after a change reckons the posterior and keeps it.
type Model[Q Quantity] struct {
	prior  Prior[Q]
	engine *engine
	groups [][2]string // kind and person, in the order in which they were met
	cases  pack.Column[held[Q]]
	aside  map[int]bool
}

// New gives a model that knows nothing but the prior.
func New[Q Quantity](prior Prior[Q]) *Model[Q] {
	return &Model[Q]{prior: prior, engine: newEngine(prior), aside: map[int]bool{}}
}

// Add takes a case in; its number is that of cases added before. Errors: no-name,
// bad-value, bad-u.
func (m *Model[Q]) Add(c Case[Q]) error {
	if err := m.check(c); err != nil {
		return err
	}
	m.engine.add(c.Kind, c.Person, float64(c.Value), float64(c.U), 1)
	group := slices.Index(m.groups, [2]string{c.Kind, c.Person})
	if group < 0 {
		group, m.groups = len(m.groups), append(m.groups, [2]string{strings.Clone(c.Kind), strings.Clone(c.Person)})
	}
	m.cases.Append(held[Q]{int32(group), c.Value, c.U})
	return nil
}

func (m *Model[Q]) clear() {
	m.engine, m.groups, m.aside = newEngine(m.prior), nil, map[int]bool{}
	m.cases.Clear()
}

func (m *Model[Q]) of(number int) Case[Q] {
	c := m.cases.At(number)
	g := m.groups[c.group]
	return Case[Q]{g[0], g[1], c.value, c.u}
}

func (m *Model[Q]) check(c Case[Q]) error {
	if strings.TrimSpace(c.Kind) == "" || strings.TrimSpace(c.Person) == "" {
		return refuse("no-name", "The case names no vial kind or no person.", "Give both.")
	}
	// A million prior standard deviations is a slip of the unit, not a case.
	far := 1e6 * float64(m.prior.SD)
	if d := math.Abs(float64(c.Value - m.prior.Mean)); !(d <= far) {
		return refuse("bad-value", fmt.Sprintf("The value %g of a case is not a number near what is possible.", float64(c.Value)), "Check its unit.")
	}
	if !(c.U >= 0 && float64(c.U) <= far) {
		return refuse("bad-u", fmt.Sprintf("The standard uncertainty %g of a case is not a finite number of 0 or more.", float64(c.U)), "Check its unit and sign.")
	}
	if c.U == 0 && m.prior.Scatter.Shape == None {
		return refuse("bad-u", "A case without uncertainty cannot be weighed where cases do not scatter.", "Give its standard uncertainty.")
	}
	return nil
}

// Cases gives how many cases are in, those set aside not counted.
func (m *Model[Q]) Cases() int { return m.cases.Len() - len(m.aside) }

// Estimate is a mean with a standard deviation.
type Estimate[Q Quantity] struct{ Mean, SD Q }

func (m *Model[Q]) estimate(kind, person string, l level) Estimate[Q] {
	mean, sd := m.engine.mixture(kind, person, l).moments()
	return Estimate[Q]{Q(mean), Q(sd)}
}

// Predictive is the distribution of the true value of the next case.
type Predictive[Q Quantity] struct {
	Mean, SD Q
	// Low and High hold it with a probability of 95 %, with equal tails; Low is
	// not below 0.
	Low, High Q
}

// Predict gives the predictive distribution of the next case of a vial kind and
// a person, known or not.
func (m *Model[Q]) Predict(kind, person string) Predictive[Q] {
	mix := m.engine.mixture(kind, person, ofNext)
	mean, sd := mix.moments()
	return Predictive[Q]{
		Mean: Q(mean), SD: Q(sd),
		Low: Q(math.Max(0, mix.quantile(0.025))), High: Q(math.Max(0, mix.quantile(0.975))),
	}
}

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
	// Prior is the predictive distribution before any case.
	Prior Predictive[Q]
	// Data of this person with this kind, and how many cases there are in all.
	Data Data[Q]
	// Predictive is for the next case; a plan takes this one.
	Predictive Predictive[Q]
}

// show prints a share in per cent to a tenth and an activity to three digits.
func show[Q Quantity](x Q) string {
	if a, ok := any(x).(quantity.Activity); ok {
		return fmt.Sprintf("%.3g MBq", a.MBq())
	}
	return fmt.Sprintf("%.1f %%", 100*float64(x))
}

// Error is what this package returns for an input that a person, a file or an
// instrument could have caused. Code is stable and meant for programs:
//
//	bad-value  a value that is not finite, or absurdly far from the prior
//	bad-u      an uncertainty that is negative or not finite
//	no-name    a case without vial kind or person
type Error = uncertainty.Error

func refuse(code, text, hint string) *Error { return &Error{Code: code, Text: text, Hint: hint} }
