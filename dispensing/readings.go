package dispensing

import (
	"fmt"
	"slices"

	"vialwright/quantity"
)

// poorChance is the probability below which the readings agree poorly as a
// whole: one honest set of a thousand (no source for the choice).
const poorChance = 0.001

// checkReadings looks at the readings as a whole. Which of them has slipped is
// found by comparing hypotheses ([reckoner.checkSlips]).
func (r *reckoner) checkReadings() {
	for _, a := range r.bal.SetAside() {
		r.find(BasisSetAside, Warn, a.Entry, "left out: a reading on the %s basis, since the others of its vial are on the %s basis; the two are never compared or subtracted", a.Is, a.Others)
	}
	r.stateBasis()
}

// checkAgreement is for readings that agree poorly, with none to name.
func (r *reckoner) checkAgreement() {
	if c := r.out.Consistency; len(r.holds) == 0 && c.DOF > 0 && c.P < poorChance && !r.found(ReadingDisagrees, 0) {
		r.find(ReadingsDisagree, Warn, 0, "the readings scatter more than their meters allow, with none to name: read again, and test the meter (chi-square %.1f for %d degrees of freedom)", c.Chi2, c.DOF)
	}
}

// found says whether there is a finding of an entry already; of any, for 0.
func (r *reckoner) found(code Code, entry int) bool {
	return slices.ContainsFunc(r.out.Findings, func(f Finding) bool { return f.Code == code && (entry == 0 || f.Entry == entry) })
}

// stateBasis says which scale the case's activities are on.
func (r *reckoner) stateBasis() {
	seen := map[quantity.Basis]bool{}
	for _, x := range r.Readings {
		if !seen[x.Basis] {
			seen[x.Basis] = true
			r.find(BasisStated, Note, 0, "%s", basisText(x.Basis))
		}
	}
	if len(r.Readings) == 0 {
		r.find(BasisStated, Note, 0, "%s", basisText(quantity.LabelBasis))
	}
}

func basisText(b quantity.Basis) string {
	if b == quantity.TraceableBasis {
		return "Activities read are on the traceable basis: a calibration factor tied to a national standard"
	}
	return fmt.Sprintf("Activities are on the %s basis: a calibration factor matched to the supplier's label", b)
}
