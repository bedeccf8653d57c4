package hotlab

import (
	"maps"
	"slices"
	"strings"
	"time"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/fold"
	"vialwright/nuclide"
	"vialwright/protection"
	"vialwright/quantity"
	"vialwright/rules"
)

// Person is what is known of the doses of a person.
type Person struct {
	ID string
	// Year are the doses of the calendar year of the instant, by where the dosemeter is
	// worn; of a ring and of a fingertip that of the hand that got more.
	Year map[fact.Worn]quantity.DoseEquivalent
	// Ratio is fingertip over ring as it holds now; 0 where nobody entered one.
	Ratio float64
	// RingAlone is the dose of the rings in the periods of the year that no fingertip
	// dosemeter of the hand was worn for the whole of, tip that of the fingertips of the hand
	// that got more, with those periods by the ratio that held when each ring was worn.
	RingAlone, tip quantity.DoseEquivalent
	// Skin is the dose of contaminations of the year.
	Skin quantity.DoseEquivalent
	// Pregnant is since when a declared pregnancy lasts; zero for none.
	Pregnant time.Time
	Training []fact.Training
}

// Fingertip is the dose of the fingertips of the year: what was measured there, and for
// the periods without such a dosemeter that of the rings by the ratio of the person. Where
// a ring was worn for longer than one fingertip dosemeter, both count: rather too much than
// too little. False where neither is known.
func (p Person) Fingertip() (quantity.DoseEquivalent, bool) {
	_, measured := p.Year[fact.WornTip]
	return p.tip, measured || p.Ratio > 0
}

// Dose says a dose in mSv, as all doses of persons are said.
func Dose(d quantity.DoseEquivalent, limits ...quantity.DoseEquivalent) string {
	return quantity.FormatDigits(d, 4, "mSv", limits...)
}

// Skin is one contamination of a person.
type Skin struct {
	Event, Who, Part string
	Readings         []fact.Contaminated
	// Dose is that of the skin until it ended, or until the instant; Low and High bracket
	// it by our own transport calculations.
	Dose, Low, High quantity.DoseEquivalent
	Ended           bool
	Average         quantity.Area

	entry int
}

// persons reads the doses, contaminations and trainings of persons.
func (r *reader) persons() {
	r.doses()
	r.skin()
	all := &r.out.Persons
	for _, x := range fold.Versions[*fact.Pregnancy](r.Books.Entries, r.At) {
		p := r.person(x.Fact.Who)
		p.Pregnant = time.Time{}
		if x.Fact.Ended.IsZero() || x.Fact.Ended.After(r.At) {
			p.Pregnant = x.Fact.At
		}
	}
	trained := TrainingsOf(r.Books.Entries)
	for who := range trained {
		if all := trained.Of(who, r.At); len(all) > 0 {
			r.person(who).Training = all
		}
	}
	slices.SortFunc(*all, func(a, b Person) int { return strings.Compare(a.ID, b.ID) })
	for _, p := range *all {
		r.limits(p)
		r.fetus(p)
	}
	r.lastYear()
	r.against()
	r.worn()
	r.lapsed(trained)
}

func (r *reader) person(id string) *Person {
	p := put(&r.out.Persons, id, func(p *Person) *string { return &p.ID })
	if p.Year == nil {
		p.Year = map[fact.Worn]quantity.DoseEquivalent{}
	}
	return p
}

// lastYear finds the limits that were passed in the year before, which may come to light, or be
// settled, when it is over.
func (r *reader) lastYear() {
	before := reader{World: r.World, year: r.year - 1}
	before.heldOn(time.Date(before.year, 12, 31, 0, 0, 0, 0, r.Zone), func() {
		before.doses()
		before.skin()
		for _, p := range before.out.Persons {
			before.limits(p)
		}
	})
	for _, k := range before.missing {
		r.missing = append(r.missing, k+" in "+itoa(before.year))
	}
	for _, f := range before.out.Findings {
		if f.Code == DoseOverLimit {
			r.out.Findings = append(r.out.Findings, f)
		}
	}
}

