package dispensing

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"vialwright/ledger"
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
	if nothing(y, u) {
		return "nothing, within " + quantity.FormatDigits(quantity.Coverage*u, 2, "GBq") + " (" + quantity.FormatDigits(quantity.Coverage*u, 2, "mCi") + ")"
	}
	return quantity.Both(y, u)
}

// Share writes a ratio in percent with one decimal, as every page, sheet and
// answer does, or with more where a departure from 1 of one of the limits needs
// them: 103.2 %, 110.004 %. What rounds to nothing has no sign.
func Share(x float64, limits ...quantity.Fraction) string { return share(x, 1, limits) }

func share(x float64, least int, limits []quantity.Fraction) string {
	return strings.TrimPrefix(quantity.Signed(quantity.Fraction(x), quantity.Decimals(x-1, least, limits...)), "+")
}

// LabelDigits are the significant digits of a dose on its label, in a unit and in mCi: three, or
// as many more as leave it below, at or beyond each limit of target and prescription as it is.
func (d Dispensed) LabelDigits(prescribed quantity.Activity, unit string) int {
	lies := func(a quantity.Activity) (sides []bool) {
		for _, of := range []quantity.Activity{d.Activity / quantity.Activity(d.Ratio), prescribed} {
			for _, l := range d.Limits {
				off := quantity.Fraction(math.Abs(float64(a/of) - 1))
				sides = append(sides, quantity.Reaches(off, l), quantity.Beyond(off, l))
			}
		}
		return sides
	}
	for n := 3; ; n++ {
		first, second := quantity.BothDigits(d.Activity, n, unit, "mCi")
		same := func(text string) bool {
			a, err := quantity.Parse[quantity.Activity](text)
			return err == nil && slices.Equal(lies(a.Value), lies(d.Activity))
		}
		if n == 6 || same(first) && same(second) {
			return n
		}
	}
}

// Chance writes a probability in percent with two decimals, or with more where it
// takes them to see on which side of the wanted one it lies, without claiming
// certainty.
func Chance(p float64, wanted ...quantity.Fraction) string {
	switch {
	case p > 0.9995:
		return "above 99.9 %"
	case p < 0.0005:
		return "below 0.1 %"
	}
	return fmt.Sprintf("%.*f %%", quantity.Decimals(p, 2, wanted...), 100*p)
}

// Chance writes the probability of conforming.
func (d Dispensed) Chance() string { return Chance(d.Conformance, d.Confidence) }

// Agreement says how well readings agree. Without a degree of freedom no reading
// checks another.
func Agreement(c ledger.Consistency) string {
	if c.DOF == 0 {
		return "No reading checks another: a slipped digit would not show. Replicate readings would show it."
	}
	return fmt.Sprintf("chi-square %.2f for %s of freedom; %s of correct sets of readings agree less well", c.Chi2, Plural(c.DOF, "degree"), Chance(c.P))
}

// OfPrescribed says what share of the prescription was delivered; nothing where
// nothing was.
func (d Delivered) OfPrescribed() string {
	if nothing(d.Activity, d.U) {
		return ""
	}
	return d.Share() + " of the prescribed activity"
}

// Share is what was delivered of the prescription as [Share] writes it.
func (d Delivered) Share() string { return share(d.Ratio, d.decimals(), d.Limits) }

// decimals are none where the uncertainty of the share is a tenth or more.
func (d Delivered) decimals() int {
	if float64(d.U/d.Activity)*d.Ratio >= 0.0995 {
		return 0
	}
	return 1
}

// nothing tells whether an activity reads 0 with the digits of its uncertainty.
func nothing(y, u quantity.Activity) bool {
	return u > 0 && y < u && strings.Trim(quantity.Show(y, u).Value, "0.-") == ""
}

// KnownBy says in words by what is known what was delivered.
func (d Delivered) KnownBy() string {
	if d.How == ledger.ByDoseRate && len(d.Read) > 0 {
		return ledger.KnownBy([]ledger.Estimate{ledger.ByDoseRate, ledger.ByReading})
	}
	return d.How.Words()
}
