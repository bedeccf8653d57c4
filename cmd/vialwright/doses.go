package main

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"vialwright/casefile"
	"vialwright/fact"
	"vialwright/fold"
	"vialwright/journal"
	room "vialwright/web/hotlab"
)

// dosesCmd writes the report of a dosimetry service into a journal.
type dosesCmd struct {
	File    string `arg:"" help:"The report as CSV; - reads standard input."`
	Journal string `required:"" placeholder:"JOURNAL" help:"The journal, a PATH or postgres://..."`
	By      string `required:"" placeholder:"WHO" help:"Who answers for this import."`
}

func (dosesCmd) Help() string {
	return `Reads the report of a dosimetry service and writes each line as an entry, or none. The first line names the columns, in any order:

  ` + strings.Join(room.DoseColumns, ",") + `
  rp-3,R-117,ring,left,2027-02-01T00:00,2027-03-01T00:00,4.2 mSv,2027-02

worn is body, ring, fingertip, lens or fetus; hand is left or right, of a ring or a fingertip: where it is empty the dose counts on either hand; a dose has its unit; a time without an offset is in the zone of the site. A line that is there already is refused with all others. Values are separated by commas, or by semicolons where the first line is.

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
	facts, lines, err := room.Reports(string(data), zone.String(), loadZone, fold.Entries(kept))
	if bad, ok := errors.AsType[*casefile.Error](err); ok {
		bad.File = c.File
		return &exit{2, bad.Error()}
	} else if err != nil {
		return err
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
