package main

import (
	"bufio"
	"cmp"
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"iter"
	"strings"
	"time"

	"vialwright/casefile"
	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/fold"
	"vialwright/journal"
	"vialwright/procedure"
	"vialwright/quantity"
	"vialwright/replica"
	"vialwright/state"
	"vialwright/store"
	"vialwright/web/kit"
	records "vialwright/web/record"
)

// importCmd writes a case file into the journal of a site.
type importCmd struct {
	File    string            `arg:"" help:"The case file; - reads standard input."`
	Journal string            `required:"" placeholder:"JOURNAL" help:"The journal, a PATH or postgres://...; made if there is none."`
	By      string            `required:"" placeholder:"WHO" help:"Who answers for this import."`
	Rename  map[string]string `placeholder:"OLD=NEW" help:"Gives an order or a container of the file another id, such as P1=P1-0304; may be repeated."`
	Prefix  string            `placeholder:"TEXT" help:"Puts a text before every id of an order or a container in the file."`
	Ahead   bool              `help:"Takes entries at times that are still to come, as of an invented file."`
}

func (importCmd) Help() string {
	return `Checks the whole case file first, then appends all its facts to the journal at once, or none. An id that the site has used before is refused with all the others, since an id is used once, for ever: --rename or --prefix give them others. The settings of the file hold for its own entries; after them the site's own settings are in force again. A meter that the site has with other factors is refused, and so is an entry at a time that is still to come, without --ahead.

  vialwright import examples/one-patient.yaml --journal lab.vialwright --by 'A. Example'
  vialwright import case.yaml --journal lab.vialwright --by 'A. Example' --rename P1=P1-0304 --rename S1=S1-0304

` + whereHelp
}

func (c *importCmd) Run(e *edge) error {
	f, err := e.readCase(c.File)
	if err != nil {
		return err
	}
	if _, err := fold.File(f); err != nil {
		return caseError(c.File, err)
	}
	if err := stillToCome(f.Facts, e.now()); err != nil && !c.Ahead {
		return caseError(c.File, err)
	}
	facts, err := fact.Rename(f.Facts, c.renamed)
	if err != nil {
		return usageError("%v", err)
	}
	folded, err := fold.Facts(facts, loadZone) // under the ids that the site has from now on
	if err != nil {
		return usageError("%v", err)
	}
	// What cannot be recorded is refused before a journal is made for it.
	for _, r := range journal.Entered(facts, e.now(), c.By, 1) {
		if _, err := r.Marshal(); err != nil {
			return usageError("%v", err)
		}
	}
	ctx := context.Background()
	log, err := openOrCreate(ctx, c.Journal)
	if err != nil {
		return journalError(c.Journal, err)
	}
	defer log.Close()
	if err := asNotedBeside(ctx, log, c.Journal, "", e); err != nil {
		return journalError(c.Journal, err)
	}
	head, n, err := appendCase(ctx, log, c.By, facts, e)
	if err != nil {
		return journalError(c.Journal, err)
	}
	fmt.Fprintf(e.out, "%d facts written to %s.\nhead %d %x\n", n, shown(c.Journal), head.Seq, head.Hash)
	for _, x := range dispensing.Reckon(folded, time.Time{}).Findings {
		if x.Severity == dispensing.Stop {
			fmt.Fprintf(e.out, "STOP %s: %s.\n", x.Code, x.Text)
		}
	}
	return nil
}

// stillToCome refuses facts at times after now, since nothing is recorded before it
// happened. What a setting holds from may be to come.
func stillToCome(facts []fact.Fact, now time.Time) error {
	for _, f := range facts {
		if c, ok := f.(*fact.Correct); ok && c.With != nil {
			f = c.With
		}
		if at := fact.At(f); !fact.IsSetting(f) && at.Sub(now) > kit.Soonest {
			return fmt.Errorf("the %s at %s is still to come: it is %s now; look at the day, the month and the year of the file, and at the clock of this machine, or take it as it is with --ahead",
				fact.Word(f), at.Format(time.RFC3339), now.In(at.Location()).Format(time.RFC3339))
		}
	}
	return nil
}

func (c *importCmd) renamed(id string) string {
	if to, ok := c.Rename[id]; ok {
		return to
	}
	return c.Prefix + id
}

