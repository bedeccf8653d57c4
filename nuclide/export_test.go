package nuclide

// What the black-box tests compare with other programs.
var (
	LogGamma = logGamma
	Lambda2  = (*Spectrum).lambda2
)

// The constants, in the order N_A, e, alpha, m c^2 in keV, hbar/(m c) in fm.
var Constants = [5]float64{avogadro, elementaryCharge, fineStructure, electronRest, comptonInFermi}
