package dispensing

import (
	"vialwright/quantity"
)

// show writes an activity for a finding, in both units.
func show(a quantity.Activity) string { return quantity.Both(a, 0) }

// mL writes a volume for a finding.
func mL(v quantity.Volume) string { return quantity.Show(v, 0).String() }
