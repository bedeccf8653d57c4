package main

import (
	"bytes"
	"cmp"
	"context"
	"fmt"
	"runtime"

	"vialwright/casefile"
	"vialwright/dispensing"
	"vialwright/experience"
	"vialwright/fact"
	"vialwright/fold"
	"vialwright/journal"
	"vialwright/learning"
	"vialwright/quantity"
	"vialwright/state"
	"vialwright/store"
)

// experienceCmd shows the site experience in a journal.
type experienceCmd struct {
	Journal string `required:"" placeholder:"JOURNAL" help:"The journal, a PATH or postgres://...; it is opened for reading only."`
	JSON    bool   `name:"json" help:"Print it as JSON, numbers unrounded."`
	Fact    bool   `help:"Print it as an entry for a case file, so that a plan rests on it."`
}

func (experienceCmd) Help() string {
	return `Goes through the finished preparations of a journal, checking every link, and prints what is expected of the next draw and of the next residual: before any preparation, and now, with the interval in which the next one lies with 95 % probability. Preparations that do not fit the others are named, but none is left out.

  vialwright experience --journal lab.vialwright
  vialwright experience --journal lab.vialwright --fact >> case.yaml`
}

func (c *experienceCmd) Run(e *edge) error {
	t, site, head, err := tallyAt(c.Journal)
	if err != nil {
		return err
	}
	if c.Fact {
		return writeFact(e, t, site, head)
	}
	return e.answer(c.JSON, experienceOf(t, head), nil, func(p *page) { p.experience(c.Journal, t, head) }, false)
}

// tallyAt is that of the journal of this name.
func tallyAt(where string) (t *experience.Tally, site []journal.Record, head int, err error) {
	ctx := context.Background()
	log, err := openJournal(ctx, where)
	if err == nil {
		defer log.Close()
		t, site, head, err = tallyOf(ctx, log)
	}
	if err != nil {
		err = journalError(where, err)
	}
	return t, site, head, err
}

// tallyOf takes every group of a journal. site are its settings.
func tallyOf(ctx context.Context, log store.Log) (t *experience.Tally, site []journal.Record, head int, err error) {
	books, _, err := booksOf(ctx, log)
	if err != nil {
		return nil, nil, 0, err
	}
	var cases [][]journal.Record
	for _, g := range books.All() {
		cases = append(cases, books.Records([]state.Group{g}))
	}
	t = experience.New(loadZone)
	t.TakeAll(cases, runtime.GOMAXPROCS(0))
	return t, books.Records(nil), books.Len(), nil
}

// writeFact prints the fact as a line of the entries of a case file, in the
// zone of the site.
func writeFact(e *edge, t *experience.Tally, site []journal.Record, head int) error {
	c, err := fold.Records(site, loadZone)
	if err != nil {
		return usageError("the settings of the site cannot be read, so its zone is not known: %v", err)
	}
	x := t.Fact(e.now().In(c.Zone), head)
	if x == nil {
		return usageError("no preparation is finished yet")
	}
	data, err := casefile.Export([]fact.Fact{&fact.Site{Zone: c.Zone.String()}, x}, loadZone)
	if err != nil {
		return err
	}
	_, line, _ := bytes.Cut(data, []byte("entries:\n"))
	_, err = e.out.Write(line)
	return err
}

func (p *page) experience(name string, t *experience.Tally, head int) {
	rows, s := t.Rows(), t.Site()
	p.line("SITE EXPERIENCE from %s, to record %d: %d finished orders, %d draws, %d infusions", name, head, len(t.Preparations()), s.Yields.Cases(), s.Fractions.Cases())
	table(p, "YIELD OF A DRAW, activity share per volume share", rows, func(r experience.Row) (string, string, int) {
		return both2(r.Yield)
	})
	table(p, "RESIDUAL, share of the dose, by who drew", rows, func(r experience.Row) (string, string, int) { return both2(r.Fraction) })
	table(p, "RESIDUAL, activity at the infusion time, by who drew", rows, func(r experience.Row) (string, string, int) { return both2(r.Activity) })
	p.section("DOSE RATE of a full dose in the site's geometry")
	if j := t.Jar(); j.Cases > 0 {
		p.row("", "%s, the number after ± being the scatter from dose to dose", j)
	} else {
		p.row("", "fewer than three finished doses have a reading")
	}
	p.section("UNUSUAL: look into it; nothing was left out for it")
	unusual := t.Unusual()
	for _, u := range unusual {
		p.row(u.Order, "%s: %s", u.What, u.Sentence)
	}
	if len(unusual) == 0 {
		p.row("", "no preparation stands out")
	}
	p.section("NOT COUNTED")
	left := t.Left()
	for _, l := range left {
		p.row(l.Order, "%s", l.Why)
	}
	if len(left) == 0 {
		p.row("", "every draw and infusion of a finished order is in")
	}
	p.line("")
	p.row("±", "the standard uncertainty of the next one (k = 1); in brackets where 95 %% of them lie")
	p.line("")
	p.text(cautions)
}

// both2 is a quantity before any case and now, with its cases.
func both2[Q learning.Quantity](s learning.Shown[Q]) (before, now string, n int) {
	show := func(p learning.Predictive[Q]) string {
		low, high := quantity.Show(p.Low, p.SD), quantity.Show(p.High, p.SD)
		return fmt.Sprintf("%s (%s to %s)", quantity.Show(p.Mean, p.SD), low.Value, high.Value)
	}
	return show(s.Prior), show(s.Predictive), s.Data.N
}

