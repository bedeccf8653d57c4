package event

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"

	"vialwright/dispensing"
	"vialwright/form"
	"vialwright/nuclide"
	"vialwright/quantity"
	"vialwright/rules"
)

// MaxBytes is the length an event file can have at most.
const MaxBytes = 1 << 16

// World is what a file names and does not hold: time zones, and profiles by the
// id of a shipped one or the path of a site's own.
type World struct {
	Zone    func(name string) (*time.Location, error)
	Profile func(name string) (rules.Profile, error)
}

// Read reads an event file; docs/events.md has its fields. The error is a
// *form.Error. The profile is taken as it is in force on the day the infusion
// began.
func Read(data []byte, w World) (Case, error) {
	f, err := form.Open(data, MaxBytes)
	if err != nil {
		return Case{}, err
	}
	c := Case{HalfLife: nuclide.Y90.HalfLife().Value}
	f.Word("event", form.Must, "1")
	c.Zone = f.ReadZone(w.Zone)
	f.Zone(c.Zone)
	readOrder(f, &c)
	readDelivered(f, &c)
	readEnd(f, &c)
	inOrder(f, c)
	if name := f.Text("profile", form.Must); name != "" {
		p, err := w.Profile(name)
		if err != nil {
			f.Fail("profile", "no-profile", err.Error(), "write us, us-nc, eu, uk, blank, or the path of a profile")
		}
		c.Rules = p.On(c.Start.In(c.Zone))
	}
	return c, f.Done()
}

func readOrder(f *form.Fields, c *Case) {
	c.ID, c.Version = f.Text("id", form.Must), f.Text("version", form.Must)
	c.Identifiers = f.Texts("patient", form.Must)
	for _, id := range c.Identifiers {
		if !strings.ContainsFunc(id, func(r rune) bool { return unicode.IsLetter(r) || unicode.IsNumber(r) }) {
			f.Fail("patient", "identifier-empty", strconv.Quote(id)+" has no letter and no digit", "write each identifier in full, as on the label")
		}
	}
	c.Prescribed = prescribed(f, "prescribed")
	c.Least, c.Most = prescribed(f, "prescribed-least"), prescribed(f, "prescribed-most")
	if !c.Prescribed.IsZero() && !(c.Least.IsZero() && c.Most.IsZero()) {
		f.Fail("prescribed", "two-orders", "an activity and a range are prescribed", "keep what the order says")
	}
	if !c.Most.IsZero() && c.Least.Value > c.Most.Value {
		f.Fail("prescribed-most", "range-backwards", "no activity is at least "+c.Least.Text+" and at most "+c.Most.Text, "check both numbers and their units: are the two the wrong way round?")
	}
	c.OrStasis = f.YesNo("or-at-stasis", form.May)
	c.Territory, c.Treated = f.Text("territory", form.May), f.Text("treated", form.May)
	c.Signed, c.Released, c.Revised = f.Time("signed", form.Must), f.Time("released", form.May), f.Time("revised", form.May)
}

// activity reads an activity. A percentage is refused by its own words.
func activity(f *form.Fields, key string) quantity.Stated[quantity.Activity] {
	if f.Percent(key) {
		f.Fail(key, "percent-typed", "a percentage is reckoned here and never entered", "write the activity, with its unit")
	}
	return form.Amount[quantity.Activity](f, key, form.May)
}

// prescribed reads an activity that an order says, which is never nothing.
func prescribed(f *form.Fields, key string) quantity.Stated[quantity.Activity] {
	a := activity(f, key)
	if !a.IsZero() && a.Value <= 0 {
		f.Fail(key, "nothing-prescribed", a.Text+" is no dose to be given", "check the number and its unit, or leave it out where the order does not say it")
	}
	return a
}

// relative reads a relative standard uncertainty that is below the most, as a share.
func relative(f *form.Fields, key string, need form.Need, most float64) quantity.Fraction {
	u := form.Amount[quantity.Fraction](f, key, need)
	switch {
	case u.Value < 0:
		f.Fail(key, "out-of-range", u.Text+" is below 0 %", "check the number")
	case float64(u.Value) >= most:
		f.Fail(key, "out-of-range", fmt.Sprintf("%s is not below %g %%", u.Text, 100*most), "check the number")
	}
	return u.Value
}

// known reads an activity with its relative standard uncertainty, in NAME-u.
func known(f *form.Fields, key string, most float64) *Known {
	a := activity(f, key)
	u := relative(f, key+"-u", form.Need(!a.IsZero()), most)
	if a.IsZero() {
		return nil
	}
	return &Known{a.Value, a.Value * quantity.Activity(u)}
}

