package main

import (
	"fmt"
	"slices"
	"time"

	"vialwright/fact"
	"vialwright/inventory"
	"vialwright/journal"
	"vialwright/quantity"
	"vialwright/web/books"
)

// inventoryCmd says what activity is where on the site.
type inventoryCmd struct {
	Journal   string `required:"" placeholder:"JOURNAL" help:"The journal, a PATH or postgres://..."`
	At        string `placeholder:"TIME" help:"The instant, past or future; now where it is left out."`
	Until     string `placeholder:"TIME" help:"Say also when, from then until this time, most is held."`
	Order     string `placeholder:"N x ACTIVITY" help:"As if this were ordered too, such as '2 x 3.0 GBq'."`
	Reference string `placeholder:"TIME" help:"The reference time of that order, with its offset."`
	Due       string `placeholder:"TIME" help:"When it would arrive."`
	JSON      bool   `name:"json" help:"Print the answer as JSON, numbers unrounded."`
}

func (inventoryCmd) Help() string {
	return `Says what activity is held, by the lines of the licence, what is in patients, and what left, at any instant: from the entries of the journal, reckoned as the bench does.

  vialwright inventory --journal lab.vialwright --at 2027-03-11T17:00
  vialwright inventory --journal lab.vialwright --order '2 x 3.0 GBq' --reference 2027-03-13T18:00+01:00 --due 2027-03-11T17:00

A time without an offset is in the zone of the site, but for a reference time, which is refused without. Exit status 1: a line of the licence is exceeded.

` + whereHelp
}

func (c *inventoryCmd) Run(e *edge) error {
	lab, zone, end, err := siteAt(c.Journal)
	if err != nil {
		return err
	}
	defer end()
	b, err := books.Inventory(lab, time.Time{}, loadZone)
	if err != nil {
		return journalError(c.Journal, err)
	}
	return c.answer(e, b, zone)
}

// zoneOf is the zone of a site, which is in its first record.
func zoneOf(records []journal.Record) (*time.Location, error) {
	for _, r := range records {
		if site, ok := r.Fact.(*fact.Site); ok {
			return loadZone(site.Zone)
		}
	}
	return nil, fmt.Errorf("the first record says no zone")
}

func (c *inventoryCmd) answer(e *edge, b inventory.Books, zone *time.Location) error {
	at, err := momentOf("--at", c.At, zone, e.now().In(zone))
	if err != nil {
		return err
	}
	until, err := momentOf("--until", c.Until, zone, time.Time{})
	if err != nil {
		return err
	}
	if c.Order != "" {
		order, err := c.ordered(zone)
		if err != nil {
			return err
		}
		b = b.With(order)
		if c.At == "" {
			at = order.Due
		}
	}
	if c.Until != "" && until.Before(at) {
		return usageError("--until %s lies before the inventory of %s; name a later time", c.Until, quantity.FormatTime(at, zone))
	}
	fitted, all := inventory.Fit(b, at), []inventory.Inventory{}
	for _, t := range inventory.Moments(b, at, until) {
		all = append(all, fitted.At(t))
	}
	found := inventoryOf(all[0], zone)
	if c.Until != "" {
		most := inventory.Most(all)
		found = append(found, member{"most", object{{"at", quantity.FormatTime(most.At, zone)}, {"lines", inventoryLines(most)}}})
	}
	over := slices.ContainsFunc(all, func(v inventory.Inventory) bool {
		return slices.ContainsFunc(v.Lines, func(l inventory.Line) bool { return l.Over })
	})
	return e.answer(c.JSON, found, zone, func(p *page) { c.write(p, all) }, over)
}

