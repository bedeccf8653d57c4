package hotlab

import (
	"cmp"
	"math"
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

// Parcel is a delivery, as it was ordered, as it came and as it was measured; what is
// not there yet is nil.
type Parcel struct {
	ID       string
	Ordered  *fact.ExpectParcel
	Arrived  *fact.Parcel
	Surveyed *fact.ParcelSurvey
	Opened   *fact.OpenParcel
	// Due is until when it is surveyed; zero where no rule or no working time says.
	Due time.Time
	// Index and Category are as measured.
	Index    float64
	Category protection.Category
	// Swab is what the wipe shows; nil without one.
	Swab *protection.Judged
	// Vials are those that were received out of it.
	Vials []string

	arrivedAt, surveyedAt, openedAt, receivedAt int
}

// parcels reads what was ordered, came, was measured and was opened.
func (r *reader) parcels() {
	idOf := func(p *Parcel) *string { return &p.ID }
	all := &r.out.Parcels
	each(r, r.Books.Entries, func(x *fact.ExpectParcel, n int) { put(all, x.Parcel, idOf).Ordered = x })
	each(r, r.Books.Entries, func(x *fact.Parcel, n int) {
		p := put(all, x.Parcel, idOf)
		if p.Arrived != nil {
			r.find(Finding{Code: ParcelTwice, Severity: dispensing.Warn, Page: Parcels, About: x.Parcel, Entry: n, Do: "Correct the id of one of the two."}, "Parcel %s arrived twice", x.Parcel)
		}
		p.Arrived, p.arrivedAt = x, n
	})
	each(r, r.Books.Entries, func(x *fact.ParcelSurvey, n int) {
		if p := put(all, x.Parcel, idOf); p.Surveyed == nil {
			p.Surveyed, p.surveyedAt = x, n
		}
	})
	each(r, r.Books.Entries, func(x *fact.OpenParcel, n int) {
		if p := put(all, x.Parcel, idOf); p.Opened == nil {
			p.Opened, p.openedAt = x, n
		}
	})
	each(r, r.groups, func(x *fact.Receive, n int) {
		if x.Parcel != "" {
			p := put(all, x.Parcel, idOf)
			p.Vials, p.receivedAt = append(p.Vials, x.Vial), n
			r.contents(p, x, n)
		}
	})
	for i := range *all {
		p, at := &(*all)[i], r.At
		if p.Arrived != nil {
			at = p.Arrived.At
		}
		r.heldOn(at, func() { r.parcel(p) })
	}
}

// calendar is when somebody is there, by the working time that held at an arrival; false
// where nobody entered one.
func (r *reader) calendar(at time.Time) (c protection.Calendar, set bool) {
	w, set := orFirst(fold.Versions[*fact.WorkingTime](r.Books.Entries, r.At), at)
	if !set {
		return c, false
	}
	c.Zone, c.Opens, c.Closes = r.Zone, wall(w.Opens), wall(w.Closes)
	for d := time.Sunday; d <= time.Saturday; d++ {
		if strings.Contains(w.Days, d.String()[:3]) {
			c.Days = append(c.Days, d)
		}
	}
	for _, e := range r.Books.Entries {
		if h, ok := e.Fact.(*fact.Holiday); ok && h.Supplier == "" {
			c.Holidays = append(c.Holidays, h.Day)
		}
	}
	return c, true
}

// wall is a clock time such as "08:00" as a time since midnight.
func wall(text string) time.Duration {
	t, _ := time.Parse("15:04", text) // the declaration lets no other text in
	return time.Duration(t.Hour())*time.Hour + time.Duration(t.Minute())*time.Minute
}

// parcel says what is wrong with one parcel.
func (r *reader) parcel(p *Parcel) {
	f := Finding{Severity: dispensing.Warn, Page: Parcels, About: p.ID, Entry: p.arrivedAt}
	if p.Opened != nil && (p.Surveyed == nil || p.Opened.At.Before(p.Surveyed.At)) {
		r.find(Finding{Code: ParcelOpenedEarly, Severity: dispensing.Stop, Page: Parcels, About: p.ID, Entry: p.openedAt, Do: "Survey place, hands and contents now, and write what was found."}, "Parcel %s was opened on %s before it was surveyed", p.ID, r.clock(p.Opened.At))
	}
	if p.Arrived == nil {
		r.notArrived(p)
		if p.Ordered != nil && p.Ordered.Due.Before(r.At) {
			f.Code, f.Do = ParcelOverdue, "Ask the supplier, or enter its arrival."
			r.find(f, "Parcel %s was due on %s and has not arrived", p.ID, r.clock(p.Ordered.Due))
		}
		return
	}
	r.ordered(p)
	a := p.Arrived
	r.papers(p)
	if a.Zone != "" {
		if z, err := r.Zones(a.Zone); err == nil && !quantity.OffsetMatchesZone(a.Reference, z) {
			f.Code, f.Do = ParcelZone, "Look at the label again: an hour is 1.1 %."
			r.find(f, "The reference time of parcel %s is written %s, which is no offset of %s on that day", p.ID, a.Reference.Format("15:04Z07:00"), a.Zone)
		}
	}
	r.surveyDue(p)
	r.surveyed(p)
	if n := len(p.Vials); p.Opened != nil && n != a.Vials && r.At.Sub(p.Opened.At) > receiveWithin && !a.At.Before(r.Since) {
		f.Code, f.Entry, f.Do = ParcelContents, p.openedAt, "Receive what is missing with the id of the parcel, or correct the number of vials: until then the inventory counts by it."
		r.find(f, "Parcel %s was opened on %s and has %s by its label, and %d of it were received", p.ID, r.clock(p.Opened.At), dispensing.Plural(a.Vials, "vial"), n)
	}
}

// receiveWithin is how long after the opening of a parcel its vials are received: a day
// (common practice, no source).
const receiveWithin = 24 * time.Hour

// notArrived says of a parcel whose arrival nobody entered what else was entered of it.
func (r *reader) notArrived(p *Parcel) {
	var says []string
	entry := 0
	if p.Surveyed != nil {
		says, entry = append(says, "was surveyed on "+r.clock(p.Surveyed.At)), p.surveyedAt
	}
	if p.Opened != nil {
		says, entry = append(says, "was opened on "+r.clock(p.Opened.At)), cmp.Or(entry, p.openedAt)
	}
	if len(p.Vials) > 0 {
		says, entry = append(says, "held "+strings.Join(p.Vials, ", ")), cmp.Or(entry, p.receivedAt)
	}
	if len(says) > 0 {
		r.find(Finding{Code: ParcelUnknown, Severity: dispensing.Warn, Page: Parcels, About: p.ID, Entry: entry, Do: "Enter its arrival as it is printed, or correct the id."}, "Parcel %s %s, and its arrival was never entered", p.ID, strings.Join(says, ", and "))
	}
}

// ordered holds what came against what was ordered.
func (r *reader) ordered(p *Parcel) {
	o, a := p.Ordered, p.Arrived
	if o == nil {
		return
	}
	var differ []string
	if o.Vials != a.Vials {
		differ = append(differ, show2(o.Vials, a.Vials, "vials"))
	}
	if o.Line != "" && a.Line != "" && o.Line != a.Line {
		differ = append(differ, "line of the licence "+o.Line+" ordered and "+a.Line+" entered")
	}
	if !alike(o.Labelled.Value, a.Labelled.Value) {
		differ = append(differ, o.Labelled.Text+" ordered and "+a.Labelled.Text+" printed")
	}
	if !o.Reference.Equal(a.Reference) {
		differ = append(differ, "reference time "+r.clock(o.Reference)+" ordered and "+r.clock(a.Reference)+" printed")
	}
	if len(differ) > 0 {
		r.find(Finding{Code: ParcelDiffers, Severity: dispensing.Warn, Page: Parcels, About: p.ID, Entry: p.arrivedAt, Do: "Ask the supplier, and plan with what is printed."}, "Parcel %s is not what was ordered: %s", p.ID, strings.Join(differ, "; "))
	}
}

// alike tells that two activities are the same but for the rounding of one of them in another
// unit to three digits.
func alike(a, b quantity.Activity) bool { return math.Abs(float64(a/b)-1) < 0.005 }

func show2(ordered, came int, what string) string {
	return itoa(ordered) + " " + what + " ordered and " + itoa(came) + " came"
}

// contents holds a vial against the label of its parcel.
func (r *reader) contents(p *Parcel, v *fact.Receive, n int) {
	a := p.Arrived
	if a == nil {
		return
	}
	if !v.Reference.Equal(a.Reference) || !alike(v.Labelled.Value, a.Labelled.Value) {
		r.find(Finding{Code: ParcelDiffers, Severity: dispensing.Warn, Page: Parcels, About: p.ID, Entry: n, Do: "Read vial and parcel again: one of the two labels was read wrongly."},
			"Vial %s is labelled %s at %s, and its parcel %s %s at %s", v.Vial, v.Labelled.Text, r.clock(v.Reference), p.ID, a.Labelled.Text, r.clock(a.Reference))
	}
}

// surveyDue runs the clock to the survey.
func (r *reader) surveyDue(p *Parcel) {
	within, ok := r.rule(rules.ReceiptSurvey)
	c, set := r.calendar(p.Arrived.At)
	if !ok || !set {
		return
	}
	due, ok := c.Due(p.Arrived.At, within.Span())
	if !ok {
		return
	}
	p.Due = due
	switch {
	case p.Surveyed == nil && r.At.After(due):
		r.find(Finding{Code: ParcelNotSurveyed, Severity: dispensing.Stop, Page: Parcels, About: p.ID, Entry: p.arrivedAt, Do: "Survey it now, before anybody opens it."},
			"Parcel %s arrived on %s and had to be surveyed by %s (%s, %s)", p.ID, r.clock(p.Arrived.At), r.clock(due), within.Figure, within.Source())
	case p.Surveyed != nil && p.Surveyed.At.After(due):
		r.find(Finding{Code: ParcelSurveyedLate, Severity: dispensing.Warn, Page: Parcels, About: p.ID, Entry: p.surveyedAt, Do: "Write why."},
			"Parcel %s was surveyed on %s and had to be by %s (%s, %s)", p.ID, r.clock(p.Surveyed.At), r.clock(due), within.Figure, within.Source())
	}
}

// surveyed holds what was measured against what is printed and against the limits.
func (r *reader) surveyed(p *Parcel) {
	s := p.Surveyed
	if s == nil {
		return
	}
	r.meter(s.Meter, s.At, Parcels, p.ID, p.surveyedAt)
	r.meter(s.Counter, s.At, Parcels, p.ID, p.surveyedAt)
	surface, metre := s.Surface.Value-s.Background.Value, s.Metre.Value-s.Background.Value
	p.Index = protection.TransportIndex(metre)
	p.Category = protection.CategoryOf(p.Index, surface)
	f := Finding{Severity: dispensing.Warn, Page: Parcels, About: p.ID, Entry: p.surveyedAt}
	printed := map[fact.Category]protection.Category{fact.WhiteI: protection.WhiteI, fact.YellowII: protection.YellowII, fact.YellowIII: protection.YellowIII}
	as, labelled := printed[p.Arrived.Category]
	higher := labelled && p.Category > as || p.Arrived.Index.Text != "" && p.Index > p.Arrived.Index.Value+1e-9 ||
		p.Arrived.Category == fact.Excepted && quantity.Beyond(surface, protection.Excepted)
	if higher {
		by := "49 CFR 172.403"
		if p.Arrived.Category == fact.Excepted {
			by += "; an excepted package reads up to " + show(protection.Excepted) + ", 49 CFR 173.421"
		}
		on := string(p.Arrived.Category)
		if labelled {
			on = as.String()
		}
		f.Code, f.Do = ParcelMislabelled, "Read it again in another geometry; then tell the sender and the carrier."
		r.find(f, "Parcel %s reads TI %.1f and %s at its surface, which is %s (%s), and is labelled %s with TI %s", p.ID, p.Index, show(surface), p.Category, by, on, cmp.Or(p.Arrived.Index.Text, "not printed"))
	}
	f.Severity, f.Code, f.Do = dispensing.Stop, ParcelAboveLimit, "Close it off. Telephone the final carrier and the authority now. "+r.call(fact.ParcelOverLimit)
	for _, x := range []struct {
		key  rules.Key
		what string
		read quantity.DoseRate
	}{{rules.PackageSurface, "at its surface", surface}, {rules.PackageMetre, "at 1 m", metre}} {
		if limit, ok := r.rule(x.key); ok && limit.Reached(float64(x.read)) {
			r.find(f, "Parcel %s reads %s %s, and %s is not allowed (%s)", p.ID, quantity.FormatDigits(x.read, 4, "mSv/h", quantity.DoseRate(limit.Number())), x.what, limit.Bound(), limit.Source())
		}
	}
	r.wiped(p, f)
}

// wiped judges the wipe of a parcel.
func (r *reader) wiped(p *Parcel, f Finding) {
	s := p.Surveyed
	if s.Swab == nil {
		f.Severity, f.Code, f.Do = dispensing.Warn, ParcelNotWiped, "Wipe it: a labelled package is monitored for contamination."
		r.find(f, "Parcel %s was not wiped", p.ID)
		return
	}
	limit, ok := r.rule(rules.PackageWipe)
	if !ok {
		return
	}
	m, gross, blank, err := r.wipe(s.Swab, s.Counter, s.At)
	var j protection.Judged
	if err == nil {
		j, err = protection.Judge(m, gross, blank, quantity.Contamination(limit.Number()))
	}
	if err != nil {
		f.Severity, f.Code, f.Do = dispensing.Warn, ParcelWipeBlind, "Count it again."
		r.find(f, "The wipe of parcel %s cannot be used: %v", p.ID, err)
		return
	}
	p.Swab = &j
	switch {
	case j.Detected && limit.Reached(float64(j.Surface)):
		r.find(f, "Parcel %s has %s of removable contamination, and %s is not allowed (%s)", p.ID, surface(j.Result), limit.Bound(), limit.Source())
	case j.State == protection.CannotSee:
		f.Severity, f.Code, f.Do = dispensing.Warn, ParcelWipeBlind, "Count wipe and blank longer, or wipe more."
		r.find(f, "The wipe of parcel %s cannot tell %s from nothing (%s): what it sees begins at %s; it has to be counted for %s", p.ID, limit.Figure, limit.Source(), show(j.Detectable), j.Counting())
	}
}

// The UN numbers of radioactive material: of excepted packages, and all others
// (ADR and 49 CFR 172.101, from memory). A vial of some GBq is UN2915, Type A.
var (
	unExcepted = []string{"2908", "2909", "2910", "2911"}
	unOther    = []string{"2912", "2913", "2915", "2916", "2917", "2919", "2977", "2978", "3321", "3322", "3323", "3324", "3325", "3326", "3327", "3328", "3329", "3330", "3331", "3332", "3333"}
)

// unSource says it beside what rests on them.
const unSource = "class 7 of ADR and 49 CFR 172.101 [from memory, not read for this program]"

// indexMost is the highest transport index of each category (49 CFR 172.403).
var indexMost = map[fact.Category]float64{fact.WhiteI: 0, fact.YellowII: 1, fact.YellowIII: 10}

// papers says what of a parcel does not fit together as it came: its papers, its condition,
// its UN number, and what may be in an excepted package.
func (r *reader) papers(p *Parcel) {
	a := p.Arrived
	f := Finding{Code: ParcelPapers, Severity: dispensing.Warn, Page: Parcels, About: p.ID, Entry: p.arrivedAt, Do: "Ask the sender before it is opened."}
	if a.Papers != fact.PapersAgree {
		r.find(f, "The papers of parcel %s %s", p.ID, map[fact.Papers]string{fact.PapersDiffer: "do not say what is on it", fact.PapersMissing: "are missing"}[a.Papers])
	}
	number := strings.TrimPrefix(strings.ToUpper(a.UN), "UN")
	excepted := slices.Contains(unExcepted, number)
	switch {
	case a.UN == "":
	case !excepted && !slices.Contains(unOther, number):
		r.find(f, "Parcel %s has the number %s, which is no UN number of radioactive material (%s)", p.ID, a.UN, unSource)
	case excepted && a.Category != fact.Excepted:
		r.find(f, "Parcel %s has the number %s, of an excepted package, and is labelled %s (%s)", p.ID, a.UN, a.Category, unSource)
	case !excepted && a.Category == fact.Excepted:
		r.find(f, "Parcel %s has the number %s, and is marked as an excepted package (%s)", p.ID, a.UN, unSource)
	}
	if most, labelled := indexMost[a.Category]; labelled && a.Index.Text != "" && a.Index.Value > most {
		r.find(f, "Parcel %s is labelled %s with TI %s, and that category goes from 0 to %g (49 CFR 172.403)", p.ID, a.Category, a.Index.Text, most)
	}
	holds := quantity.Activity(float64(a.Vials) * float64(a.Labelled.Value) * nuclide.Factor(r.Books.HalfLife, nuclide.Elapsed(a.Reference, a.At)))
	if a.Category == fact.Excepted && holds > protection.ExceptedLiquid {
		r.find(f, "Parcel %s is marked as an excepted package and held %s by its label when it came: an excepted package holds %s at most as a liquid (%s)", p.ID, show(holds), show(protection.ExceptedLiquid), protection.TransportSource)
	}
	if a.Condition != fact.Intact {
		f.Code, f.Do = ParcelDamaged, "Keep it apart, and measure dose rates and a wipe of all of it. "+r.call(fact.ParcelOverLimit)
		r.find(f, "Parcel %s came %s", p.ID, a.Condition)
	}
}
