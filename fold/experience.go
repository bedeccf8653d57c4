package fold

import (
	"cmp"
	"slices"
	"strconv"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/ledger"
	"vialwright/quantity"
)

// learns says what of the policy is learned.
func (f *folder) learns(p *fact.Policy) {
	f.out.Policy.LearnYield = p.Learn == fact.Learn || p.Learn == "" && p.DrawYield == nil
}

// placedExperience is an experience at its place in the list.
type placedExperience struct {
	place int
	*dispensing.Experience
}

// experienceBy is what had been taken over when an entry was recorded, nil for
// nothing.
func (f *folder) experienceBy(s *step) *dispensing.Experience {
	for _, l := range slices.Backward(f.experience) {
		if l.place < s.place {
			return l.Experience
		}
	}
	return nil
}

// takeOver takes what was learned over. Refused: nothing learned, a yield, a share or an uncertainty that cannot be one, and
// two rows for the same kind and person.
func takeOver(x *fact.Experience, f *folder, s *step) *fact.Refusal {
	if len(x.Yields) == 0 && len(x.Residuals) == 0 && x.DoseRate == nil {
		return s.refuse("", "experience-empty", "write yields:, residuals: or dose-rate:", "there is no row")
	}
	out := &dispensing.Experience{}
	for i, y := range x.Yields {
		if err := checkExpectedYield(&y, s, "yields["+strconv.Itoa(i+1)+"]."); err != nil {
			return err
		}
		if out.Has(y.Vial, y.By) {
			return s.refuse("yields["+strconv.Itoa(i+1)+"]", "experience-twice", "keep one of the two rows", "two rows are for the yield %s by %s", of(y.Vial), cmp.Or(y.By, "anybody"))
		}
		out.Yields = append(out.Yields, dispensing.ExpectedYield{
			Vial: y.Vial, By: y.By, Share: ledger.Share{Value: float64(y.Q.Value), U: float64(y.U.Value)}, Cases: y.Cases, Own: y.Own,
		})
	}
	for i, r := range x.Residuals {
		if err := checkExpectedResidual(&r, s, "residuals["+strconv.Itoa(i+1)+"]."); err != nil {
			return err
		}
		if out.HasResidual(r.Vial) {
			return s.refuse("residuals["+strconv.Itoa(i+1)+"]", "experience-twice", "keep one of the two rows", "two rows are for the residual %s", of(r.Vial))
		}
		out.Residuals = append(out.Residuals, dispensing.ExpectedResidual{
			Vial: r.Vial, Share: ledger.Share{Value: float64(r.Fraction.Value), U: float64(r.U.Value)},
			Activity: r.Activity.Value, ActivityU: r.ActivityU.Value, Cases: r.Cases,
		})
	}
	if r := x.DoseRate; r != nil {
		if r.PerGBq.Value <= 0 || r.SD.Value >= r.PerGBq.Value {
			return s.refuse("dose-rate", "out-of-range", "per-gbq is the mean and sd its scatter from dose to dose", "%s with a scatter of %s is no dose rate", r.PerGBq.Text, r.SD.Text)
		}
		if quantity.Family(r.PerGBq) != quantity.Family(r.SD) {
			return s.refuse("dose-rate", "two-units", "write both in the unit of the meter", "%s and %s are of two kinds of meter", r.PerGBq.Text, r.SD.Text)
		}
		out.Jar = dispensing.JarUsual{PerGBq: float64(r.PerGBq.Value), SD: float64(r.SD.Value), Family: quantity.Family(r.PerGBq), Cases: r.Cases}
	}
	f.experience = append(f.experience, placedExperience{s.place, out})
	f.out.Experience = out
	return nil
}

func of(vial string) string { return "of " + cmp.Or(vial, "other vials") }

func checkExpectedYield(y *fact.ExpectedYield, s *step, at string) *fact.Refusal {
	switch {
	case y.Q.Value <= 0 || y.Q.Value >= 2:
		return s.refuse(at+"q", "out-of-range", "it is activity share per volume share, near 100 %", "%s is not above 0 %% and below 200 %%", y.Q.Text)
	case y.U.Value <= 0 || y.U.Value >= 1:
		return s.refuse(at+"u", "out-of-range", "it is the standard uncertainty of q in the same unit", "%s is not above 0 %% and below 100 %%", y.U.Text)
	}
	return nil
}

func checkExpectedResidual(r *fact.ExpectedResidual, s *step, at string) *fact.Refusal {
	switch {
	case r.Fraction.Value < 0 || r.Fraction.Value >= 1:
		return s.refuse(at+"fraction", "out-of-range", "write the expected residual, such as 2 %", "a residual of %s leaves nothing to give", r.Fraction.Text)
	case r.U.Value <= 0 || r.U.Value >= 1:
		return s.refuse(at+"u", "out-of-range", "it is the standard uncertainty of the fraction in the same unit", "%s is not above 0 %% and below 100 %%", r.U.Text)
	}
	return nil
}

// experienceFor is the yield that a draw rests on: that of the person who draws
// and the kind of vial, as learned by then, where the policy lets it; else zero.
func (f *folder) experienceFor(s *step, x *fact.Draw) ledger.Share {
	if l := f.experienceBy(s); l != nil && f.policyOf(s).LearnYield {
		if y, ok := l.Yield(f.out.KindOf(x.From), x.By); ok {
			return y.Share
		}
	}
	return ledger.Share{}
}
