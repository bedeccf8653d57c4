package nuclide

// What the black-box tests compare with other programs.
var (
	LogGamma = logGamma
	Lambda2  = (*Spectrum).lambda2
)

// The constants, in the order e, alpha, m c^2 in keV, hbar/(m c) in fm.
var Constants = [4]float64{elementaryCharge, fineStructure, electronRest, comptonInFermi}

// The quantities of the table that only its tests ask for. The intensities are per 100
// decays.
const (
	QuantityAtomicMass      = "atomic-mass"
	QuantityBetaEndPoint    = "beta-end-point"
	QuantityBetaIntensity   = "beta-intensity"
	QuantityBetaMeanEnergy  = "beta-mean-energy"
	QuantityPhotonIntensity = "photon-intensity"
)

// Data gives every row of the nuclide in the order of the table.
func (n Nuclide) Data() []Datum {
	var rows []Datum
	for _, d := range table {
		if d.Nuclide == string(n) {
			rows = append(rows, d)
		}
	}
	return rows
}

// HalfLives gives every half-life in the table, the default first.
func (n Nuclide) HalfLives() []HalfLife {
	var all []HalfLife
	for _, d := range n.Find(QuantityHalfLife, 0) {
		all = append(all, d.halfLife())
	}
	return all
}

// BetaMeanEnergies gives the mean energies in print of a beta branch.
func (n Nuclide) BetaMeanEnergies(branch int) []MeanEnergy {
	return n.meanEnergies(QuantityBetaMeanEnergy, branch)
}
