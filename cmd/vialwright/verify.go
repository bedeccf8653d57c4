package main

import (
	"context"
	"fmt"
	"strings"

	"vialwright/journal"
	"vialwright/quantity"
	"vialwright/store"
	"vialwright/witness"
	"vialwright/witness/keep"
)

// verifyCmd checks a journal from its first link to its head, and asks those who
// noted heads of it.
type verifyCmd struct {
	Journal string `required:"" placeholder:"JOURNAL" help:"The journal, a PATH or postgres://...; it is opened for reading only."`
	Head    string `placeholder:"DIGITS" help:"A head noted elsewhere, such as on a printed sheet, or its first 8 digits or more: is it in this journal?"`
	Key     string `placeholder:"FILE" help:"The site's key, where the journal is in a database: beside it lies the head that was acknowledged last."`
	askFlags
}

func (verifyCmd) Help() string {
	return `Reads every link, recomputes its hash from the one before, and decodes its record. Then compares the journal with what was noted of it: with the head that lies beside it, and with the signed notes of its witnesses. A journal whose records were changed and whose hashes were computed again, or whose newest records were taken away, is sound in itself: only what was noted elsewhere shows that.

  vialwright verify --journal lab.vialwright --head '349c 4120 1b62-1'
  vialwright verify --journal lab.vialwright --witness /mnt/suite/heads --signed-by heads.key.pub

` + witnessHelp + `
` + whereHelp
}

func (c *verifyCmd) Run(e *edge) error {
	digits := ""
	if c.Head != "" {
		var err error
		if digits, err = witness.ReadDigits(c.Head); err != nil {
			return usageError("--head: %v", err)
		}
	}
	ctx := context.Background()
	log, err := openJournal(ctx, c.Journal)
	if err != nil {
		return journalError(c.Journal, err)
	}
	defer log.Close()
	k, err := c.keeper(c.Journal, "", besideFile(c.Journal, c.Key), log, nil, e)
	if err != nil {
		return err
	}
	defer k.Close()
	var found []uint64
	j, r, err := witnessed(ctx, log, func(l journal.Link) {
		if digits != "" && strings.HasPrefix(l.Hash.String(), digits) {
			found = append(found, l.Seq)
		}
	})
	if err != nil {
		return journalError(c.Journal, err)
	}
	c.say(e, log, r)
	if err := damaged(log); err != nil {
		return &exit{1, shown(c.Journal) + ": " + err.Error()}
	}
	for _, n := range found {
		newest := ""
		if n == r.Records {
			newest = ", the newest one"
		}
		fmt.Fprintf(e.out, "What was given is the head after record %d%s, and everything up to it is as it was then.\n", n, newest)
	}
	agrees := c.compare(ctx, e, k, j)
	switch {
	case digits != "" && len(found) == 0:
		return &exit{1, fmt.Sprintf("no record of this journal has a head that begins with %s: it was taken off the end or changed since, or the head is that of another journal", digits)}
	case !agrees:
		return &exit{1, shown(c.Journal) + " is whole in itself, and does not agree with everything that was noted of it"}
	}
	return nil
}

// say prints what the journal holds.
func (c *verifyCmd) say(e *edge, log store.Log, r journal.Report) {
	fmt.Fprintf(e.out, "%s is whole: %d records, each link's hash recomputed, each record decoded and re-encoded to the same bytes.\n", shown(c.Journal), r.Records)
	if r.Records == 0 {
		fmt.Fprintf(e.out, "IT HOLDS NO RECORD. If anything was ever recorded in it, all of that is gone.\n")
	} else {
		fmt.Fprintf(e.out, "Recorded from %s to %s.\n", quantity.ShowTime(r.First), quantity.ShowTime(r.Last))
	}
	if alone, ok := log.(interface{ Alone() bool }); ok && alone.Alone() {
		fmt.Fprintf(e.out, "The file stands alone: the program was ended, or this is a copy, which may lack the last minutes before it was made.\n")
	}
	if r.Destroyed > 0 {
		fmt.Fprintf(e.out, "The content of %d of them was destroyed when its retention ended; their digests hold.\n", r.Destroyed)
	}
	if r.Backwards > 0 {
		fmt.Fprintf(e.out, "The machine's clock was put back before %d of them.\n", r.Backwards)
	}
	fmt.Fprintf(e.out, "head %d %s\n", r.Head.Seq, r.Head.Hash)
	if r.Records > 0 {
		fmt.Fprintf(e.out, "to compare %s\n", witness.Digits(r.Head.Hash, 24))
	}
}

// compare asks the witnesses and prints what they say; it is false where anything
// does not agree.
func (c *verifyCmd) compare(ctx context.Context, e *edge, k *keep.Keeper, j witness.Journal) bool {
	told, faults := k.Ask(ctx)
	faults = append(witness.Judge(j, told), faults...)
	newest := map[string]witness.Note{}
	count := map[string]int{}
	var places []string
	for _, t := range told {
		if count[t.Place] == 0 {
			places = append(places, t.Place)
		}
		count[t.Place]++
		if n := t.Note; n.Head.Seq >= newest[t.Place].Head.Seq {
			newest[t.Place] = n
		}
	}
	for _, p := range places {
		n := newest[p]
		fmt.Fprintf(e.out, "Notes in %s: %d, the newest of record %d on %s.\n", p, count[p], n.Head.Seq, quantity.ShowTime(n.At))
	}
	for _, n := range witness.Resumptions(told) {
		fmt.Fprintf(e.out, "Recording went on after a loss behind record %d, on %s, by %s: %s\n", n.Head.Seq, quantity.ShowTime(n.At), n.ResumedBy, n.ResumedWhy)
	}
	for i := range faults {
		word := "Look"
		if faults[i].Stop {
			word = "STOP"
		}
		fmt.Fprintf(e.out, "%s %s: %s\n", word, faults[i].Code, faults[i].Error())
	}
	switch _, signed := witness.Newest(told); {
	case signed:
	case len(c.Witness) > 0:
		fmt.Fprintln(e.out, "No place that was named has a note that can be believed: nothing shows that the past was not rewritten, or the newest records taken away.")
	default:
		fmt.Fprintln(e.out, unwitnessed)
	}
	return len(faults) == 0
}
