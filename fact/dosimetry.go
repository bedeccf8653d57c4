package fact

import (
	"strings"

	"vialwright/quantity"
)

// Method is how an activity was prescribed.
type Method string

var methods = []Method{"surface-area", "mono-compartment", "partition", "closed-system"}

// Target is the volume that an absorbed dose is prescribed to.
type Target string

var targets = []Target{"perfused-volume", "tumour", "normal-liver", "whole-normal-liver"}

// Clause tells whether an order says something; empty where nobody wrote which.
type Clause string

// The two.
const (
	Says    Clause = "yes"
	SaysNot Clause = "no"
)

var clauses = []Clause{Says, SaysNot}

// Dosimetry is what a prescription rests on: its method, and the figures that the
// method takes. A field NAME-u is the relative standard uncertainty of NAME. What
// the figures mean is in package dose; a field of one method is refused in another
// that means something else by nearly the same word.
type Dosimetry struct {
	Method       Method
	AbsorbedDose quantity.Stated[quantity.AbsorbedDose]
	To           Target
	Height       quantity.Stated[quantity.Length]
	Weight       quantity.Stated[quantity.Mass]

	TumourVolume, LiverVolume, LobeVolume, LobeTumourVolume       quantity.Stated[quantity.Volume]
	PerfusedMass, TumourMass, NormalMass, WholeNormalMass, Lungs  quantity.Stated[quantity.Mass]
	PerfusedMassU, TumourMassU, NormalMassU                       quantity.Stated[quantity.Fraction]
	TumourToNormal, ClosedRatio                                   Number
	TumourToNormalU, ClosedRatioU                                 quantity.Stated[quantity.Fraction]
	TumourLungShare, TumourLungShareU, Shunt, ShuntU, PrescribedU quantity.Stated[quantity.Fraction]
	ShuntMethod                                                   string
	// ShuntCounts are those of a planar study, from which the fraction is worked out.
	ShuntCounts                                                *ShuntCounts
	LungBefore, LungMax, LungTotalMax, NormalMax, ElsewhereMax quantity.Stated[quantity.AbsorbedDose]
}

func (d *Dosimetry) fields(f []Slot) []Slot {
	return append(f,
		Slot{"method", must, oneWord[Method]{&d.Method, methods}, "Method of the prescription"},
		Slot{"absorbed-dose", may, amount(&d.AbsorbedDose), "Absorbed dose prescribed"},
		Slot{"to", may, oneWord[Target]{&d.To, targets}, "To the volume"},
		Slot{"prescribed-u", may, amount(&d.PrescribedU), "Uncertainty of the activity"},
		Slot{"height", may, amount(&d.Height), "Height"},
		Slot{"weight", may, amount(&d.Weight), "Weight"},
		Slot{"tumour-volume", may, amount(&d.TumourVolume), "Tumour volume"},
		Slot{"liver-volume", may, amount(&d.LiverVolume), "Liver volume with the tumour"},
		Slot{"lobe-volume", may, amount(&d.LobeVolume), "Volume of the lobe"},
		Slot{"lobe-tumour-volume", may, amount(&d.LobeTumourVolume), "Tumour volume in the lobe"},
		Slot{"perfused-mass", may, amount(&d.PerfusedMass), "Perfused mass"},
		Slot{"perfused-mass-u", may, amount(&d.PerfusedMassU), "Uncertainty of the perfused mass"},
		Slot{"tumour-mass", may, amount(&d.TumourMass), "Tumour mass"},
		Slot{"tumour-mass-u", may, amount(&d.TumourMassU), "Uncertainty of the tumour mass"},
		Slot{"normal-mass", may, amount(&d.NormalMass), "Perfused normal liver"},
		Slot{"normal-mass-u", may, amount(&d.NormalMassU), "Uncertainty of the normal liver"},
		Slot{"whole-normal-mass", may, amount(&d.WholeNormalMass), "Whole normal liver"},
		Slot{"lung-mass", may, amount(&d.Lungs), "Lung mass"},
		Slot{"tumour-to-normal", may, ratio{&d.TumourToNormal, " to 1"}, "Tumour-to-normal ratio"},
		Slot{"tumour-to-normal-u", may, amount(&d.TumourToNormalU), "Uncertainty of the ratio"},
		Slot{"closed-system-ratio", may, ratio{&d.ClosedRatio, " to 1"}, "Closed system: activity in tumour to normal liver"},
		Slot{"closed-system-ratio-u", may, amount(&d.ClosedRatioU), "Uncertainty of the closed-system ratio"},
		Slot{"tumour-lung-share", may, amount(&d.TumourLungShare), "Closed system: lungs of lungs and tumour"},
		Slot{"tumour-lung-share-u", may, amount(&d.TumourLungShareU), "Uncertainty of the tumour-lung share"},
		Slot{"lung-shunt", may, amount(&d.Shunt), "Lung shunt fraction"},
		Slot{"lung-shunt-u", may, amount(&d.ShuntU), "Uncertainty of the lung shunt fraction"},
		Slot{"lung-shunt-method", may, text{&d.ShuntMethod}, "How the lung shunt was found"},
		Slot{"lung-shunt-counts", may, GroupAt(&d.ShuntCounts), "Shunt study"},
		Slot{"lung-dose-before", may, amount(&d.LungBefore), "Lung dose of earlier treatments"},
		Slot{"lung-max", may, amount(&d.LungMax), "Dose limit of the lungs, this treatment"},
		Slot{"lung-total-max", may, amount(&d.LungTotalMax), "Dose limit of the lungs, all treatments"},
		Slot{"normal-max", may, amount(&d.NormalMax), "Dose limit of the normal liver"},
		Slot{"elsewhere-max", may, amount(&d.ElsewhereMax), "Dose limit elsewhere"},
	)
}

