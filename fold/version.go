package fold

import (
	"slices"
	"time"

	"vialwright/fact"
)

// Version is an entry of one kind, such as a setting that another of its kind takes the
// place of, with its number.
type Version[F fact.Fact] struct {
	// Entry is the number, from 1.
	Entry int
	// Fact is what holds of the entry.
	Fact F
}

// Versions are the entries of a kind up to a moment, in the order of their times.
func Versions[F fact.Fact](entries []Entry, until time.Time) (out []Version[F]) {
	for _, e := range entries {
		if x, ok := e.Fact.(F); ok && !fact.At(x).After(until) {
			out = append(out, Version[F]{e.Number, x})
		}
	}
	ByTime(out)
	return out
}

// ByTime puts versions in the order of their times.
func ByTime[F fact.Fact](all []Version[F]) {
	slices.SortStableFunc(all, func(a, b Version[F]) int { return fact.At(a.Fact).Compare(fact.At(b.Fact)) })
}

// InForce is what an entry of a kind said that held at a moment, the newest of them; false
// before the first. They stand in the order of their times.
func InForce[F fact.Fact](all []Version[F], at time.Time) (x F, ok bool) {
	for _, v := range slices.Backward(all) {
		if !fact.At(v.Fact).After(at) {
			return v.Fact, true
		}
	}
	return x, false
}
