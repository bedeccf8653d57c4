package dispensing

import (
	"strings"

	"vialwright/quantity"
)

// show writes an activity for a finding, in both units.
func show(a quantity.Activity) string { return quantity.Both(a, 0) }

// mL writes a volume for a finding.
func mL(v quantity.Volume) string { return quantity.Show(v, 0).String() }

// Said writes an activity with its standard uncertainty, in both units. One
// that would read 0 is "nothing", with half the width of its 95 % interval:
// "nothing, within 0.54 GBq (14 mCi)".
func Said(y, u quantity.Activity) string {
	if u > 0 && y < u && strings.Trim(quantity.Show(y, u).Value, "0.-") == "" {
		return "nothing, within " + quantity.FormatDigits(quantity.Coverage*u, 2, "GBq") + " (" + quantity.FormatDigits(quantity.Coverage*u, 2, "mCi") + ")"
	}
	return quantity.Both(y, u)
}

// KnownBy says in words by what is known what was delivered.
func (d Delivered) KnownBy() string { return d.How.Words() }
