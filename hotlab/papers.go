package hotlab

import (
	"slices"
	"strings"

	"vialwright/fact"
	"vialwright/nuclide"
	"vialwright/protection"
	"vialwright/quantity"
)

// The UN numbers of radioactive material: of excepted packages, and all others
// (ADR and 49 CFR 172.101, from memory). A vial of some GBq is UN2915, Type A.
var (
	unExcepted = []string{"2908", "2909", "2910", "2911"}
	unOther    = []string{"2912", "2913", "2915", "2916", "2917", "2919", "2977", "2978", "3321", "3322", "3323", "3324", "3325", "3326", "3327", "3328", "3329", "3330", "3331", "3332", "3333"}
)

// unSource says it beside what rests on them.
const unSource = "class 7 of ADR and 49 CFR 172.101 [from memory, not read for this program]"

// indexMost is the highest transport index of each category (49 CFR 172.403).
var indexMost = map[fact.Category]float64{fact.WhiteI: 0, fact.YellowII: 1, fact.YellowIII: 10}

// papers says what of a parcel does not fit together as it came: its papers, its condition,
// its UN number, and what may be in an excepted package.
func (r *reader) papers(p *Parcel) {
	a := p.Arrived
	f := Finding{Code: ParcelPapers, Severity: Warn, Page: Parcels, About: p.ID, Entry: p.arrivedAt, Do: "Ask the sender before it is opened."}
	if a.Papers != fact.PapersAgree {
		r.find(f, "The papers of parcel %s %s", p.ID, map[fact.Papers]string{fact.PapersDiffer: "do not say what is on it", fact.PapersMissing: "are missing"}[a.Papers])
	}
	number := strings.TrimPrefix(strings.ToUpper(a.UN), "UN")
	excepted := slices.Contains(unExcepted, number)
	switch {
	case a.UN == "":
	case !excepted && !slices.Contains(unOther, number):
		r.find(f, "Parcel %s has the number %s, which is no UN number of radioactive material (%s)", p.ID, a.UN, unSource)
	case excepted && a.Category != fact.Excepted:
		r.find(f, "Parcel %s has the number %s, of an excepted package, and is labelled %s (%s)", p.ID, a.UN, a.Category, unSource)
	case !excepted && a.Category == fact.Excepted:
		r.find(f, "Parcel %s has the number %s, and is marked as an excepted package (%s)", p.ID, a.UN, unSource)
	}
	if most, labelled := indexMost[a.Category]; labelled && a.Index.Text != "" && a.Index.Value > most {
		r.find(f, "Parcel %s is labelled %s with TI %s, and that category goes from 0 to %g (49 CFR 172.403)", p.ID, a.Category, a.Index.Text, most)
	}
	holds := quantity.Activity(float64(a.Vials) * float64(a.Labelled.Value) * nuclide.Factor(r.Books.HalfLife, nuclide.Elapsed(a.Reference, a.At)))
	if a.Category == fact.Excepted && holds > protection.ExceptedLiquid {
		r.find(f, "Parcel %s is marked as an excepted package and held %s by its label when it came: an excepted package holds %s at most as a liquid (%s)", p.ID, show(holds), show(protection.ExceptedLiquid), protection.TransportSource)
	}
	if a.Condition != fact.Intact {
		f.Code, f.Do = ParcelDamaged, "Keep it apart, and measure dose rates and a wipe of all of it. "+r.call(fact.ParcelOverLimit)
		r.find(f, "Parcel %s came %s", p.ID, a.Condition)
	}
}
