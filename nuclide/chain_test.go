package nuclide_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"vialwright/nuclide"
	"vialwright/quantity"
)

var stable = quantity.Span(math.Inf(1))

// D9: 1 GBq Y-90 with 20 kBq Sr-90 (28.80 a) in it, the Y-90 half-life
// 64.05 h; the waste settles on its impurity and never reaches background.
// Another program gave five digits.
func TestD9StrontiumInYttrium(t *testing.T) {
	p := nuclide.Pair{Parent: 28.80 * quantity.Year, Daughter: hours(ensdf2020), Branch: 1}
	for _, c := range []struct {
		days quantity.Span
		want float64
	}{{10, 7.4495e7}, {30, 4.3306e5}, {40, 5.0718e4}, {60, 2.0097e4}, {90, 1.9887e4}} {
		got := p.Grow(20*quantity.KiloBecquerel, quantity.GigaBecquerel, c.days*quantity.Day)
		near(t, "Bq of Y-90", float64(got)/c.want, 1, 3e-5)
	}
}

// The chain and the pair are two computations of one thing.
func TestD9ByTheChain(t *testing.T) {
	sr, y := 28.80*quantity.Year, hours(ensdf2020)
	for _, days := range []quantity.Span{0, 1, 10, 30, 60, 90, 3650} {
		after, err := nuclide.Chain([]nuclide.Member{
			{HalfLife: sr, Atoms: nuclide.AtomsOf(20e3, sr), Branch: 1},
			{HalfLife: y, Atoms: nuclide.AtomsOf(1e9, y), Branch: 1},
			{HalfLife: stable},
		}, days*quantity.Day)
		if err != nil {
			t.Fatal(err)
		}
		pair := nuclide.Pair{Parent: sr, Daughter: y, Branch: 1}.Grow(20e3, 1e9, days*quantity.Day)
		near(t, "Bq of Y-90", float64(after[1].Activity(y)/pair), 1, 1e-14)
	}
}

// In equilibrium the activity of Ba-137m is the branch of Cs-137 times
// T(Cs)/(T(Cs) - T(Ba)), a factor 1 to 2e-7; it is reached in half an hour.
func TestBarium137mFollowsCaesium(t *testing.T) {
	cs, ba := nuclide.Cs137.HalfLife().Value, nuclide.Ba137m.HalfLife().Value
	branch := quantity.Fraction(0.9436)
	p := nuclide.Pair{Parent: cs, Daughter: ba, Branch: branch}
	left := nuclide.Factor(cs, 2*quantity.Hour)
	want := 1e6 * left * float64(branch) * float64(cs/(cs-ba))
	near(t, "Ba-137m after 2 h", float64(p.Grow(1e6, 0, 2*quantity.Hour))/want, 1, 1e-13)
	// the photon of the pair is the branch times the isomer's own intensity:
	// 0.9436 x 90.07 = 84.99 per 100 decays, as the evaluation prints it
	isomer := nuclide.Ba137m.Find(nuclide.QuantityPhotonIntensity, 1)[0].Value
	pair := nuclide.Cs137.Find(nuclide.QuantityPhotonIntensity, 1)[0].Value
	near(t, "661.7 keV per 100 decays", 0.9436*isomer, pair, 5e-3)
}

// With equal constants the solution is that of Erlang: the k-th member holds
// N (lambda t)^k/k! e^(-lambda t). The textbook formula divides by zero here.
func TestChainOfEqualHalfLives(t *testing.T) {
	members := make([]nuclide.Member, 8)
	for i := range members {
		members[i] = nuclide.Member{HalfLife: 1, Branch: 1}
	}
	members[0].Atoms = 1
	for _, elapsed := range []float64{1e-6, 0.1, 1, 7, 100} {
		after, err := nuclide.Chain(members, quantity.Span(elapsed))
		if err != nil {
			t.Fatal(err)
		}
		x, want := math.Ln2*elapsed, math.Exp(-math.Ln2*elapsed)
		for k := range after {
			near(t, "Erlang", float64(after[k])/want, 1, 5e-14)
			want *= x / float64(k+1)
		}
	}
	pair := nuclide.Pair{Parent: 1, Daughter: 1, Branch: 1}
	near(t, "pair", float64(pair.Grow(1, 0, 3)), 3*math.Ln2/8, 2e-16)
}