// ordered is the delivery that might be ordered.
func (c *inventoryCmd) ordered(zone *time.Location) (*fact.ExpectParcel, error) {
	var n int
	var number, unit string
	if _, err := fmt.Sscanf(c.Order, "%d x %s %s", &n, &number, &unit); err != nil || n < 1 {
		return nil, usageError("--order: %q is no order; write it like '2 x 3.0 GBq'", c.Order)
	}
	labelled, err := quantity.Parse[quantity.Activity](number + " " + unit)
	if err != nil {
		return nil, flagError("--order", err)
	}
	if c.Reference == "" || c.Due == "" {
		return nil, usageError("--order needs --reference, with its offset, and --due")
	}
	x := &fact.ExpectParcel{Parcel: "this order", Vials: n, Labelled: labelled}
	if x.Reference, err = momentOf("--reference", c.Reference, nil, time.Time{}); err != nil {
		return nil, err
	}
	x.Due, err = momentOf("--due", c.Due, zone, time.Time{})
	return x, err
}

// limit is what a line allows, in words.
func limit(l inventory.Line) string {
	switch {
	case l.ID == "":
		return "of no line of the licence"
	case l.Most.IsZero():
		return "no limit is entered"
	case l.Over:
		return "MORE THAN THE " + l.Most.Text + " ALLOWED"
	}
	return "of " + l.Most.Text
}

// named is what a line is of.
func named(l inventory.Line) string {
	if l.ID == "" {
		return ""
	}
	return "; " + l.Nuclide + ", " + l.Form
}

func (c *inventoryCmd) write(p *page, all []inventory.Inventory) {
	v := all[0]
	p.line("INVENTORY of %s, at %s", shown(c.Journal), p.time(v.At))
	p.section("HELD, by line of the licence")
	for _, l := range v.Lines {
		p.row(l.ID, "%s, %s%s", quantity.Both(l.Held, l.U), limit(l), named(l))
	}
	if len(v.Lines) == 0 {
		p.row("", "Nothing, and no line of the licence is entered.")
	}
	p.section("ITEM BY ITEM")
	for _, i := range v.Items {
		p.row(i.ID, "%s, %s, by %s", v.Place(i), quantity.Both(i.Activity, i.U), i.Known)
	}
	p.section("IT CLOSES, at that time and in becquerels")
	given := v.Total(func(w inventory.Where) bool { return w == inventory.InPatient })
	held := v.Total(func(w inventory.Where) bool { return w.Held() && w != inventory.Expected })
	p.row("came in", "%.0f", float64(v.Received))
	p.row("held", "%.0f", float64(held))
	p.row("given", "%.0f", float64(given))
	p.row("left", "%.0f", float64(v.Total(func(w inventory.Where) bool { return !w.Held() && w != inventory.InPatient })))
	p.row("difference", "%.0f", float64(v.Difference())+0)
	if c.Until != "" {
		most := inventory.Most(all)
		p.section("MOST HELD, until " + c.Until)
		for _, l := range most.Lines {
			p.row(l.ID, "%s, %s, at %s", quantity.Both(l.Held, l.U), limit(l), p.time(most.At))
		}
	}
}

func inventoryOf(v inventory.Inventory, zone *time.Location) object {
	return object{
		{"at", quantity.FormatTime(v.At, zone)},
		{"lines", inventoryLines(v)},
		{"items", each(v.Items, func(i inventory.Item) object {
			return object{
				{"id", i.ID},
				{"where", i.Where},
				{"line", ifAny(i.Line)},
				{"activity_MBq", i.Activity.MBq()},
				{"u_MBq", i.U.MBq()},
				{"known_by", i.Known},
			}
		})},
		{"received_MBq", v.Received.MBq()},
		{"difference_MBq", v.Difference().MBq()},
	}
}

func inventoryLines(v inventory.Inventory) []object {
	return each(v.Lines, func(l inventory.Line) object {
		return object{
			{"line", l.ID},
			{"nuclide", ifAny(l.Nuclide)},
			{"held_MBq", l.Held.MBq()},
			{"u_MBq", l.U.MBq()},
			{"most_MBq", figure(!l.Most.IsZero(), false, l.Most.Value.MBq())},
			{"over", l.Over},
		}
	})
}
