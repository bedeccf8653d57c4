package main

import (
	"io"
	"time"

	"vialwright/dispensing"
	"vialwright/event"
	"vialwright/procedure"
	"vialwright/quantity"
	"vialwright/web/books"
)

// eventCmd says by a rule profile whether an infusion is an event.
type eventCmd struct {
	File  string `arg:"" help:"The event file, YAML or JSON; - reads standard input."`
	JSON  bool   `name:"json" help:"Print the answer as JSON, numbers unrounded."`
	Draft bool   `help:"Print the draft of a report alone, without any identifier of the patient."`
	At    string `placeholder:"TIME" help:"The moment the clocks are told for; now where it is left out."`
}

func (eventCmd) Help() string {
	return `Says, by a rule profile, which paragraph applies to an infusion that is over, how sure that is, what is missing, and which clocks run. A person decides, and signs.

  vialwright event examples/event.yaml
  vialwright event examples/event.yaml --draft

docs/events.md has the fields of the file. Exit status 1: an event, or that cannot be said.`
}

func (c *eventCmd) Run(e *edge) error {
	data, err := e.readFile(c.File, event.MaxBytes)
	if err != nil {
		return err
	}
	x, err := event.Read(data, event.World{Zone: loadZone, Profile: e.profile})
	if err != nil {
		return usageError("%s: %v", c.File, err)
	}
	now, err := momentOf("--at", c.At, x.Zone, e.now())
	if err != nil {
		return err
	}
	d := event.Decide(x)
	stopped := d.Outcome == event.IsEvent || d.Outcome == event.CannotSay
	if c.Draft {
		_, err = io.WriteString(e.out, d.Draft(x))
		return stoppedIf(stopped, err)
	}
	return e.answer(c.JSON, eventOf(x, d), x.Zone, func(p *page) { p.event(x, d, now) }, stopped)
}

func (p *page) event(c event.Case, d event.Decision, now time.Time) {
	p.framed("", "ORDER "+c.ID+": "+d.Headline(c.Zone))
	p.section("BECAUSE")
	for _, s := range d.Because {
		p.row("", "%s", s)
	}
	p.section("WHAT WAS DELIVERED")
	if d.Delivered == nil {
		p.row("delivered", "not known")
	} else {
		p.row("delivered", "%s, by %s", quantity.Both(d.Delivered.Activity, d.Delivered.U), d.By)
	}
	for _, x := range d.Deviations {
		p.row("deviation", "%s", x)
	}
	if len(d.Questions) > 0 {
		p.section("OPEN QUESTIONS")
		for _, s := range d.Questions {
			p.row("", "%s", s)
		}
	}
	p.section("CLOCKS, at " + p.time(now))
	for _, x := range d.Clocks {
		p.row(x.Left(now), "%s %s; %s", x.What, x.Says(c.Zone), x.Source)
	}
	if len(d.Clocks) == 0 {
		p.row("", "The profile names none.")
	}
	p.section("DECIDED BY")
	p.row("profile", "%s, %s", c.Rules.Profile.ID, c.Rules.Profile.ApprovedText())
	p.row("", "The program says which paragraph applies to what was recorded. A person decides, and signs.")
}

// decider says what a rule profile says of the infusion of an order; ok is false
// for one that was not infused.
type decider func(o dispensing.OrderResult) (c event.Case, d event.Decision, ok bool)

// decideBy decides by the profile of a case, from a case and where its preparations stand.
func decideBy(c dispensing.Case, preps []procedure.Preparation) decider {
	return func(o dispensing.OrderResult) (event.Case, event.Decision, bool) {
		var r event.Record
		for _, prep := range preps {
			if prep.Order == o.Order.ID {
				r = books.EventRecord(prep)
			}
		}
		x, ok := event.Of(c, o, r)
		if !ok {
			return x, event.Decision{}, false
		}
		return x, event.Decide(x), true
	}
}

// decided are the rows of an order that say what the profile says of it.
func (p *page) decided(o dispensing.OrderResult) {
	if p.decide == nil {
		return
	}
	c, d, ok := p.decide(o)
	if !ok {
		return
	}
	p.row("by profile "+c.Rules.Profile.ID, "%s", d.Headline(c.Zone))
	for _, s := range append(d.Because, d.Questions...) {
		p.row("", "%s", s)
	}
	for _, k := range d.Clocks {
		p.row("", "%s %s; %s", k.What, k.Says(c.Zone), k.Source)
	}
}

func eventOf(c event.Case, d event.Decision) object {
	same := func(s string) string { return s }
	var y, u float64
	if d.Delivered != nil {
		y, u = d.Delivered.Activity.MBq(), d.Delivered.U.MBq()
	}
	return object{
		{"order", c.ID},
		{"outcome", d.Outcome},
		{"revise_by", figure(!d.ReviseBy.IsZero(), false, quantity.FormatTime(d.ReviseBy, c.Zone))},
		{"missing", each(d.Missing, same)},
		{"because", each(d.Because, same)},
		{"delivered_MBq", figure(d.Delivered != nil, false, y)},
		{"delivered_u_MBq", figure(d.Delivered != nil, false, u)},
		{"deviations", each(d.Deviations, func(x event.Deviation) object {
			return object{{"of", x.Of}, {"value", x.Value}, {"u", x.U}}
		})},
		{"probability_beyond", d.Beyond},
		{"questions", each(d.Questions, same)},
		{"clocks", each(d.Clocks, func(x event.Clock) object {
			due := figure(!x.Due.IsZero(), false, quantity.FormatTime(x.Due, c.Zone))
			return object{{"what", x.What}, {"due", due}, {"says", x.Says(c.Zone)}, {"source", x.Source}}
		})},
		{"profile", c.Rules.Profile.ID},
	}
}