func table(p *page, title string, rows []experience.Row, of func(experience.Row) (string, string, int)) {
	p.section(title)
	for _, r := range rows {
		before, now, n := of(r)
		name := "any other vial"
		if r.Kind != "" {
			name = r.Kind + ", " + cmp.Or(r.Person, "anybody else")
		}
		cases := ""
		if r.Person != "" {
			cases = fmt.Sprintf(", %d of their own", n)
		}
		p.line("  %s%s", name, cases)
		p.row("  before any", "%s", before)
		p.row("  expected now", "%s", now)
	}
}

// sharesOf are the figures of a quantity over a unit: prior and posterior predictive
// distribution side by side, and the data of the row.
func sharesOf[Q learning.Quantity](s learning.Shown[Q], unit Q) object {
	of := func(p learning.Predictive[Q]) object {
		return object{{"mean", p.Mean / unit}, {"sd", p.SD / unit}, {"low_95", p.Low / unit}, {"high_95", p.High / unit}}
	}
	return object{{"cases", s.Data.N}, {"mean", s.Data.Mean / unit}, {"before_any", of(s.Prior)}, {"expected_now", of(s.Predictive)}}
}

// doseRates are what full doses read for each GBq, 0 where there is no history; of a meter
// that shows no sieverts, in its own unit, which is said.
func doseRates(j dispensing.JarUsual) object {
	if j.Cases > 0 && j.Family != "uSv/h" {
		return object{{"mean_per_GBq", j.PerGBq}, {"sd_per_GBq", j.SD}, {"unit", j.Family}, {"cases", j.Cases}}
	}
	return object{{"mean_uSv_per_h_per_GBq", j.PerGBq}, {"sd_uSv_per_h_per_GBq", j.SD}, {"cases", j.Cases}}
}

func experienceOf(t *experience.Tally, head int) object {
	return object{
		{"head", head},
		{"finished_orders", len(t.Preparations())},
		{"rows", each(t.Rows(), func(r experience.Row) object {
			return object{
				{"vial", r.Kind},
				{"by", r.Person},
				{"yield", sharesOf(r.Yield, 1)},
				{"residual_fraction", sharesOf(r.Fraction, 1)},
				{"residual_MBq", sharesOf(r.Activity, quantity.MegaBecquerel)},
			}
		})},
		{"dose_rate", doseRates(t.Jar())},
		{"unusual", each(t.Unusual(), func(u experience.Unusual) object {
			return object{{"order", u.Order}, {"what", u.What}, {"z", u.Z}, {"text", u.Sentence}}
		})},
		{"not_counted", each(t.Left(), func(l experience.Left) object { return object{{"order", ifAny(l.Order)}, {"why", l.Why}} })},
	}
}

// doseRateCmd holds a dose rate against the activity a container is said to hold.
type doseRateCmd struct {
	Rate       amount[quantity.MeterRate] `arg:"" help:"What the survey meter shows, such as '301 uSv/h', '5.8 mR/h' or '410 cps'."`
	Background amount[quantity.MeterRate] `required:"" placeholder:"RATE" help:"The background, in the same unit."`
	Holds      amount[quantity.Activity]  `required:"" placeholder:"ACTIVITY" help:"The activity claimed, such as '1.38 GBq'."`
	Journal    string                     `placeholder:"JOURNAL" help:"The site's journal, a PATH or postgres://...; without it only the published order of magnitude is known."`
}

func (doseRateCmd) Help() string {
	return `Says whether the dose rate of a full jar, syringe or vial fits the activity it is said to hold, by what the finished doses of the site have read in its geometry. It is a witness that does not rest on the activity meter.

  vialwright dose-rate '301.0 uSv/h' --background '0.2 uSv/h' --holds '1.38 GBq' --journal lab.vialwright

Exit status 1: it does not fit.`
}

func (c *doseRateCmd) Run(e *edge) error {
	rate, background, claimed := c.Rate.stated(), c.Background.stated(), c.Holds.stated()
	family := quantity.Family(rate)
	switch {
	case family != quantity.Family(background):
		return usageError("the dose rate is in %s and the background in %s; read both with one meter, in one unit", family, quantity.Family(background))
	case claimed.Value <= 0:
		return usageError("--holds: nothing is claimed; write an activity above 0")
	}
	usual, err := c.usual()
	if err != nil {
		return err
	}
	if q := dispensing.AskJar(rate, background, claimed.Value, usual); q != nil {
		fmt.Fprintln(e.out, q.Text)
		return errStopped
	}
	if usual.Cases == 0 || usual.Family != family {
		fmt.Fprintln(e.out, "Nothing speaks against it, but this site has no history in this unit: only the published order of magnitude was looked at, where there is one.")
		return nil
	}
	fmt.Fprintf(e.out, "It fits: usual here is %s.\n", usual)
	return nil
}

// usual is the history of the journal, none where none is named.
func (c *doseRateCmd) usual() (dispensing.JarUsual, error) {
	if c.Journal == "" {
		return dispensing.JarUsual{}, nil
	}
	t, _, _, err := tallyAt(c.Journal)
	if err != nil {
		return dispensing.JarUsual{}, err
	}
	return t.Jar(), nil
}
