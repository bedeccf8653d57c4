package main

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"vialwright/casefile"
	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/fold"
	"vialwright/hotlab"
	"vialwright/hotlab/quarter"
	"vialwright/journal"
	room "vialwright/web/hotlab"
)

// hotLabCmd says what stands of parcels, bins, rooms and persons, and what is wrong.
type hotLabCmd struct {
	Journal string `placeholder:"JOURNAL" help:"The journal, a PATH or postgres://..."`
	Invent  bool   `help:"Write an invented quarter with its faults instead, as a case file to import and to look for them in."`
	At      string `placeholder:"TIME" help:"The instant; now where it is left out."`
	Rules   string `placeholder:"PROFILE" help:"The rule profile, us-nc or another, or the path of the site's own; without it nothing is held against a limit."`
	JSON    bool   `name:"json" help:"Print the findings as JSON."`
}

func (hotLabCmd) Help() string {
	return `Goes through the entries of parcels, surveys, waste bins and persons, and prints what is wrong, when each bin is ready, and the doses of the year. docs/hot-lab.md lists the findings.

  vialwright hot-lab --journal lab.vialwright --rules us-nc --at 2027-03-31T17:00
  vialwright hot-lab --invent > quarter.yaml

Exit status 1: a finding is a stop.

` + whereHelp
}

// invented writes the quarter as a case file.
func (c *hotLabCmd) invented(e *edge) error {
	records, err := quarter.Records(loadZone, quarter.Codes()...)
	if err != nil {
		return err
	}
	data, err := casefile.Export(casefile.Extract(records), loadZone)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(e.out, "# An invented quarter: no real person, supplier or vial. Its faults are listed by docs/hot-lab.md.\n%s", data)
	return err
}

func (c *hotLabCmd) Run(e *edge) error {
	switch {
	case c.Invent:
		return c.invented(e)
	case c.Journal == "":
		return usageError("give --journal, or --invent")
	}
	lab, zone, end, err := siteAt(c.Journal)
	if err != nil {
		return err
	}
	defer end()
	at, err := momentOf("--at", c.At, zone, e.now().In(zone))
	if err != nil {
		return err
	}
	profile, err := e.rules(c.Rules)
	if err != nil {
		return err
	}
	w, err := room.World(lab, time.Time{}, at, zone, loadZone, profile)
	if err != nil {
		return journalError(c.Journal, err)
	}
	b := hotlab.Read(w)
	found := append([]hotlab.Finding{}, b.Findings...) // a list also of none
	return e.answer(c.JSON, found, zone, func(p *page) { c.write(p, b) }, len(found) > 0 && found[0].Severity == dispensing.Stop)
}

func (c *hotLabCmd) write(p *page, b hotlab.Book) {
	p.line("HOT LAB of %s, at %s", shown(c.Journal), p.time(b.At))
	if c.Rules == "" {
		p.text(noRules)
	}
	for _, f := range b.Findings { // the heaviest first
		p.line("")
		p.row(strings.ToUpper(string(f.Severity)), "%s", f.Text)
		p.row(string(f.Page), "%s", f.Do)
	}
	p.section("WASTE BINS")
	for _, x := range b.Bins {
		p.row(x.ID, "%s", room.BinSays(x, p.time))
	}
	p.section("DOSES OF THE YEAR")
	for _, x := range b.Persons {
		p.row(x.ID, "%s", room.DosesSay(x, b))
	}
}

// noRules is said where no rule profile is named.
const noRules = "NO RULES: no rule profile is named, so that nothing is held against a limit. Name one with --rules, such as --rules us-nc."

// dosesCmd writes the report of a dosimetry service into a journal.
type dosesCmd struct {
	File    string `arg:"" help:"The report as CSV; - reads standard input."`
	Journal string `required:"" placeholder:"JOURNAL" help:"The journal, a PATH or postgres://..."`
	By      string `required:"" placeholder:"WHO" help:"Who answers for this import."`
	Ahead   bool   `help:"Takes reports of a time that is still to come, as of an invented file."`
	Confirm bool   `help:"Says that doses of more than a whole year's limit are so."`
}

