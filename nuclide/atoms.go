package nuclide

import (
	"math"

	"vialwright/quantity"
)

// avogadro in 1/mol, exact (BIPM, The International System of Units, 9th
// edition, 2019).
const avogadro = 6.02214076e23

// Atoms is a number of atoms.
type Atoms float64

// AtomsOf gives the atoms of a nuclide with that half-life whose activity is
// a. It panics unless halfLife > 0.
func AtomsOf(a quantity.Activity, halfLife quantity.Span) Atoms {
	if !(halfLife > 0) {
		panic("nuclide: AtomsOf needs a half-life above 0")
	}
	// N = A T / ln 2
	return Atoms(float64(a) * float64(halfLife) / math.Ln2)
}

// Activity gives the activity of n atoms with that half-life; 0 for a stable
// nuclide, whose half-life is +Inf. It panics unless halfLife > 0.
func (n Atoms) Activity(halfLife quantity.Span) quantity.Activity {
	if !(halfLife > 0) {
		panic("nuclide: Activity needs a half-life above 0")
	}
	// A = N ln 2 / T
	return quantity.Activity(float64(n) * math.Ln2 / float64(halfLife))
}

// MassOf gives the mass of the activity a of pure, carrier-free n with the
// half-life in use.
func (n Nuclide) MassOf(a quantity.Activity, halfLife quantity.Span) quantity.Mass {
	// m = N M / N_A
	return quantity.Mass(AtomsOf(a, halfLife)) / avogadro * n.MolarMass()
}

// ActivityOf gives the activity of a mass of pure, carrier-free n with the
// half-life in use; that of one gram is the specific activity.
func (n Nuclide) ActivityOf(m quantity.Mass, halfLife quantity.Span) quantity.Activity {
	// A = (m/M) N_A ln 2 / T
	return Atoms(float64(m/n.MolarMass()) * avogadro).Activity(halfLife)
}
