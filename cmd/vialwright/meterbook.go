package main

import (
	"slices"
	"strings"
	"time"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/fold"
	"vialwright/journal"
	"vialwright/meterbook"
	"vialwright/quantity"
	"vialwright/rules"
)

// metersCmd shows the book of the instruments.
type metersCmd struct {
	File    string `arg:"" optional:"" help:"A case file with the entries, YAML or JSON; - reads standard input."`
	Journal string `placeholder:"JOURNAL" help:"Instead of a file: the journal, a PATH or postgres://..."`
	At      string `placeholder:"TIME" help:"As of this moment; now where it is left out."`
	Rules   string `placeholder:"PROFILE" default:"blank" help:"Tolerances and intervals of this rule profile, us or another, or the path of a file."`
	JSON    bool   `name:"json" help:"Print the answer as JSON, numbers unrounded."`
}

func (metersCmd) Help() string {
	return `Says of every instrument and check source what is due, what is wrong and since when, and what its last tests came to; and whether the labels of the vials tell of a change of a meter.

  vialwright meters --journal lab.vialwright --rules us
  vialwright meters meters.yaml --at 2027-03-04T08:00

A time without an offset is in the zone of the site. Exit status 1: something stops the use of an instrument.`
}

// instruments are what the command works from.
type instrumentsIn struct {
	entries []fold.Entry
	assays  []meterbook.Assay
	meters  []*fact.Meter
	orders  []meterbook.Ordered
	zone    *time.Location
}

// add takes what the entries of a group tell: the first readings of its vials, and the
// orders whose dose was not given.
func (in *instrumentsIn) add(c dispensing.Case, entries []fold.Entry) {
	in.assays = append(in.assays, meterbook.Assays(c)...)
	closed := map[string]bool{}
	for _, x := range entries {
		if f, ok := x.Fact.(*fact.Close); ok {
			closed[f.For] = true
		}
	}
	for _, o := range meterbook.ToGive(c) {
		if !closed[o.Order] {
			in.orders = append(in.orders, o)
		}
	}
}

func (c *metersCmd) Run(e *edge) error {
	if (c.File == "") == (c.Journal == "") {
		return usageError("give a case file, or a journal with --journal")
	}
	read := c.fromFile
	if c.Journal != "" {
		read = c.fromJournal
	}
	in, err := read(e)
	if err != nil {
		return err
	}
	at, err := momentOf("--at", c.At, in.zone, e.now())
	if err != nil {
		return err
	}
	p, err := e.profile(c.Rules)
	if err != nil {
		return usageError("--rules %s: %v", c.Rules, err)
	}
	b := meterbook.Of(in.entries, meterbook.RulesOf(p.On(at.In(in.zone))), in.zone, at)
	for _, m := range in.meters {
		b.Findings = append(b.Findings, b.Differences(m)...)
	}
	w := meterbook.Witnesses(in.assays, in.zone)
	stopped := slices.ContainsFunc(b.Findings, func(f meterbook.Finding) bool { return f.Severity == dispensing.Stop })
	return e.answer(c.JSON, metersOf(b, w, in.orders), in.zone, func(page *page) { page.meters(b, w, p, in.orders) }, stopped)
}

func (c *metersCmd) fromFile(e *edge) (instrumentsIn, error) {
	f, err := e.readCase(c.File)
	if err != nil {
		return instrumentsIn{}, err
	}
	folded, err := fold.File(f)
	if err != nil {
		return instrumentsIn{}, caseError(c.File, err)
	}
	in := instrumentsIn{entries: fold.Entries(journal.Records(f.Facts)), zone: folded.Zone}
	_, _, in.meters = fact.Settings(f.Facts)
	in.add(folded, in.entries)
	return in, nil
}

func (c *metersCmd) fromJournal(*edge) (instrumentsIn, error) {
	lab, zone, end, err := siteAt(c.Journal)
	if err != nil {
		return instrumentsIn{}, err
	}
	defer end()
	kept, _ := lab.Kept(meterbook.Kept)
	in := instrumentsIn{entries: fold.Entries(kept), zone: zone}
	_, _, in.meters = fact.Settings(lab.File().Facts())
	for _, f := range lab.Groups() {
		if k, err := fold.Records(f.Records, loadZone); err == nil {
			entries := fold.Entries(f.Records)
			in.entries = append(in.entries, entries...)
			in.add(k, entries)
		}
	}
	return in, nil
}