func (dosesCmd) Help() string {
	return `Reads the report of a dosimetry service and writes each line as an entry, or none. The first line names the columns, in any order:

  ` + strings.Join(room.DoseColumns, ",") + `
  rp-3,R-117,ring,left,2027-02-01T00:00,2027-03-01T00:00,4.2 mSv,2027-02

worn is body, ring, fingertip, lens or fetus; hand is left or right, of a ring or a fingertip: where it is empty the dose counts on either hand; a dose has its unit; a time without an offset is in the zone of the site. A line that is there already is refused with all others, and so is one that ends at a time still to come, without --ahead. Doses of more than a whole year's limit are taken with --confirm alone. Values are separated by commas, or by semicolons where the first line is.

` + whereHelp
}

func (c *dosesCmd) Run(e *edge) error {
	data, err := e.readFile(c.File, casefile.MaxBytes)
	if err != nil {
		return err
	}
	ctx := context.Background()
	log, err := openToWrite(ctx, c.Journal)
	if err != nil {
		return journalError(c.Journal, err)
	}
	defer log.Close()
	if err := asNotedBeside(ctx, log, c.Journal, "", e); err != nil {
		return journalError(c.Journal, err)
	}
	books, report, err := booksOf(ctx, log)
	if err != nil {
		return journalError(c.Journal, err)
	}
	zone, err := zoneOf(books.Records(nil))
	if err != nil {
		return journalError(c.Journal, err)
	}
	kept := books.Kept(func(f fact.Fact) bool { _, report := f.(*fact.DoseReport); return report })
	now := e.now()
	if c.Ahead {
		now = time.Time{} // nothing is still to come
	}
	facts, lines, err := room.Reports(string(data), zone.String(), loadZone, fold.Entries(kept), now)
	if wrong, ok := errors.AsType[room.Wrong](err); ok {
		for _, bad := range wrong {
			bad.File = c.File
		}
		return &exit{2, wrong.Error()}
	} else if err != nil {
		return err
	}
	if odd := room.Odd(facts, lines); odd != nil && !c.Confirm {
		return usageError("%s: %s Nothing was written. Send it again with --confirm if it is so", c.File, strings.Join(odd, " "))
	}
	head, err := sealBehind(ctx, log, report.Head, journal.Entered(facts, e.now(), c.By, books.Len()+1))
	if err != nil {
		return journalError(c.Journal, err)
	}
	for i, f := range facts {
		who := fact.PersonOf(f)
		if _, known := books.People().Of(who); !known && len(books.People().All()) > 0 {
			fmt.Fprintf(e.out, "Line %d: nobody has the account %s here. Find out whose dosemeter it is.\n", lines[i], who)
		}
	}
	fmt.Fprintf(e.out, "%d reports written to %s.\nhead %d %x\n", len(facts), shown(c.Journal), head.Seq, head.Hash)
	return nil
}

// shieldingCmd answers whether a wall is thick enough, and what a thing reads at a distance.
type shieldingCmd struct {
	Wall     string `placeholder:"MATERIAL" help:"A wall of acrylic, water, aluminium, tungsten or lead ..."`
	Thick    string `placeholder:"LENGTH" help:"... and how thick it is, such as '10 mm'."`
	Thing    string `placeholder:"THING" help:"What reads: a vial in acrylic, a jar, a pot of lead, a parcel or a patient, by its name or a part of it ..."`
	Holds    string `placeholder:"ACTIVITY" help:"... what is in it, such as '3.0 GBq' ..."`
	Distance string `placeholder:"LENGTH" help:"... and how far it is, such as '30 cm'."`
}

func (shieldingCmd) Help() string {
	return `Says whether a wall stops the betas of Y-90 and what it lets through of photons, or what a vial, a jar, a parcel or a patient reads at a distance: an order of magnitude, with what is in print and its source. It replaces no measurement.

  vialwright shielding --wall acrylic --thick '10 mm'
  vialwright shielding --thing jar --holds '1.4 GBq' --distance '30 cm'

Exit status 1: the wall is not thick enough.`
}

func (c *shieldingCmd) Run(e *edge) error {
	wall := c.Wall != "" || c.Thick != ""
	if wall == (c.Thing != "" || c.Holds != "" || c.Distance != "") {
		return usageError("ask one thing: --wall with --thick, or --thing with --holds and --distance")
	}
	a, err := room.Distance(c.Thing, c.Holds, c.Distance)
	if wall {
		a, err = room.Wall(c.Wall, c.Thick)
	}
	if err != nil {
		return usageError("%v", err)
	}
	fmt.Fprintf(e.out, "%s. %s\n%s\n", a.Word, a.Text, a.Hint)
	if a.Kind == "warn" {
		return errStopped
	}
	return nil
}
