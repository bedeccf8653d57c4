package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"iter"
	"path/filepath"
	"strings"

	"vialwright/journal"
	"vialwright/quantity"
	"vialwright/store"
)

// importCmd writes a case file into a journal.
type importCmd struct {
	File    string `arg:"" help:"The case file; - reads standard input (then --as is needed)."`
	Journal string `required:"" placeholder:"JOURNAL" help:"The journal, a PATH or postgres://...; made if there is none."`
	By      string `required:"" placeholder:"WHO" help:"Who answers for this import."`
	As      string `placeholder:"NAME" help:"The name of the case in the journal; the file's own name if not given."`
}

func (importCmd) Help() string {
	return `Checks the whole case file first, then appends all its facts to the journal at once, or none. A name that the journal already has is refused.

  vialwright import examples/one-patient.yaml --journal lab.vialwright --by 'A. Example'

` + whereHelp
}

func (c *importCmd) Run(e *edge) error {
	f, err := e.readCase(c.File)
	if err != nil {
		return err
	}
	if _, err := f.Fold(); err != nil {
		return caseError(c.File, err)
	}
	name := c.As
	if name == "" {
		if c.File == "-" {
			return usageError("--as: a case from standard input needs a name")
		}
		name = strings.TrimSuffix(filepath.Base(c.File), filepath.Ext(c.File))
	}
	ctx := context.Background()
	log, err := openOrCreate(ctx, c.Journal)
	if err != nil {
		return journalError(c.Journal, err)
	}
	defer log.Close()
	head, err := appendCase(ctx, log, name, c.By, f.Facts, e)
	if err != nil {
		return journalError(c.Journal, err)
	}
	fmt.Fprintf(e.out, "case %s: %d facts written to %s\nhead %d %x\n", name, len(f.Facts), shown(c.Journal), head.Seq, head.Hash)
	return nil
}

// appendCase seals a case's facts behind the journal's head, which is read
// and verified first: nothing is added to a broken chain.
func appendCase(ctx context.Context, log store.Log, name, by string, facts []journal.Fact, e *edge) (store.Head, error) {
	var v journal.Verifier
	for l, err := range links(ctx, log) {
		if err != nil {
			return store.Head{}, err
		}
		r, err := v.Add(l)
		if err != nil {
			return store.Head{}, err
		}
		if r.Case == name {
			return store.Head{}, usageError("the journal already has a case %s; give another name with --as", name)
		}
	}
	now := e.now()
	records := make([]journal.Record, len(facts))
	for i, f := range facts {
		records[i] = journal.Record{Case: name, By: by, Recorded: now, Fact: f}
	}
	return sealBehind(ctx, log, v.Report().Head, records)
}

// sealBehind appends records behind the head of a journal that was verified.
func sealBehind(ctx context.Context, log store.Log, prev journal.Head, records []journal.Record) (store.Head, error) {
	sealed, err := journal.Seal(prev, records...)
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

// exportCmd writes a case of a journal, or the journal's raw lines.
type exportCmd struct {
	Case    string `arg:"" optional:"" help:"The case; without one the cases are listed."`
	Journal string `required:"" placeholder:"JOURNAL" help:"The journal, a PATH or postgres://..."`
	Raw     bool   `help:"Write every link as a line: number, hash, record. Anyone can check these with a SHA-256 program; see docs/journal.md."`
}

func (exportCmd) Help() string {
	return `Writes a case as a case file that 'reckon' reads, or all raw lines of the journal.

  vialwright export one-patient --journal lab.vialwright > one-patient.yaml
  vialwright export --raw --journal lab.vialwright > lab.journal

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
	var facts []journal.Fact
	var names []string
	seen := map[string]bool{}
	for r, err := range verified(ctx, log) {
		if err != nil {
			return journalError(c.Journal, err)
		}
		if !seen[r.Case] {
			seen[r.Case] = true
			names = append(names, r.Case)
		}
		if r.Case == c.Case {
			facts = append(facts, r.Fact)
		}
	}
	if c.Case == "" {
		fmt.Fprintln(e.out, strings.Join(names, "\n"))
		return nil
	}
	if len(facts) == 0 {
		return usageError("%s has no case %s; it has: %s", shown(c.Journal), c.Case, strings.Join(names, ", "))
	}
	data, err := journal.Export(facts, loadZone)
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

// verified reads a journal's records, checking the chain on the way.
func verified(ctx context.Context, log store.Log) iter.Seq2[journal.Record, error] {
	return func(yield func(journal.Record, error) bool) {
		var v journal.Verifier
		for l, err := range links(ctx, log) {
			var r journal.Record
			if err == nil {
				r, err = v.Add(l)
			}
			if !yield(r, err) || err != nil {
				return
			}
		}
	}
}

// verifyCmd checks a journal from its first link to its head.
type verifyCmd struct {
	Journal string `required:"" placeholder:"JOURNAL" help:"The journal, a PATH or postgres://...; it is opened for reading only."`
	Head    string `placeholder:"HASH" help:"The head hash noted elsewhere, such as on a printed sheet: is it in this journal?"`
}

func (verifyCmd) Help() string {
	return `Reads every link, recomputes its hash from the one before, and decodes its record. Prints what was checked and the head hash; compare that with one noted elsewhere, since a journal cut short at the end is a sound shorter one.

` + whereHelp
}

func (c *verifyCmd) Run(e *edge) error {
	ctx := context.Background()
	log, err := openJournal(ctx, c.Journal)
	if err != nil {
		return journalError(c.Journal, err)
	}
	defer log.Close()
	var v journal.Verifier
	found := uint64(0)
	for l, err := range links(ctx, log) {
		if err == nil {
			_, err = v.Add(l)
		}
		if err != nil {
			return journalError(c.Journal, err)
		}
		if strings.EqualFold(l.Hash.String(), c.Head) {
			found = l.Seq
		}
	}
	r := v.Report()
	fmt.Fprintf(e.out, "%s is whole: %d records of %d cases, each link's hash recomputed, each record decoded and re-encoded to the same bytes\n", shown(c.Journal), r.Records, r.Cases)
	if r.Records > 0 {
		fmt.Fprintf(e.out, "recorded from %s to %s\n", quantity.ShowTime(r.First), quantity.ShowTime(r.Last))
	}
	if r.Backwards > 0 {
		fmt.Fprintf(e.out, "the machine's clock was put back before %d of them\n", r.Backwards)
	}
	fmt.Fprintf(e.out, "head %d %s\n", r.Head.Seq, r.Head.Hash)
	switch {
	case c.Head == "":
		return nil
	case found == 0:
		return &exit{1, "the head " + c.Head + " is not in this journal: it was cut short, replaced, or is another one"}
	default:
		fmt.Fprintf(e.out, "the head given is link %d: everything up to it is as it was then\n", found)
		return nil
	}
}