// appendCase seals the facts of a case file behind the head of a site's journal,
// which is read and verified first: nothing is added to a broken chain.
func appendCase(ctx context.Context, log store.Log, by string, facts []fact.Fact, e *edge) (store.Head, int, error) {
	books, report, err := booksOf(ctx, log)
	if err != nil {
		return store.Head{}, 0, err
	}
	facts, err = books.Import(facts, e.now())
	if err != nil {
		return store.Head{}, 0, usageError("%v", err)
	}
	records := journal.Entered(facts, e.now(), by, books.Len()+1)
	if err := books.Check(records, loadZone); err != nil {
		return store.Head{}, 0, usageError("the file does not fit what the site has recorded: %v; nothing was written", err)
	}
	head, err := sealBehind(ctx, log, report.Head, records)
	return head, len(facts), err
}

// booksOf reads and verifies a journal, and sorts it.
func booksOf(ctx context.Context, log store.Log) (*state.Books, journal.Report, error) {
	books := state.New()
	var v journal.Verifier
	for l, err := range links(ctx, log) {
		if err != nil {
			return nil, v.Report(), err
		}
		r, err := v.Add(l)
		if err != nil {
			return nil, v.Report(), err
		}
		books.Add(r)
	}
	return books, v.Report(), nil
}

// newSalt is what is hashed with a record.
func newSalt() (s journal.Salt) {
	_, _ = rand.Read(s[:]) // crypto/rand.Read never fails
	return s
}

// sealBehind appends records behind the head of a journal that was verified.
func sealBehind(ctx context.Context, log store.Log, prev journal.Head, records []journal.Record) (store.Head, error) {
	sealed, err := journal.Seal(prev, newSalt, records...)
	if err != nil {
		return store.Head{}, err
	}
	out := make([]store.Record, len(sealed))
	for i, l := range sealed {
		out[i] = store.Record{Seq: l.Seq, Body: []byte(l.Body), Hash: l.Hash}
	}
	if err := log.Append(ctx, store.Head{Seq: prev.Seq, Hash: prev.Hash}, out...); err != nil {
		return store.Head{}, err
	}
	return out[len(out)-1].Head(), nil
}

// links reads a journal's links in order.
func links(ctx context.Context, log store.Log) iter.Seq2[journal.Link, error] {
	return func(yield func(journal.Link, error) bool) {
		for r, err := range log.Read(ctx, 1, store.All) {
			if !yield(journal.Link{Seq: r.Seq, Hash: r.Hash, Body: string(r.Body)}, err) {
				return
			}
		}
	}
}

// journalError names the journal in what went wrong with it. A chain that
// does not hold is exit status 1, everything else 2.
func journalError(path string, err error) error {
	var x *exit
	if errors.As(err, &x) {
		return err
	}
	status := 2
	var broken *journal.BrokenLink
	if errors.As(err, &broken) {
		status = 1
	}
	return &exit{status, shown(path) + ": " + err.Error()}
}

// exportCmd writes a group of a journal as a case file, or the journal's raw lines.
type exportCmd struct {
	ID      string `arg:"" optional:"" help:"An order, or a vial or another container; without one the orders and vials are listed."`
	Journal string `required:"" placeholder:"JOURNAL" help:"The journal, a PATH or postgres://..."`
	Raw     bool   `help:"Write every link as a line: number, hash, digest, salt, record. Anyone can check these with a SHA-256 program; see docs/journal.md."`
	From    string `placeholder:"DAY" help:"Write an archive (zip) of what was recorded from this day on, such as 2027-03-04: the raw lines, and each order or vial as a case file."`
	To      string `placeholder:"DAY" help:"The last day of the archive, inclusive; without it the first."`
}

func (exportCmd) Help() string {
	return `Writes a case file that 'reckon' reads, or all raw lines of the journal. Of an order it has the vial and whatever was drawn from it, other orders as a
letter without patient, territory, person and free text; of a vial or another container it has all of them in full.

  vialwright export P1 --journal lab.vialwright > P1.yaml
  vialwright export --raw --journal lab.vialwright > lab.journal
  vialwright export --from 2027-03-04 --to 2027-03-31 --journal lab.vialwright > march.zip

` + whereHelp
}

