package fact

import (
	"vialwright/quantity"
)

// Method is how an activity was prescribed.
type Method string

// Target is the volume that an absorbed dose is prescribed to.
type Target string

// Clause tells whether an order says something; empty where nobody wrote which.
type Clause string

// The two.
const (
	Says    Clause = "yes"
	SaysNot Clause = "no"
)

// Dosimetry is what a prescription rests on: its method, and the figures that the
// method takes. A field NAME-u is the relative standard uncertainty of NAME. What
// the figures mean is in package dose; a field of one method is refused in another
// that means something else by nearly the same word.
type Dosimetry struct {
	Method           Method                                 `must:"method" label:"Method of the prescription"`
	AbsorbedDose     quantity.Stated[quantity.AbsorbedDose] `may:"absorbed-dose" label:"Absorbed dose prescribed"`
	To               Target                                 `may:"to" label:"To the volume"`
	PrescribedU      quantity.Stated[quantity.Fraction]     `may:"prescribed-u" label:"Uncertainty of the activity"`
	Height           quantity.Stated[quantity.Length]       `may:"height" label:"Height"`
	Weight           quantity.Stated[quantity.Mass]         `may:"weight" label:"Weight"`
	TumourVolume     quantity.Stated[quantity.Volume]       `may:"tumour-volume" label:"Tumour volume"`
	LiverVolume      quantity.Stated[quantity.Volume]       `may:"liver-volume" label:"Liver volume with the tumour"`
	LobeVolume       quantity.Stated[quantity.Volume]       `may:"lobe-volume" label:"Volume of the lobe"`
	LobeTumourVolume quantity.Stated[quantity.Volume]       `may:"lobe-tumour-volume" label:"Tumour volume in the lobe"`
	PerfusedMass     quantity.Stated[quantity.Mass]         `may:"perfused-mass" label:"Perfused mass"`
	PerfusedMassU    quantity.Stated[quantity.Fraction]     `may:"perfused-mass-u" label:"Uncertainty of the perfused mass"`
	TumourMass       quantity.Stated[quantity.Mass]         `may:"tumour-mass" label:"Tumour mass"`
	TumourMassU      quantity.Stated[quantity.Fraction]     `may:"tumour-mass-u" label:"Uncertainty of the tumour mass"`
	NormalMass       quantity.Stated[quantity.Mass]         `may:"normal-mass" label:"Perfused normal liver"`
	NormalMassU      quantity.Stated[quantity.Fraction]     `may:"normal-mass-u" label:"Uncertainty of the normal liver"`
	WholeNormalMass  quantity.Stated[quantity.Mass]         `may:"whole-normal-mass" label:"Whole normal liver"`
	Lungs            quantity.Stated[quantity.Mass]         `may:"lung-mass" label:"Lung mass"`
	TumourToNormal   Number                                 `may:"tumour-to-normal" per:"to 1" label:"Tumour-to-normal ratio"`
	TumourToNormalU  quantity.Stated[quantity.Fraction]     `may:"tumour-to-normal-u" label:"Uncertainty of the ratio"`
	ClosedRatio      Number                                 `may:"closed-system-ratio" per:"to 1" label:"Closed system: activity in tumour to normal liver"`
	ClosedRatioU     quantity.Stated[quantity.Fraction]     `may:"closed-system-ratio-u" label:"Uncertainty of the closed-system ratio"`
	TumourLungShare  quantity.Stated[quantity.Fraction]     `may:"tumour-lung-share" label:"Closed system: lungs of lungs and tumour"`
	TumourLungShareU quantity.Stated[quantity.Fraction]     `may:"tumour-lung-share-u" label:"Uncertainty of the tumour-lung share"`
	Shunt            quantity.Stated[quantity.Fraction]     `may:"lung-shunt" label:"Lung shunt fraction"`
	ShuntU           quantity.Stated[quantity.Fraction]     `may:"lung-shunt-u" label:"Uncertainty of the lung shunt fraction"`
	ShuntMethod      string                                 `may:"lung-shunt-method" label:"How the lung shunt was found"`
	// ShuntCounts are those of a planar study, from which the fraction is worked out.
	ShuntCounts  *ShuntCounts                           `may:"lung-shunt-counts" label:"Shunt study"`
	LungBefore   quantity.Stated[quantity.AbsorbedDose] `may:"lung-dose-before" label:"Lung dose of earlier treatments"`
	LungMax      quantity.Stated[quantity.AbsorbedDose] `may:"lung-max" label:"Dose limit of the lungs, this treatment"`
	LungTotalMax quantity.Stated[quantity.AbsorbedDose] `may:"lung-total-max" label:"Dose limit of the lungs, all treatments"`
	NormalMax    quantity.Stated[quantity.AbsorbedDose] `may:"normal-max" label:"Dose limit of the normal liver"`
	ElsewhereMax quantity.Stated[quantity.AbsorbedDose] `may:"elsewhere-max" label:"Dose limit elsewhere"`
}

// ShuntCounts are the planar counts of a lung shunt study; Background is nil where
// none was taken away.
type ShuntCounts struct {
	Lungs      *Counts `must:"lungs" label:"Lungs"`
	Liver      *Counts `must:"liver" label:"Liver"`
	Background *Counts `may:"background" label:"Background"`
}

// Counts are those of one region from both sides, with its area.
type Counts struct {
	Anterior  Number `must:"anterior" per:"counts" label:"Anterior"`
	Posterior Number `must:"posterior" per:"counts" label:"Posterior"`
	Area      Number `may:"area" per:"px" label:"Area"`
}
