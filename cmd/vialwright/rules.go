package main

import (
	"os"
	"slices"
	"strings"
	"time"

	"vialwright/rules"
)

// rulesCmd shows and compares rule profiles.
type rulesCmd struct {
	Show rulesShowCmd `cmd:"" help:"Every value of a profile on a day, with its citation and how it is known."`
	Diff rulesDiffCmd `cmd:"" help:"What differs between two profiles, or between two days of one."`
}

type rulesShowCmd struct {
	Profile string `arg:"" help:"us, us-nc, eu, uk, blank, or the path of a site's own profile."`
	On      string `placeholder:"DATE" help:"The day, such as 2027-03-04; today in UTC where it is left out."`
	JSON    bool   `name:"json" help:"Print the answer as JSON."`
}

type rulesDiffCmd struct {
	Before string `arg:"" help:"The one profile."`
	After  string `arg:"" help:"The other; the same one for two days of it."`
	On     string `placeholder:"DATE" help:"The day of the first; today in UTC where it is left out."`
	Then   string `placeholder:"DATE" help:"The day of the second; that of the first where it is left out."`
	JSON   bool   `name:"json" help:"Print the answer as JSON."`
}

// profile gives a shipped profile, or one from a file.
func (e *edge) profile(name string) (rules.Profile, error) {
	if slices.Contains(rules.Shipped, name) || !strings.ContainsAny(name, "./"+string(os.PathSeparator)) {
		return rules.Load(name)
	}
	data, err := e.readFile(name, rules.MaxBytes)
	if err != nil {
		return rules.Profile{}, err
	}
	return rules.Read(data)
}

// rules gives the profile that --rules names; nil where it names none.
func (e *edge) rules(name string) (*rules.Profile, error) {
	if name == "" {
		return nil, nil
	}
	p, err := e.profile(name)
	if err != nil {
		return nil, usageError("--rules %s: %v", name, err)
	}
	return &p, nil
}

// set is a profile on a day; without one it is today.
func (e *edge) set(name, on string) (rules.Set, error) {
	p, err := e.profile(name)
	if err != nil {
		return rules.Set{}, usageError("%s: %v", name, err)
	}
	at := e.now().UTC()
	if on != "" {
		if at, err = time.Parse(time.DateOnly, on); err != nil {
			return rules.Set{}, usageError("%q is no date; write it like 2027-03-04", on)
		}
	}
	return p.On(at), nil
}

// ruleOf is a value in JSON.
func ruleOf(v rules.Value) object {
	date := func(t time.Time) any { return figure(!t.IsZero(), false, t.Format(time.DateOnly)) }
	return object{
		{"key", v.Key},
		{"says", v.Key.Says()},
		{"figure", v.Figure},
		{"compare", ifAny(v.Compare)},
		{"citation", v.Citation},
		{"address", ifAny(v.Address)},
		{"read", date(v.Read)},
		{"mark", v.Mark},
		{"from", date(v.From)},
		{"to", date(v.To)},
		{"note", ifAny(v.Note)},
		{"profile", v.Profile},
	}
}

func (c *rulesShowCmd) Run(e *edge) error {
	s, err := e.set(c.Profile, c.On)
	if err != nil {
		return err
	}
	return e.answer(c.JSON, object{
		{"profile", s.Profile.ID},
		{"edition", ifAny(s.Profile.Edition)},
		{"approved_by", ifAny(s.Profile.Approver)},
		{"day", s.Day.Format(time.DateOnly)},
		{"values", each(s.All(), ruleOf)},
		{"pending", each(s.Pending(), ruleOf)},
	}, time.UTC, func(p *page) { p.rules(s) }, false)
}

func (p *page) rules(s rules.Set) {
	p.line("RULES, profile %s, on %s", s.Profile.ID, s.Day.Format(time.DateOnly))
	p.row("", "%s", s.Profile.Title)
	p.row("", "%s", s.Profile.ApprovedText())
	for _, v := range s.All() {
		p.rule(v)
	}
	if len(s.All()) == 0 {
		p.row("", "No value is in force.")
	}
	for _, v := range s.Pending() {
		p.section("NOT IN FORCE")
		p.rule(v)
	}
	p.line("")
	p.text("A profile is data for a named person of the site to check and approve. Nothing here is law, and what is from memory was not read for it.")
}

func (p *page) rule(v rules.Value) {
	p.line("")
	p.row(v.Bound(), "%s.", v.Key.Says())
	p.row("", "%s", v.Source())
	if !v.From.IsZero() {
		p.row("", "from %s", v.From.Format(time.DateOnly))
	}
	if v.Address != "" {
		p.row("", "%s, read %s", v.Address, v.Read.Format(time.DateOnly))
	}
	if v.Note != "" {
		p.row("", "%s", v.Note)
	}
}

func (c *rulesDiffCmd) Run(e *edge) error {
	a, err := e.set(c.Before, c.On)
	if err != nil {
		return err
	}
	if c.Then == "" {
		c.Then = c.On
	}
	b, err := e.set(c.After, c.Then)
	if err != nil {
		return err
	}
	changes := rules.Diff(a, b)
	side := func(v *rules.Value) any {
		if v == nil {
			return nil
		}
		return ruleOf(*v)
	}
	return e.answer(c.JSON, each(changes, func(x rules.Change) object {
		return object{{"key", x.Key}, {"before", side(x.Before)}, {"after", side(x.After)}}
	}), time.UTC, func(p *page) { p.differ(a, b, changes) }, false)
}

func (p *page) differ(a, b rules.Set, changes []rules.Change) {
	p.line("RULES, %s on %s against %s on %s", a.Profile.ID, a.Day.Format(time.DateOnly), b.Profile.ID, b.Day.Format(time.DateOnly))
	side := func(label string, v *rules.Value) {
		if v == nil {
			p.row(label, "no value")
			return
		}
		p.row(label, "%s; %s", v.Bound(), v.Source())
	}
	for _, x := range changes {
		p.section(string(x.Key) + ": " + x.Key.Says())
		side("before", x.Before)
		side("after", x.After)
	}
	if len(changes) == 0 {
		p.row("", "Nothing differs.")
	}
}
