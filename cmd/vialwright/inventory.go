package main

import (
	"bufio"
	"fmt"
	"io"
	"time"

	"vialwright/fact"
	"vialwright/inventory"
	"vialwright/journal"
	"vialwright/quantity"
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
	var groups [][]journal.Record
	for _, f := range lab.Groups() {
		groups = append(groups, f.Records)
	}
	own, _ := lab.Kept(inventory.Kept)
	b, err := inventory.Read(lab.File().Records, own, groups, loadZone)
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
	at := e.now().In(zone)
	var until time.Time
	for _, x := range []struct {
		flag, text string
		into       *time.Time
	}{{"--at", c.At, &at}, {"--until", c.Until, &until}} {
		if x.text == "" {
			continue
		}
		t, err := quantity.ParseTime(x.text, zone)
		if err != nil {
			return flagError(x.flag, err)
		}
		*x.into = t.In(zone)
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
	all := []inventory.Inventory{}
	for _, t := range inventory.Moments(b, at, until) {
		all = append(all, inventory.Take(b, t))
	}
	var err error
	if c.JSON {
		answer := inventoryOf(all[0], zone)
		if c.Until != "" {
			most := inventory.Most(all)
			answer.Most = &inventoryMostAnswer{quantity.FormatTime(most.At, zone), inventoryLines(most)}
		}
		err = indented(e.out, answer)
	} else {
		err = c.write(e.out, all, zone)
	}
	if err != nil {
		return err
	}
	for _, v := range all {
		for _, l := range v.Lines {
			if l.Over {
				return errStopped
			}
		}
	}
	return nil
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
	if x.Reference, err = quantity.ParseTime(c.Reference, nil); err != nil {
		return nil, flagError("--reference", err)
	}
	x.Due, err = quantity.ParseTime(c.Due, zone)
	if err != nil {
		return nil, flagError("--due", err)
	}
	x.Due = x.Due.In(zone)
	return x, nil
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

func (c *inventoryCmd) write(w io.Writer, all []inventory.Inventory, zone *time.Location) error {
	out := bufio.NewWriter(w)
	p := &page{w: out, zone: zone}
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
	return out.Flush()
}

type inventoryAnswer struct {
	At         string                `json:"at"`
	Lines      []inventoryLineAnswer `json:"lines"`
	Items      []inventoryItemAnswer `json:"items"`
	Received   float64               `json:"received_MBq"`
	Difference float64               `json:"difference_MBq"`
	// Most is when, until the time that was asked, most is held; nil where none was asked.
	Most *inventoryMostAnswer `json:"most,omitempty"`
}

type inventoryMostAnswer struct {
	At    string                `json:"at"`
	Lines []inventoryLineAnswer `json:"lines"`
}

type inventoryLineAnswer struct {
	Line    string   `json:"line"`
	Nuclide string   `json:"nuclide,omitempty"`
	Held    float64  `json:"held_MBq"`
	U       float64  `json:"u_MBq"`
	Most    *float64 `json:"most_MBq,omitempty"`
	Over    bool     `json:"over"`
}

type inventoryItemAnswer struct {
	ID       string  `json:"id"`
	Where    string  `json:"where"`
	Line     string  `json:"line,omitempty"`
	Activity float64 `json:"activity_MBq"`
	U        float64 `json:"u_MBq"`
	Known    string  `json:"known_by"`
}

func inventoryOf(v inventory.Inventory, zone *time.Location) inventoryAnswer {
	return inventoryAnswer{
		At: quantity.FormatTime(v.At, zone), Received: v.Received.MBq(), Difference: v.Difference().MBq(),
		Lines: inventoryLines(v),
		Items: each(v.Items, func(i inventory.Item) inventoryItemAnswer {
			return inventoryItemAnswer{i.ID, string(i.Where), i.Line, i.Activity.MBq(), i.U.MBq(), i.Known}
		}),
	}
}

func inventoryLines(v inventory.Inventory) []inventoryLineAnswer {
	return each(v.Lines, func(l inventory.Line) inventoryLineAnswer {
		a := inventoryLineAnswer{Line: l.ID, Nuclide: l.Nuclide, Held: l.Held.MBq(), U: l.U.MBq(), Over: l.Over}
		if !l.Most.IsZero() {
			most := l.Most.Value.MBq()
			a.Most = &most
		}
		return a
	})
}