// meters is the book for a person.
func (p *page) meters(b *meterbook.Book, w []meterbook.Witness, by rules.Profile, orders []meterbook.Ordered) {
	line := p.line
	line("INSTRUMENTS on %s, by the rules of profile %s", b.On(b.At), by.ID)
	for _, f := range b.Findings {
		line("%-5s %s", strings.ToUpper(string(f.Severity)), f.Text)
		line("      %s", f.Hint)
	}
	for _, i := range b.Instruments {
		line("")
		what := "not in the book: enter it as an instrument"
		if i.Now != nil {
			what = strings.ReplaceAll(string(i.Now.What), "-", " ")
			if i.Now.State == fact.Withdrawn {
				what += ", withdrawn"
			}
		}
		line("%s, %s, %d tests", i.ID, what, len(i.Tests))
		for _, d := range i.Due {
			line("  %-8s %s", map[bool]string{true: "OVERDUE", false: "due"}[d.Overdue], d.Text(b.Zone))
		}
		for _, t := range i.LastOfEach() {
			line("  %-8s %s of %s: %s", t.Verdict, t.Test, b.On(t.At), t.Says)
		}
		if s, ok := i.Scales(b.At); ok {
			line("  scales   shipping vial: the traceable scale is %s of the label-matched one.", quantity.Format(s.Ratio, s.U, "%"))
			for _, o := range orders {
				moved, kept := meterbook.Change(s, o)
				for _, m := range moved {
					line("  change   %s: %s, %s becomes %s.", o.Order, m.What, m.Now, m.Then)
				}
				line("  change   %s: %s", o.Order, kept)
			}
		}
	}
	for _, d := range b.DueSources {
		line("  %-8s %s", map[bool]string{true: "OVERDUE", false: "due"}[d.Overdue], d.Text(b.Zone))
	}
	for _, x := range w {
		if x.Says != "" {
			line("")
			line("LABELS: %s", x.Says)
		}
	}
	line("")
	line("WHAT THE TESTS ARE HELD TO")
	for _, h := range b.Rules.Says() {
		line("  %s: %s (%s)", h.What, h.Limit, h.Source)
	}
}

func metersOf(b *meterbook.Book, w []meterbook.Witness, orders []meterbook.Ordered) object {
	due, tests, changes := []object{}, []object{}, []object{}
	addDue := func(list []meterbook.Due) {
		for _, d := range list {
			due = append(due, object{{"of", d.Instrument}, {"what", d.What}, {"last", moment(d.Last, b.Zone)}, {"at", moment(d.At, b.Zone)}, {"overdue", d.Overdue}, {"source", d.Source}})
		}
	}
	for _, i := range b.Instruments {
		addDue(i.Due)
		for _, t := range i.Tests {
			tests = append(tests, object{
				{"of", i.ID},
				{"test", t.Test},
				{"entry", t.Entry},
				{"at", t.At.In(b.Zone)},
				{"verdict", t.Verdict},
				{"deviation", t.Deviation},
				{"u", t.U},
				{"tolerance", t.Limit.Tolerance},
				{"tolerance-source", t.Limit.Source},
				{"says", t.Says},
			})
		}
		if s, ok := i.Scales(b.At); ok {
			for _, o := range orders {
				ratio, u := s.From(o.Basis)
				changes = append(changes, object{{"of", i.ID}, {"order", o.Order}, {"basis", o.Basis}, {"ratio", ratio}, {"u", u}})
			}
		}
	}
	addDue(b.DueSources)
	return object{
		{"at", b.At.In(b.Zone)},
		{"findings", each(b.Findings, func(f meterbook.Finding) object {
			return object{{"code", f.Code}, {"severity", f.Severity}, {"of", f.Of}, {"at", f.At.In(b.Zone)}, {"entry", f.Entry}, {"text", f.Text}, {"hint", f.Hint}}
		})},
		{"due", due},
		{"tests", tests},
		{"labels", each(w, func(x meterbook.Witness) object {
			return object{{"meter", x.Meter}, {"basis", x.Basis}, {"vials", len(x.Assays)}, {"changes", x.Drifts}, {"says", x.Says}}
		})},
		{"changes", changes},
	}
}

// moment is a time for JSON; null for what never was.
func moment(t time.Time, zone *time.Location) any {
	if t.IsZero() {
		return nil
	}
	return t.In(zone)
}