// As two half-lives close in on each other nothing jumps.
func TestPairIsSmoothAtEqualHalfLives(t *testing.T) {
	equal := float64(nuclide.Pair{Parent: 1, Daughter: 1, Branch: 1}.Grow(1, 0, 3))
	for e := 1e-2; e > 1e-16; e /= 3 {
		for _, s := range []float64{e, -e} {
			p := nuclide.Pair{Parent: quantity.Span(1 + s), Daughter: 1, Branch: 1}
			// d ln A/d ln T(parent) is of order 1 here
			near(t, "near equal", float64(p.Grow(1, 0, 3))/equal, 1, 2*e+1e-15)
		}
	}
}

// Nothing is created: with every share 1 and a stable end, the atoms add up
// to what they were, and the members never go below zero.
func TestChainConservesAtoms(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		members := drawChain(t)
		members = append(members, nuclide.Member{HalfLife: stable, Atoms: 1e9})
		elapsed := quantity.Span(rapid.Float64Range(0, 1e8).Draw(t, "t"))
		after, err := nuclide.Chain(members, elapsed)
		if err != nil {
			t.Fatal(err)
		}
		var before, total float64
		for i, m := range members {
			before += float64(m.Atoms)
			total += float64(after[i])
			if after[i] < 0 {
				t.Fatalf("member %d: %v", i, after[i])
			}
		}
		if math.Abs(total/before-1) > 1e-13 {
			t.Fatalf("%v atoms became %v", before, total)
		}
	})
}

// Waiting twice is waiting once.
func TestChainInTwoSteps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		members := drawChain(t)
		a := quantity.Span(rapid.Float64Range(0, 1e6).Draw(t, "a"))
		b := quantity.Span(rapid.Float64Range(0, 1e6).Draw(t, "b"))
		once, err := nuclide.Chain(members, a+b)
		if err != nil {
			t.Fatal(err)
		}
		middle, err := nuclide.Chain(members, a)
		if err != nil {
			t.Fatal(err)
		}
		for i := range members {
			members[i].Atoms = middle[i]
		}
		twice, err := nuclide.Chain(members, b)
		if err != nil {
			t.Fatal(err)
		}
		for i := range once {
			// what is under 1e-250 of the start may be lost below the smallest float
			if math.Abs(float64(once[i]-twice[i])) > 1e-11*float64(once[i])+1e-250 {
				t.Fatalf("member %d: %v and %v", i, once[i], twice[i])
			}
		}
	})
}

func drawChain(t *rapid.T) []nuclide.Member {
	n := rapid.IntRange(1, 6).Draw(t, "members")
	members := make([]nuclide.Member, n)
	for i := range members {
		T := math.Pow(10, rapid.Float64Range(2, 9).Draw(t, "log T"))
		if i > 0 && rapid.Bool().Draw(t, "close") {
			T = float64(members[i-1].HalfLife) * (1 + rapid.Float64Range(-1e-6, 1e-6).Draw(t, "apart"))
		}
		members[i] = nuclide.Member{
			HalfLife: quantity.Span(T), Branch: 1,
			Atoms: nuclide.Atoms(rapid.Float64Range(0, 1e15).Draw(t, "atoms")),
		}
	}
	return members
}

func TestChainRefusals(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	one := func(m nuclide.Member) []nuclide.Member { return []nuclide.Member{m} }
	for name, c := range map[string]struct {
		members []nuclide.Member
		elapsed float64
	}{
		"no member":             {nil, 1},
		"too many":              {make([]nuclide.Member, 17), 1},
		"no half-life":          {one(nuclide.Member{}), 1},
		"half-life NaN":         {one(nuclide.Member{HalfLife: quantity.Span(nan)}), 1},
		"atoms below zero":      {one(nuclide.Member{HalfLife: 1, Atoms: -1}), 1},
		"atoms without end":     {one(nuclide.Member{HalfLife: 1, Atoms: nuclide.Atoms(inf)}), 1},
		"share above 1":         {one(nuclide.Member{HalfLife: 1, Branch: 1.01}), 1},
		"share NaN":             {one(nuclide.Member{HalfLife: 1, Branch: quantity.Fraction(nan)}), 1},
		"going back":            {one(nuclide.Member{HalfLife: 1}), -1},
		"time NaN":              {one(nuclide.Member{HalfLife: 1}), nan},
		"time without end":      {one(nuclide.Member{HalfLife: 1}), inf},
		"stable without end":    {one(nuclide.Member{HalfLife: stable}), inf},
		"too short for a float": {one(nuclide.Member{HalfLife: 5e-324}), 1},
	} {
		if after, err := nuclide.Chain(c.members, quantity.Span(c.elapsed)); code(err) != nuclide.InvalidChain {
			t.Errorf("%s: %v, %v", name, after, err)
		}
	}
}