// against is what the doses of the year are held against.
func (r *reader) against() {
	r.out.Limits, r.out.Levels = map[fact.Worn]rules.Value{}, map[fact.Worn]quantity.Stated[quantity.DoseEquivalent]{}
	for worn, key := range map[fact.Worn]rules.Key{
		fact.WornBody: rules.EffectiveLimit, fact.WornRing: rules.SkinLimit, fact.WornTip: rules.SkinLimit, fact.WornLens: rules.LensLimit, fact.WornFetus: rules.FetusLimit,
	} {
		if v, ok, _ := r.rules.Get(key); ok {
			r.out.Limits[worn] = v
		}
		if l := r.level(worn, r.At, func(l *fact.InvestigationLevel) dose { return l.Year }); !l.IsZero() {
			r.out.Levels[worn] = l
		}
	}
}

// sayYear is the year of the doses in words.
func (r *reader) sayYear() string {
	if r.year < r.At.In(r.Zone).Year() {
		return "in " + itoa(r.year)
	}
	return "this year"
}

// month is such as "2027-03", in the zone of the site, of the last moment of a period.
func (r *reader) month(to time.Time) string { return to.Add(-time.Second).In(r.Zone).Format("2006-01") }

// ratiosInPrint are those of fingertip over ring that are in print.
const ratiosInPrint = "published ratios lie between 1.4 and 7 (Kollaard et al., J. Radiol. Prot. 41 (2021) R60)"

// onHand tells of what is worn on a hand. The limit of an extremity is that of each one, not of
// both hands together: "the skin of any extremity" (10 CFR 20.1201(a)(2); the wording from
// memory).
func onHand(worn fact.Worn) bool { return worn == fact.WornRing || worn == fact.WornTip }

// sameHand tells that two dosemeters may be of one hand.
func sameHand(a, b fact.Hand) bool { return a == b || a == "" || b == "" }

// summed is what is summed of a person: the dose of a dosemeter, on one hand where it is worn
// on one, in a month, or in the year without one.
type summed struct {
	who   string
	worn  fact.Worn
	hand  fact.Hand
	month string
}

// doses sums the reports, and finds those of nobody and of months above a level.
func (r *reader) doses() {
	year, sums, last := itoa(r.year), map[summed]quantity.DoseEquivalent{}, map[summed]fold.Version[*fact.DoseReport]{}
	reports := fold.Versions[*fact.DoseReport](r.Books.Entries, r.At)
	for _, x := range reports {
		d := x.Fact
		if r.People != nil && !slices.Contains(r.People, d.Who) {
			r.find(Finding{Code: DoseOfNobody, Severity: dispensing.Warn, Page: Persons, About: d.Who, Entry: x.Entry, Do: "Find out whose it is, and correct the id."}, "Dosemeter %s shows %s of %s, who is nobody here", d.Dosemeter, d.Dose.Text, d.Who)
		}
		month := r.month(d.To)
		last[summed{who: d.Who, worn: d.Worn, month: month}] = x
		for _, hand := range fact.Hands {
			if !sameHand(d.Hand, hand) {
				continue
			}
			sums[summed{d.Who, d.Worn, hand, month}] += d.Dose.Value
			if strings.HasPrefix(month, year) {
				sums[summed{d.Who, d.Worn, hand, ""}] += d.Dose.Value
			}
		}
		if p := r.person(d.Who); strings.HasPrefix(month, year) {
			p.Year[d.Worn] += 0 // a report of nothing is one
		}
	}
	most := func(k summed) quantity.DoseEquivalent {
		left, right := k, k
		left.hand, right.hand = fact.LeftHand, fact.RightHand
		return max(sums[left], sums[right])
	}
	for _, p := range r.out.Persons {
		for worn := range p.Year {
			p.Year[worn] = most(summed{who: p.ID, worn: worn})
		}
	}
	r.tips(reports, year)
	for k, x := range last {
		sum := most(k)
		if l := r.level(k.worn, x.Fact.To.Add(-time.Second), func(l *fact.InvestigationLevel) dose { return l.Month }); above(sum, l) {
			r.find(Finding{Code: DoseInvestigate, Severity: dispensing.Warn, Page: Persons, About: k.who, Entry: x.Entry, Private: k.worn == fact.WornFetus, Do: "Find out why, and write it."},
				"%s has %s by %s dosemeter in %s, and the site looks into more than %s in a month", k.who, Dose(sum, l.Value), k.worn, r.sayMonth(x.Fact.To.Add(-time.Second)), l.Text)
		}
	}
}

