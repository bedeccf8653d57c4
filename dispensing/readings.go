package dispensing

import (
	"fmt"
	"math"

	"vialwright/ledger"
	"vialwright/quantity"
)

// The chances of a false alarm over all the readings of a case: a warning
// once in twenty cases, a stop once in a thousand.
const (
	warnChance = 0.05
	stopChance = 0.001
)

// checkReadings names the readings that disagree. A reading's normalised
// residual is compared with the two-sided normal limit for n readings tested
// together (Bonferroni; Baarda's data snooping).
func (r *reckoner) checkReadings() {
	misfits := r.bal.Misfits()
	n := float64(max(1, len(misfits)))
	named := false
	for _, m := range misfits {
		w := math.Abs(m.Normalised)
		s := Warn
		switch {
		case w > deviate(stopChance/n):
			s = Stop
		case w <= deviate(warnChance/n):
			continue
		}
		named = true
		r.contradicted = r.contradicted || s == Stop
		r.find(ReadingDisagrees, s, m.Entry, "the net reading %s lies %.1f standard deviations from the %s that the other readings give%s",
			show(m.Net), w, show(m.Expected), readingSlip(m))
	}
	if c := r.out.Consistency; !named && c.DOF > 0 && c.P < stopChance {
		r.find(ReadingsDisagree, Warn, 0, "the readings agree poorly as a whole: chi-square %.1f for %d degrees of freedom, p = %.2g", c.Chi2, c.DOF, c.P)
	}
	for _, a := range r.bal.SetAside() {
		r.find(BasisSetAside, Warn, a.Entry, "this reading is on the %s basis and the others of its vial on the %s basis: it was left out, since the two are never compared or subtracted", a.Is, a.Others)
	}
	r.stateBasis()
}

// deviate is the two-sided standard normal limit exceeded with chance p.
func deviate(p float64) float64 { return math.Sqrt2 * math.Erfinv(1-p) }

func readingSlip(m ledger.Misfit) string {
	if m.Expected <= 0 || m.Net <= 0 {
		return ""
	}
	if s := quantity.LikelySlip(quantity.Fraction(m.Net/m.Expected), 0.05); s != "" {
		return ": " + s
	}
	return ""
}

// stateBasis says which scale the case's activities are on.
func (r *reckoner) stateBasis() {
	seen := map[ledger.Basis]bool{}
	for _, x := range r.Readings {
		if !seen[x.Basis] {
			seen[x.Basis] = true
			r.find(BasisStated, Note, 0, "%s", basisText(x.Basis))
		}
	}
	if len(r.Readings) == 0 {
		r.find(BasisStated, Note, 0, "%s", basisText(ledger.Label))
	}
}

func basisText(b ledger.Basis) string {
	if b == ledger.Traceable {
		return "activities read are on the traceable basis: a calibration factor tied to a national standard"
	}
	return fmt.Sprintf("activities are on the %s basis: a calibration factor matched to the supplier's label", b)
}