// ShuntCounts are the planar counts of a lung shunt study; Background is nil where
// none was taken away.
type ShuntCounts struct{ Lungs, Liver, Background *Counts }

func (c *ShuntCounts) fields(f []Slot) []Slot {
	return append(f,
		Slot{"lungs", must, GroupAt(&c.Lungs), "Lungs"},
		Slot{"liver", must, GroupAt(&c.Liver), "Liver"},
		Slot{"background", may, GroupAt(&c.Background), "Background"},
	)
}

// Counts are those of one region from both sides, with its area.
type Counts struct{ Anterior, Posterior, Area Number }

func (c *Counts) fields(f []Slot) []Slot {
	return append(f,
		Slot{"anterior", must, ratio{&c.Anterior, " counts"}, "Anterior"},
		Slot{"posterior", must, ratio{&c.Posterior, " counts"}, "Posterior"},
		Slot{"area", may, ratio{&c.Area, " px"}, "Area"},
	)
}

// ratio is a number written with what it counts, such as "3 to 1" or "15
// million".
type ratio struct {
	p      *Number
	suffix string
}

func (r ratio) shape() Shape { return Shape(strings.TrimSpace(r.suffix)) }
func (r ratio) Given() bool  { return r.p.Text != "" }
func (r ratio) Want() string {
	return "a number such as 3" + r.suffix
}

func (r ratio) Read(text string, how How) *Refusal {
	digits, ok := strings.CutSuffix(text, r.suffix)
	var n Number
	if !ok || (number{&n}).Read(digits, how) != nil || n.Value == 0 {
		return &Refusal{Code: "bad-number", Msg: Quote(text) + " is no number written with" + r.suffix, Hint: "write it like 3" + r.suffix}
	}
	*r.p = Number{n.Value, n.Text + r.suffix}
	return nil
}

func (r ratio) Write() (string, *Refusal) {
	back := new(Number)
	if p := (ratio{back, r.suffix}).Read(r.p.Text, How{Canonical: true}); p != nil {
		return "", p
	}
	if *back != *r.p {
		return "", &Refusal{Code: "inconsistent", Msg: Quote(r.p.Text) + " and its value disagree", Hint: "make it from its text"}
	}
	return r.p.Text, nil
}