// tips works out the fingertips of each person, of the hand that got more.
func (r *reader) tips(reports []fold.Version[*fact.DoseReport], year string) {
	type hand struct{ tip, alone quantity.DoseEquivalent }
	ratios, all := r.ratios(), map[string]map[fact.Hand]hand{}
	for _, x := range reports {
		d := x.Fact
		for _, of := range fact.Hands {
			if !sameHand(d.Hand, of) || !strings.HasPrefix(r.month(d.To), year) {
				continue
			}
			if all[d.Who] == nil {
				all[d.Who] = map[fact.Hand]hand{}
			}
			h := all[d.Who][of]
			switch {
			case d.Worn == fact.WornTip:
				h.tip += d.Dose.Value
			case d.Worn == fact.WornRing && !withTip(reports, d, of):
				h.alone += d.Dose.Value
				if ratio, ok := orFirst(ratios[d.Who], d.From); ok {
					h.tip += quantity.DoseEquivalent(ratio.Ratio.Value) * d.Dose.Value
				}
			}
			all[d.Who][of] = h
		}
	}
	for who, hands := range all {
		p, left, right := r.person(who), hands[fact.LeftHand], hands[fact.RightHand]
		p.RingAlone, p.tip = max(left.alone, right.alone), max(left.tip, right.tip)
	}
}

// ratios are the fingertip ratios of each person, oldest first.
func (r *reader) ratios() map[string][]fold.Version[*fact.FingerRatio] {
	out := map[string][]fold.Version[*fact.FingerRatio]{}
	for _, x := range fold.Versions[*fact.FingerRatio](r.Books.Entries, r.At) {
		out[x.Fact.Who] = append(out[x.Fact.Who], x)
		r.person(x.Fact.Who).Ratio = x.Fact.Ratio.Value
	}
	return out
}

// level is above which dose of a month or of a year, as limit picks it, the site looked into
// a dosemeter at a time; absent for none. What sets the other alone leaves it as it was.
func (r *reader) level(worn fact.Worn, at time.Time, limit func(*fact.InvestigationLevel) dose) dose {
	all := slices.DeleteFunc(fold.Versions[*fact.InvestigationLevel](r.Books.Entries, r.At), func(l fold.Version[*fact.InvestigationLevel]) bool {
		return l.Fact.Worn != worn || limit(l.Fact).IsZero()
	})
	if l, ok := fold.InForce(all, at); ok {
		return limit(l)
	}
	return dose{}
}

// on is where a dosemeter is worn in words.
func on(worn fact.Worn, hand fact.Hand) string {
	if hand == "" {
		return string(worn)
	}
	return string(hand) + " " + string(worn)
}

type dose = quantity.Stated[quantity.DoseEquivalent]

// above tells that a dose is more than a level; one that is not set is none.
func above(d quantity.DoseEquivalent, level dose) bool {
	return !level.IsZero() && quantity.Beyond(d, level.Value)
}

// withTip tells that a fingertip dosemeter of a hand was worn for the whole period of a ring.
func withTip(reports []fold.Version[*fact.DoseReport], ring *fact.DoseReport, hand fact.Hand) bool {
	return slices.ContainsFunc(reports, func(x fold.Version[*fact.DoseReport]) bool {
		return x.Fact.Who == ring.Who && x.Fact.Worn == fact.WornTip && sameHand(x.Fact.Hand, hand) && !x.Fact.From.After(ring.From) && !x.Fact.To.Before(ring.To)
	})
}

