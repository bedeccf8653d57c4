package dose

import (
	"fmt"
	"math"
	"slices"

	"vialwright/quantity"
	"vialwright/uncertainty"
)

// Limit is a largest dose of a target, and the largest activity that keeps it.
type Limit struct {
	Of Target
	// What names it, Source says whose it is.
	What, Source string
	// Own tells that the order states it; otherwise it is only in print.
	Own bool
	// Max is the limit; Before the dose of earlier treatments that counts in it.
	Max, Before quantity.AbsorbedDose
	// Activity is the largest that keeps the limit; 0 where it is used up.
	Activity quantity.Activity
	// Dose is what the activity checked gives, Before included. Beyond is the
	// probability that it is more than Max.
	Dose, U quantity.AbsorbedDose
	Beyond  quantity.Fraction
	// Binding tells that no other limit allows less.
	Binding bool
	sources int // of uncertainty
}

// max is the limit as it was set: 10.96 Gy is not 11 Gy.
func (l Limit) max() string { return quantity.FormatDigits(l.Max, 12, "Gy") }

// What is in print for the lungs, in Gy: of one treatment, and of all together.
const (
	lungOnce   = 30 * quantity.Gray
	lungTotal  = 50 * quantity.Gray
	lungSource = "in print: 30 Gy of one treatment, 50 Gy of all (thesis of C. van Roekel, pp. 30 and 41)"
	ownSource  = "stated in the order"
)

// limits inverts every limit that the order states, or that is in print where it
// states none.
func (o Order) limits(a uncertainty.Number) []Limit {
	var out []Limit
	add := func(of Target, what string, own quantity.Stated[quantity.AbsorbedDose], printed, before quantity.AbsorbedDose, others ...beside) {
		l := Limit{Of: of, What: what, Max: own.Value, Before: before, Own: true, Source: ownSource}
		var more, moreU quantity.AbsorbedDose
		for _, x := range others {
			l.What += x.says
			more, moreU = more+x.dose, moreU+x.u
		}
		if own.IsZero() {
			l.Max, l.Own, l.Source = printed, false, lungSource
		}
		per, ok := o.perGBq()[of]
		if !ok || l.Max == 0 || per.Value() <= 0 {
			return // nothing asked, or nothing goes there
		}
		d := per.Mul(a).Add(uncertainty.Exact(float64(before)))
		l.Dose, l.U = quantity.AbsorbedDose(d.Value())+more, quantity.AbsorbedDose(d.U())+moreU
		l.sources = len(d.Budget())
		within, err := uncertainty.Conformance(float64(l.Dose), float64(l.U), uncertainty.Limits{Lower: math.Inf(-1), Upper: float64(l.Max)})
		if err == nil {
			l.Beyond = quantity.Fraction(1 - within)
		}
		l.Activity = quantity.Activity(max(0, float64(l.Max-before-more)/per.Value())) * quantity.GigaBecquerel
		out = append(out, l)
	}
	add(Normal, "normal liver", o.NormalMax, 0, 0)
	now, earlier := lungsOf(o.Beside, ""), lungsOf(o.Earlier, " before")
	if !o.LungBefore.IsZero() { // it says what was before
		earlier = beside{}
	}
	add(Lungs, "lungs, this treatment", o.LungMax, lungOnce, 0, now)
	if !o.LungBefore.IsZero() || !o.LungTotalMax.IsZero() || earlier.dose > 0 {
		add(Lungs, "lungs, all treatments", o.LungTotalMax, lungTotal, o.LungBefore.Value, now, earlier)
	}
	least := -1
	for i, l := range out {
		if least < 0 || l.Activity < out[least].Activity {
			least = i
		}
	}
	if least >= 0 {
		out[least].Binding = true
	}
	return out
}

// beside is what other orders of a patient give the lungs, and which they are.
type beside struct {
	says    string
	dose, u quantity.AbsorbedDose
}

// lungsOf adds the lung doses of orders up. So do their uncertainties, since one study of the
// shunt is behind all of them (JCGM 100:2008, 5.2.2, note 1).
func lungsOf(orders []Order, when string) (out beside) {
	var ids []string
	for _, o := range orders {
		r, err := Check(o)
		i := slices.IndexFunc(r.Doses, func(d Dose) bool { return d.Of == Lungs })
		if err != nil || i < 0 {
			continue
		}
		out.dose, out.u = out.dose+r.Doses[i].Dose, out.u+r.Doses[i].U
		ids = append(ids, o.ID)
	}
	if n := len(ids); n > 2 {
		out.says = fmt.Sprintf(" with order %s and %d more%s", ids[0], n-1, when)
	} else {
		for _, id := range ids {
			out.says += " with order " + id + when
		}
	}
	return out
}

// Printed is a published window of a dose, with how a dose lies to it.
type Printed struct {
	Of Target
	// For says which patients and aims it is for.
	For string
	// Over and Under bound it; 0 for an open side.
	Over, Under quantity.AbsorbedDose
	// Inside tells that the dose lies in it.
	Inside bool
}

// WindowSource is where the windows are published; the physician decides.
const WindowSource = "EANM procedure guideline, Weber et al., Eur J Nucl Med Mol Imaging 49 (2022) 1682, table 3, resin"

var printed = map[Method][]Printed{
	Partition: {
		{Of: Normal, For: "one lobe, or both without pretreatment or a compromised liver", Under: 40},
		{Of: Normal, For: "both lobes, pretreated or compromised", Under: 30},
		{Of: Normal, For: "lobectomy, reserve above 30 %", Over: 70},
		{Of: Tumour, For: "hepatocellular and cholangiocellular carcinoma: at least 100 to 120 Gy", Over: 100},
		{Of: Tumour, For: "colorectal metastases", Over: 100},
	},
	MonoCompartment: {{Of: Perfused, For: "segmentectomy", Over: 150}},
}

// windows are the published ones for the method, beside the doses.
func (o Order) windows(doses []Dose) []Printed {
	var out []Printed
	for _, p := range printed[o.Method] {
		for _, d := range doses {
			if d.Of == p.Of {
				p.Inside = (p.Over == 0 || d.Dose >= p.Over) && (p.Under == 0 || d.Dose < p.Under)
				out = append(out, p)
			}
		}
	}
	return out
}

// String says the window and whether the dose lies in it.
func (p Printed) String() string {
	bound := "over " + quantity.FormatDigits(p.Over, 3, "Gy")
	if p.Under > 0 {
		bound = "under " + quantity.FormatDigits(p.Under, 3, "Gy")
	}
	where := "outside"
	if p.Inside {
		where = "inside"
	}
	return fmt.Sprintf("%s %s: %s (%s)", p.Of, bound, where, p.For)
}