func readDelivered(f *form.Fields, c *Case) {
	// What is hardly more than nothing may be uncertain by more than itself, and a dose may not.
	c.Dispensed, c.Delivered, c.Parts = known(f, "dispensed", 1), known(f, "delivered", math.Inf(1)), known(f, "parts", math.Inf(1))
	if c.Dispensed != nil && c.Dispensed.Activity <= 0 {
		f.Fail("dispensed", "nothing-dispensed", "nothing was dispensed, and an infusion gives what was", "check the number and its unit")
	}
	c.Read = f.Texts("parts-read", form.Need(c.Parts != nil))
	for _, p := range c.Read {
		if !slices.Contains(Parts, p) {
			f.Fail("parts-read", "no-part", strconv.Quote(p)+" is no part", "write those that were read of "+strings.Join(Parts, ", "))
		}
	}
	if c.Parts != nil && c.Dispensed == nil {
		f.Fail("parts", "no-dispensed", "the residual says what was delivered only beside what was dispensed", "write dispensed and dispensed-u")
	}
	g := f.Group("jar", form.May)
	if g == nil {
		return
	}
	if c.Dispensed == nil {
		f.Fail("jar", "no-dispensed", "a jar says what was delivered only beside what was dispensed", "write dispensed and dispensed-u")
	}
	before, after := reading(g, "before"), reading(g, "after")
	if before.Family != after.Family {
		g.Fail("after", "two-units", "before is in "+before.Family+" and after in "+after.Family, "read both with one meter, in one unit")
	}
	c.Jar = &Jar{before, after, relative(g, "geometry-u", form.Must, 1)}
}

// reading reads a dose rate of the jar with its background and time, each of
// which a residual needs. The unit cancels.
func reading(g *form.Fields, key string) (r dispensing.DoseReading) {
	x := g.Group(key, form.Must)
	if x == nil {
		return r
	}
	m, b := form.Amount[quantity.MeterRate](x, "rate", form.Must), form.Amount[quantity.MeterRate](x, "background", form.Must)
	if quantity.Family(b) != quantity.Family(m) {
		x.Fail("background", "two-units", "the rate is in "+quantity.Family(m)+" and its background in "+quantity.Family(b), "write both in one unit")
	}
	return dispensing.Rates(x.Time("at", form.Must), []quantity.Stated[quantity.MeterRate]{m}, b)
}

func readEnd(f *form.Fields, c *Case) {
	c.Start, c.End = f.Time("start", form.Must), f.Time("end", form.May)
	c.LeftRecovery, c.Discovered = f.Time("left-recovery", form.May), f.Time("discovered", form.May)
	c.Completed = f.Time("completed", form.May)
	c.RightPatient, c.RightRoute = f.YesNo("patient-as-ordered", form.May), f.YesNo("route-as-ordered", form.May)
	c.PathFree = f.YesNo("path-free", form.May)
	c.Contamination = f.Text("contamination", form.May)
	c.ContactRate = form.Amount[quantity.MeterRate](f, "contact-rate", form.May)
	if _, known := dispensing.PerGBqAtContact[quantity.Family(c.ContactRate)]; !known {
		f.Fail("contact-rate", "count-rate", "a count rate is no dose rate", "write it as a meter of dose rate shows it, such as 17 uSv/h")
	}
	c.TreatedMass = form.Amount[quantity.Mass](f, "treated-mass", form.May)
	words := make([]string, len(Reasons))
	for i, r := range Reasons {
		words[i] = string(r)
	}
	c.Reason = given(f, words, form.May)
	if g := f.Group("reason-later", form.May); g != nil {
		c.Later = given(g, words, form.Must)
		c.Later.At = g.Time("at", form.Must)
	}
}

// inOrder refuses times that cannot follow one another as they are written.
func inOrder(f *form.Fields, c Case) {
	late := func(key, what string) {
		f.Fail(key, "times-out-of-order", what, "check day, hour and zone of each time")
	}
	for _, x := range []struct {
		key, what string
		at        time.Time
	}{
		{"end", "the infusion ended before it began", c.End},
		{"discovered", "it was discovered before the infusion began", c.Discovered},
		{"left-recovery", "the patient left recovery before the infusion began", c.LeftRecovery},
		{"revised", "the order was revised before the infusion began, and so not for what came up in it", c.Revised},
		{"completed", "the order was completed before the infusion began", c.Completed},
	} {
		if !x.at.IsZero() && x.at.Before(c.Start) {
			late(x.key, x.what)
		}
	}
	switch {
	case c.Later != nil && c.Later.At.Before(c.Start):
		late("reason-later", "the later reason was given before the infusion began")
	case c.Jar != nil && c.Jar.Before.At.After(c.Start):
		late("jar", "the jar was read before the infusion at a time after its start")
	case c.Jar != nil && c.Jar.After.At.Before(c.Start):
		late("jar", "the jar was read after the infusion at a time before its start")
	}
}

func given(f *form.Fields, words []string, need form.Need) *Given {
	g := Given{Reason: Reason(f.Word("reason", need, words...)), Evidence: f.Text("evidence", form.May), Text: f.Text("text", form.May)}
	if g.Reason == "" && need == form.May {
		return nil
	}
	return &g
}