// limits holds the year of a person against the limits and the levels of the site.
func (r *reader) limits(p Person) {
	f := Finding{Page: Persons, About: p.ID}
	tip, known := p.Fingertip()
	if _, ring := p.Year[fact.WornRing]; ring && p.Ratio == 0 && (!known || p.RingAlone > 0) {
		f.Severity, f.Code, f.Do = dispensing.Note, FingerRatioMissing, "Measure it once with fingertip dosemeters: "+ratiosInPrint+"."
		r.find(f, "%s wears a ring, and no ratio of fingertip to ring is entered: the fingertips are not held against the limit for the time without a fingertip dosemeter", p.ID)
	}
	for _, x := range []struct {
		what string
		dose quantity.DoseEquivalent
		key  rules.Key
	}{
		{"whole body", p.Year[fact.WornBody], rules.EffectiveLimit},
		{"fingertips", tip, rules.SkinLimit},
		{"ring", p.Year[fact.WornRing], rules.SkinLimit},
		{"skin by contamination", p.Skin, rules.SkinLimit},
		{"lens of the eye", p.Year[fact.WornLens], rules.LensLimit},
	} {
		if x.dose == 0 {
			continue
		}
		if limit, ok := r.rule(x.key); ok && limit.Reached(float64(x.dose)) {
			f.Severity, f.Code, f.Do = dispensing.Stop, DoseOverLimit, "The person does no such work until the person who answers for radiation protection has decided."
			r.find(f, "%s has %s %s, %s, and %s is not allowed (%s)", p.ID, Dose(x.dose, quantity.DoseEquivalent(limit.Number())), r.sayYear(), x.what, limit.Bound(), limit.Source())
		}
	}
	year := maps.Clone(p.Year)
	if tip > 0 {
		year[fact.WornTip] = tip
	}
	for _, worn := range slices.Sorted(maps.Keys(year)) {
		if l := r.level(worn, r.At, func(l *fact.InvestigationLevel) dose { return l.Year }); above(year[worn], l) {
			by := "by " + string(worn) + " dosemeter"
			if year[worn] != p.Year[worn] {
				by = "at the fingertips, by the ratio of the person"
			}
			f.Severity, f.Code, f.Do, f.Private = dispensing.Warn, DoseInvestigate, "Find out why, and write it.", worn == fact.WornFetus
			r.find(f, "%s has %s this year %s, and the site looks into more than %s", p.ID, Dose(year[worn], l.Value), by, l.Text)
		}
	}
}

// fetus holds what was received since a declaration against the limit of an unborn child.
func (r *reader) fetus(p Person) {
	if p.Pregnant.IsZero() {
		return
	}
	var dose quantity.DoseEquivalent
	reports := slices.DeleteFunc(fold.Versions[*fact.DoseReport](r.Books.Entries, r.At), func(x fold.Version[*fact.DoseReport]) bool { return x.Fact.Who != p.ID || !x.Fact.To.After(p.Pregnant) })
	slices.SortStableFunc(reports, func(a, b fold.Version[*fact.DoseReport]) int { return a.Fact.From.Compare(b.Fact.From) })
	for _, x := range reports {
		if x.Fact.Worn == fact.WornFetus || x.Fact.Worn == fact.WornBody && !ownFor(reports, quantity.Later(x.Fact.From, p.Pregnant), x.Fact.To) {
			dose += x.Fact.Dose.Value
		}
	}
	if limit, ok := r.rule(rules.FetusLimit); ok && limit.Reached(float64(dose)) {
		r.find(Finding{Code: FetusDose, Severity: dispensing.Stop, Page: Persons, Private: true, About: p.ID, Do: "The person does no work with sources until the person who answers for radiation protection has decided."},
			"%s has received %s since the declaration, and %s is not allowed (%s)", p.ID, Dose(dose, quantity.DoseEquivalent(limit.Number())), limit.Bound(), limit.Source())
	}
}

// ownFor tells that a dosemeter for an unborn child, which then counts instead of that of the
// body, was worn for a whole time; the reports are in the order in which they begin.
func ownFor(reports []fold.Version[*fact.DoseReport], from, to time.Time) bool {
	for _, x := range reports {
		if x.Fact.Worn == fact.WornFetus && !x.Fact.From.After(from) {
			from = quantity.Later(from, x.Fact.To)
		}
	}
	return !from.Before(to)
}

// reportWithin is how long after the end of a month a report may take (common practice, no
// source).
const reportWithin = 45 * 24 * time.Hour

