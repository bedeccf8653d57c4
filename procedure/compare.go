package procedure

import (
	"vialwright/dispensing"
	"vialwright/journal"
	"vialwright/quantity"
)

// Agreement is how far apart two figures of one dose may lie, as a fraction of
// the one reckoned here: 5 %, assumed (no source).
const Agreement quantity.Fraction = 0.05

// Comparison is a second check beside what the record gives.
type Comparison struct {
	// Agree tells that both are there and no more than Agreement apart.
	Agree bool
	// Checked is the checker's figure, Reckoned that of the record, both at
	// infusion time; Reckoned is 0 while no reading determines the dose.
	Checked, Reckoned quantity.Activity
	// Ratio is Checked over Reckoned, 0 where there is none.
	Ratio float64
}

// Compare sets the checker's figure beside the dispensed activity of its
// order:
//
//	agree  ⇔  |checked − reckoned| ≤ 5 % · reckoned
//
// both at the planned infusion, also when the dose was then given at another
// moment. The result is that of now, so that a check which agreed no longer
// does once the figure of the record has moved away from it.
func Compare(check *journal.Verification, r dispensing.Result) Comparison {
	out := Comparison{Checked: check.Activity.Value}
	for _, o := range r.Orders {
		if o.Order.ID == check.For && o.Dispensed != nil {
			out.Reckoned = planned(o, r.HalfLife)
		}
	}
	if out.Reckoned > 0 {
		out.Ratio = float64(out.Checked / out.Reckoned)
		out.Agree = within(out.Checked, out.Reckoned, Agreement)
	}
	return out
}
