package learning

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"vialwright/quantity"
)

// invented gives n draws of four vial kinds by twelve persons.
func invented(n int, seed uint64) []Case[quantity.Fraction] {
	g := rand.New(rand.NewPCG(seed, 1))
	kinds, persons := make([]float64, 4), make([]float64, 48)
	for i := range kinds {
		kinds[i] = 0.97 + 0.01*g.NormFloat64()
	}
	for i := range persons {
		persons[i] = kinds[i%4] + 0.01*g.NormFloat64()
	}
	cases := make([]Case[quantity.Fraction], n)
	for i := range cases {
		p := g.IntN(48)
		u := 0.005 + 0.02*g.Float64()
		y := persons[p] + 0.03*g.NormFloat64() + u*g.NormFloat64()
		cases[i] = Case[quantity.Fraction]{Kind: fmt.Sprint("kind ", p%4), Person: fmt.Sprint("person ", p/4), Value: quantity.Fraction(y), U: quantity.Fraction(u)}
	}
	return cases
}

func with(tb testing.TB, cases []Case[quantity.Fraction]) *Model[quantity.Fraction] {
	m := New(YieldPrior())
	for _, c := range cases {
		if err := m.Add(c); err != nil {
			tb.Fatal(err)
		}
	}
	return m
}

// Learning from 20,000 cases and predicting.
func BenchmarkLearn20000(b *testing.B) {
	cases := invented(20_000, 1)
	for b.Loop() {
		with(b, cases).Predict("kind 1", "person 2")
	}
}

// One more case where 20,000 are in.
func BenchmarkAdd(b *testing.B) {
	cases := invented(20_000, 1)
	m := with(b, cases)
	for i := 0; b.Loop(); i++ {
		m.engine.add(cases[i%20_000].Kind, cases[i%20_000].Person, 0.97, 0.01, 1)
	}
}

// One more case and the plan made again, by number of cases in.
func BenchmarkAddAndPredict(b *testing.B) {
	for _, n := range []int{0, 3, 30, 20_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			m := with(b, invented(n, 1))
			for b.Loop() {
				m.engine.add("kind 1", "person 2", 0.97, 0.01, 1)
				m.Predict("kind 1", "person 2")
			}
		})
	}
}

func BenchmarkUnusual20000(b *testing.B) {
	m := with(b, invented(20_000, 1))
	for b.Loop() {
		m.Unusual()
	}
}