// worn asks for a report of each dosemeter and month.
func (r *reader) worn() {
	reports := fold.Versions[*fact.DoseReport](r.Books.Entries, r.At)
	for _, w := range fold.Versions[*fact.Wears](r.Books.Entries, r.At) {
		local := w.Fact.From.In(r.Zone)
		begin := time.Date(local.Year(), local.Month(), 1, 0, 0, 0, 0, r.Zone)
		for ; ; begin = begin.AddDate(0, 1, 0) {
			end := begin.AddDate(0, 1, 0)
			if end.Add(reportWithin).After(r.At) || !w.Fact.Until.IsZero() && end.After(w.Fact.Until) {
				break
			}
			there := slices.ContainsFunc(reports, func(x fold.Version[*fact.DoseReport]) bool {
				return x.Fact.Who == w.Fact.Who && x.Fact.Worn == w.Fact.Worn && sameHand(x.Fact.Hand, w.Fact.Hand) && x.Fact.From.Before(end) && x.Fact.To.After(begin)
			})
			if !there {
				r.find(Finding{Code: DosemeterMissing, Severity: dispensing.Warn, Page: Persons, About: w.Fact.Who, Entry: w.Entry, Private: w.Fact.Worn == fact.WornFetus, Do: "Ask the person and the service; where it is lost, enter an estimate and say so."},
					"No report of the %s dosemeter of %s for %s", on(w.Fact.Worn, w.Fact.Hand), w.Fact.Who, r.sayMonth(begin))
			}
		}
	}
}

// skin works out the dose of each contamination.
func (r *reader) skin() {
	all := &r.out.Skin
	for _, x := range fold.Versions[*fact.Contaminated](r.Books.Entries, r.At) {
		i := slices.IndexFunc(*all, func(s Skin) bool { return s.Event == x.Fact.Event && s.Who == x.Fact.Who })
		if i < 0 {
			i = len(*all)
			*all = append(*all, Skin{Event: x.Fact.Event, Who: x.Fact.Who})
		}
		s := &(*all)[i]
		s.Part, s.entry = x.Fact.Part, x.Entry
		s.Readings = append(s.Readings, *x.Fact)
		s.Ended = x.Fact.Ended == fact.Says
	}
	for i := range *all {
		r.heldOn((*all)[i].Readings[0].At, func() { r.skinOf(&(*all)[i]) })
	}
}

// openWithin is how long a spill or a contamination may go on until it is asked for (common
// practice, no source).
const openWithin = time.Hour

// skinOf works out one contamination, averaged over the area of the rule.
func (r *reader) skinOf(s *Skin) {
	s.Average = 1
	if v, ok := r.rule(rules.SkinArea); ok {
		s.Average = quantity.Area(v.Number())
	}
	var on []protection.OnSkin
	for i, x := range s.Readings {
		at, level := x.At, x.Level.Value
		if i == 0 && !x.Since.IsZero() && x.Since.Before(at) { // it was more then
			at, level = x.Since, level/quantity.Contamination(nuclide.Factor(r.Books.HalfLife, nuclide.Elapsed(x.Since, at)))
		}
		on = append(on, protection.OnSkin{At: at, Level: level, Area: x.Area.Value})
	}
	until, last := r.At, on[len(on)-1]
	if s.Ended {
		until = last.At
	}
	s.Dose = protection.SkinDose(on, until, s.Average, r.Books.HalfLife)
	if s.Ended { // what is left stays until it has decayed
		s.Dose += protection.SkinCommitted(last, s.Average, r.Books.HalfLife)
	}
	s.Low, s.High = s.Dose*quantity.DoseEquivalent(protection.SkinLow/protection.SkinRate), s.Dose*quantity.DoseEquivalent(protection.SkinHigh/protection.SkinRate)
	if s.Readings[0].At.In(r.Zone).Year() == r.year {
		r.person(s.Who).Skin += s.Dose
	}
	f := Finding{Page: Persons, About: s.Who, Entry: s.entry}
	if !s.Ended && r.At.Sub(last.At) > openWithin {
		f.Severity, f.Code, f.Do = dispensing.Warn, SkinOpen, "Wash, read again, and enter the last reading: the dose goes on."
		r.find(f, "The contamination of %s (%s) has no last reading", s.Who, s.Part)
	}
	if limit, ok := r.rule(rules.SkinLimit); ok && float64(s.Dose) >= 0.1*limit.Number() {
		f.Severity, f.Code, f.Do = dispensing.Warn, SkinDoseHigh, "Have the dose estimated by a physicist, and add it to the record of the person."
		r.find(f, "The contamination of %s (%s) gives %s to the skin, averaged over %s, by %s, between %s and %s by our own transport calculations: a tenth or more of the limit of %s (%s)", s.Who, s.Part, Dose(s.Dose), show(s.Average), protection.SkinSource, Dose(s.Low), Dose(s.High), limit.Figure, limit.Source())
	}
}
