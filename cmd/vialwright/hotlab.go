package main

import (
	"fmt"
	"io"
	"strings"
	"time"

	"vialwright/casefile"
	"vialwright/hotlab"
	"vialwright/hotlab/quarter"
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
	at, err := momentOf(c.At, zone, e.now().In(zone))
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
	if c.JSON {
		err = indented(e.out, each(b.Findings, func(f hotlab.Finding) object {
			return object{
				{"code", f.Code},
				{"severity", f.Severity},
				{"page", f.Page},
				{"about", f.About},
				{"entry", ifAny(f.Entry)},
				{"text", f.Text},
				{"do", f.Do},
			}
		}))
	} else {
		err = c.write(e.out, b, zone)
	}
	return stoppedIf(len(b.Findings) > 0 && b.Findings[0].Severity == hotlab.Stop, err)
}

func (c *hotLabCmd) write(w io.Writer, b hotlab.Book, zone *time.Location) error {
	p := newPage(w, zone)
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
	return p.w.Flush()
}

// noRules is said where no rule profile is named.
const noRules = "NO RULES: no rule profile is named, so that nothing is held against a limit. Name one with --rules, such as --rules us-nc."
