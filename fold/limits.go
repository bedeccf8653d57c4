package fold

import (
	"cmp"
	"slices"
	"strings"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/quantity"
)

// mostDose is above every dose that a person at a bench can have: 100 Sv.
const mostDose = 100e3 * quantity.MilliSievert

// enterExposure refuses, in this order: an order that is not there, neither of the two
// doses, and a dose that nobody has.
func enterExposure(e *fact.Exposure, f *folder, s *step) *fact.Refusal {
	if err := f.knowsAny(s, e.For); err != nil {
		return err
	}
	if e.Finger.IsZero() && e.Body.IsZero() {
		return s.refuse("", "exposure-empty", "write finger: or body: with what the dosimeter showed", "no dose was entered")
	}
	for _, d := range []struct {
		field string
		quantity.Stated[quantity.DoseEquivalent]
	}{{"finger", e.Finger}, {"body", e.Body}} {
		if d.Value > mostDose {
			return s.refuse(d.field, "out-of-range", "check the number and its unit", "%s is no dose of a person at a bench", d.Text)
		}
	}
	judgeExposure(e, f, s)
	return nil
}

// limitsOf are those of a policy, none where it sets none.
func limitsOf(p *fact.Policy) *fact.Limits { return cmp.Or(p.Limits, &fact.Limits{}) }

// checkLimits refuses a limit of nothing.
func checkLimits(l *fact.Limits) *fact.Refusal {
	for _, x := range []struct {
		name string
		none bool
	}{
		{"area-rate", none(l.AreaRate)},
		{"area-wipe", none(l.AreaWipe)},
		{"hands-rate", none(l.HandsRate)},
		{"hands-wipe", none(l.HandsWipe)},
		{"package-rate", none(l.PackageRate)},
		{"package-wipe", none(l.PackageWipe)},
		{"finger", none(l.Finger)},
		{"body", none(l.Body)},
	} {
		if x.none {
			return fact.AtTop("policy.limits."+x.name, "out-of-range", "a limit of 0 would refuse everything", "leave it out for no limit, or write a number above 0")
		}
	}
	return nil
}

// none tells of a limit that is set to nothing.
func none[Q quantity.Kind](limit quantity.Stated[Q]) bool { return !limit.IsZero() && limit.Value == 0 }

// judge puts what an entry measured beside the limit for it.
func judge[Q quantity.Kind](f *folder, s *step, what, setting string, value Q, limit quantity.Stated[Q]) {
	slots := fact.Slots(nil, &fact.Limits{})
	i := slices.IndexFunc(slots, func(d fact.Slot) bool { return d.Name == setting })
	m := dispensing.Measured{Entry: s.entry, What: what, Setting: strings.ToLower(slots[i].Label), Shown: quantity.Show(value, 0).String()}
	if limit.Text != "" {
		m.Limit, m.Beyond = quantity.Show(limit.Value, 0).String(), quantity.Beyond(value, limit.Value)
	}
	f.out.Measured = append(f.out.Measured, m)
}

// judgeSurvey compares a survey with the limits for its place.
func judgeSurvey(v *fact.Survey, f *folder, s *step) {
	l := f.policyOf(s).limits
	kind, rate, wipe := "area", l.AreaRate, l.AreaWipe
	switch place := strings.ToLower(v.Place); {
	case strings.HasPrefix(place, "hands"):
		kind, rate, wipe = "hands", l.HandsRate, l.HandsWipe
	case strings.HasPrefix(place, "package"):
		kind, rate, wipe = "package", l.PackageRate, l.PackageWipe
	}
	if !v.Rate.IsZero() {
		judge(f, s, "dose rate at "+v.Place+", less background", kind+"-rate", max(0, v.Rate.Value-v.Background.Value), rate)
	}
	if !v.Wipe.IsZero() {
		judge(f, s, "removable contamination at "+v.Place, kind+"-wipe", v.Wipe.Value, wipe)
	}
}

// judgeExposure compares a staff dose with the limits for one entry.
func judgeExposure(e *fact.Exposure, f *folder, s *step) {
	l := f.policyOf(s).limits
	if !e.Finger.IsZero() {
		judge(f, s, "finger dose of "+e.Who, "finger", e.Finger.Value, l.Finger)
	}
	if !e.Body.IsZero() {
		judge(f, s, "body dose of "+e.Who, "body", e.Body.Value, l.Body)
	}
}
