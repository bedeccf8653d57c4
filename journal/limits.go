package journal

import (
	"strings"

	"vialwright/dispensing"
	"vialwright/quantity"
)

// Limits are what the site allows of dose rates, contamination and staff doses.
// Any may be absent; none is assumed. Dose rates are compared less their
// background. A place whose name begins with "hands" or "package" has limits of
// its own; every other place is an area.
type Limits struct {
	AreaRate, HandsRate, PackageRate quantity.Stated[quantity.DoseRate]
	AreaWipe, HandsWipe, PackageWipe quantity.Stated[quantity.Contamination]
	// Finger and Body are for one entry of a staff dose.
	Finger, Body quantity.Stated[quantity.DoseEquivalent]
}

func (l *Limits) fields(f []field) []field {
	return append(f,
		field{"area-rate", may, amount(&l.AreaRate), "Dose rate of a place, less background"},
		field{"area-wipe", may, amount(&l.AreaWipe), "Removable contamination of a place"},
		field{"hands-rate", may, amount(&l.HandsRate), "Dose rate at the hands, less background"},
		field{"hands-wipe", may, amount(&l.HandsWipe), "Contamination of the hands"},
		field{"package-rate", may, amount(&l.PackageRate), "Dose rate at a package, less background"},
		field{"package-wipe", may, amount(&l.PackageWipe), "Removable contamination of a package"},
		field{"finger", may, amount(&l.Finger), "Finger dose of one entry"},
		field{"body", may, amount(&l.Body), "Body dose of one entry"},
	)
}

// limits are those of a policy, none where it sets none.
func (p *Policy) limits() *Limits {
	if p.Limits == nil {
		return &Limits{}
	}
	return p.Limits
}

// check refuses a limit of nothing.
func (l *Limits) check() *Refusal {
	for _, x := range []struct {
		name        string
		given, zero bool
	}{
		{"area-rate", !l.AreaRate.IsZero(), l.AreaRate.Value == 0},
		{"area-wipe", !l.AreaWipe.IsZero(), l.AreaWipe.Value == 0},
		{"hands-rate", !l.HandsRate.IsZero(), l.HandsRate.Value == 0},
		{"hands-wipe", !l.HandsWipe.IsZero(), l.HandsWipe.Value == 0},
		{"package-rate", !l.PackageRate.IsZero(), l.PackageRate.Value == 0},
		{"package-wipe", !l.PackageWipe.IsZero(), l.PackageWipe.Value == 0},
		{"finger", !l.Finger.IsZero(), l.Finger.Value == 0},
		{"body", !l.Body.IsZero(), l.Body.Value == 0},
	} {
		if x.given && x.zero {
			return atTop("policy.limits."+x.name, "out-of-range", "a limit of nothing lets nothing through", "leave it out for none, or write a number above 0")
		}
	}
	return nil
}

// judge puts what an entry measured beside the limit for it.
func judge[Q quantity.Kind](f *folder, s *step, what, setting string, value Q, limit quantity.Stated[Q]) {
	m := dispensing.Measured{Entry: s.entry, What: what, Setting: "limits." + setting, Shown: quantity.Show(value, 0).String()}
	if limit.Text != "" {
		m.Limit, m.Beyond = quantity.Show(limit.Value, 0).String(), value > limit.Value
	}
	f.out.Measured = append(f.out.Measured, m)
}

// judged compares a survey with the limits for its place.
func (v *Survey) judged(f *folder, s *step) {
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

// judged compares a staff dose with the limits for one entry.
func (e *Exposure) judged(f *folder, s *step) {
	l := f.policyOf(s).limits
	if !e.Finger.IsZero() {
		judge(f, s, "finger dose of "+e.Who, "finger", e.Finger.Value, l.Finger)
	}
	if !e.Body.IsZero() {
		judge(f, s, "body dose of "+e.Who, "body", e.Body.Value, l.Body)
	}
}