func (c *exportCmd) Run(e *edge) error {
	ctx := context.Background()
	log, err := openJournal(ctx, c.Journal)
	if err != nil {
		return journalError(c.Journal, err)
	}
	defer log.Close()
	if c.Raw {
		return c.raw(ctx, log, e)
	}
	if c.From != "" || c.To != "" {
		return c.days(ctx, log, e)
	}
	lab, err := verifiedJournal(ctx, log)
	if err != nil {
		return journalError(c.Journal, err)
	}
	defer lab.Close()
	if c.ID == "" {
		for _, g := range lab.Groups() {
			fmt.Fprintln(e.out, strings.Join(g.IDs, " "))
		}
		return nil
	}
	f, order := lab.OrderFile(c.ID, func() *replica.File {
		now := e.now()
		return lab.OpenFile(now.Add(-kit.Dormant), func(f *replica.File) bool {
			k, err := procedure.Reckon(f.Records, f.Elsewhere, loadZone, now, "", nil, nil)
			return err == nil && k.Over()
		})
	})
	if _, used := lab.Used(c.ID); !used {
		return usageError("%s has no order or container %s; without an id the ids are listed", shown(c.Journal), c.ID)
	}
	records := f.Records
	if order {
		if records, err = casefile.ForOrder(records, c.ID); err != nil {
			return journalError(c.Journal, err)
		}
	}
	data, err := casefile.Export(casefile.Extract(records), loadZone)
	if err != nil {
		return journalError(c.Journal, err)
	}
	_, err = e.out.Write(data)
	return err
}

func (c *exportCmd) raw(ctx context.Context, log store.Log, e *edge) error {
	w := bufio.NewWriter(e.out)
	var v journal.Verifier
	for l, err := range links(ctx, log) {
		if err == nil {
			_, err = v.Add(l)
		}
		if err != nil {
			return journalError(c.Journal, errors.Join(w.Flush(), err))
		}
		fmt.Fprintln(w, l.String())
	}
	return w.Flush()
}

// days writes an archive of what was recorded on some days.
func (c *exportCmd) days(ctx context.Context, log store.Log, e *edge) error {
	lab, err := verifiedJournal(ctx, log)
	if err != nil {
		return journalError(c.Journal, err)
	}
	defer lab.Close()
	a := records.DayArchive{Zones: loadZone, By: "vialwright export", Version: "vialwright " + release, Now: e.now()}
	if err := c.ofSite(lab, &a); err != nil {
		return err
	}
	if err := a.Fill(ctx, lab); err != nil {
		return journalError(c.Journal, err)
	}
	if len(a.Lines) == 0 {
		return usageError("nothing was recorded in %s on these days", shown(c.Journal))
	}
	data, err := a.Pack()
	if err != nil {
		return journalError(c.Journal, err)
	}
	_, err = e.out.Write(data)
	return err
}

// verifiedJournal reads and verifies a journal.
func verifiedJournal(ctx context.Context, log store.Log) (*replica.Replica, error) {
	lab, err := replica.Open(ctx, log, newSalt, nil)
	if err != nil {
		return nil, err
	}
	return lab, lab.Broken()
}

// siteAt reads and verifies the journal of a site, and gives it with the zone of the site
// until end is called.
func siteAt(where string) (lab *replica.Replica, zone *time.Location, end func(), err error) {
	ctx := context.Background()
	log, err := openJournal(ctx, where)
	if err != nil {
		return nil, nil, nil, journalError(where, err)
	}
	if lab, err = verifiedJournal(ctx, log); err == nil {
		zone, err = zoneOf(lab.File().Records)
	}
	if err != nil {
		log.Close()
		return nil, nil, nil, journalError(where, err)
	}
	return lab, zone, func() { lab.Close(); log.Close() }, nil
}

// ofSite reads the days in the zone of the site, which is in the first record.
func (c *exportCmd) ofSite(lab *replica.Replica, a *records.DayArchive) error {
	first, _ := lab.First()
	site, ok := first.Fact.(*fact.Site)
	if !ok {
		return usageError("%s has no site in its first record, so it is not known when its day begins", shown(c.Journal))
	}
	zone, err := loadZone(site.Zone)
	if err != nil {
		return journalError(c.Journal, err)
	}
	if a.Zone = site.Zone; site.Use == fact.ForPractice {
		a.Mark = kit.PracticeMark
	}
	if a.From, _, err = quantity.ParseDay(c.From, zone); err != nil {
		return usageError("--from %q is no day; write it as 2027-03-04", c.From)
	}
	if _, a.End, err = quantity.ParseDay(cmp.Or(c.To, c.From), zone); err != nil || !a.End.After(a.From) {
		return usageError("--to %q is no day, or lies before --from; write it as 2027-03-31", c.To)
	}
	return nil
}
