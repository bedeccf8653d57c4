package main

import (
	"context"
	"fmt"
	"time"

	"vialwright/fact"
	"vialwright/journal"
	"vialwright/store"
	"vialwright/witness"
)

// resumeCmd lets recording go on with a journal that a witness contradicts.
type resumeCmd struct {
	Journal string `required:"" placeholder:"JOURNAL" help:"The journal, a PATH or postgres://..."`
	By      string `required:"" placeholder:"WHO" help:"Who answers for it."`
	Why     string `required:"" placeholder:"TEXT" help:"What happened, and where the records are that are missing."`
	Sign    string `placeholder:"FILE" help:"The signing key, as it is given to serve."`
	Key     string `placeholder:"FILE" help:"The site's key, where the journal is in a database."`
	askFlags
}

func (resumeCmd) Help() string {
	return `After a loss that is understood (a disk that failed, a standby server that lacked an entry), recording does not go on by itself, since what was noted of the journal contradicts it. This says so in the journal, and signs a note that goes to every witness; verify tells of it for ever. Give the same --sign and --witness as to serve. Keep a copy of the journal as it was found.

  vialwright resume --journal lab.vialwright --by 'A. Example' --why 'disk of the bench failed; records 79 to 81 are on paper' --sign /etc/vialwright/heads.key --witness /mnt/suite/heads

` + whereHelp
}

func (c *resumeCmd) Run(e *edge) error {
	ctx := context.Background()
	log, err := openToWrite(ctx, c.Journal)
	if err != nil {
		return journalError(c.Journal, err)
	}
	defer log.Close()
	k, err := c.keeper(c.Journal, c.Sign, besideFile(c.Journal, c.Key), log, nil, e)
	if err != nil {
		return err
	}
	defer k.Close()
	j, r, err := witnessed(ctx, log, func(journal.Link) {})
	if err != nil {
		return journalError(c.Journal, err)
	}
	told, _ := k.Ask(ctx)
	faults := witness.Judge(j, told)
	if len(faults) == 0 || !faults[0].Stop {
		return usageError("nothing that was noted contradicts %s: there is nothing to resume, and nothing was done", shown(c.Journal))
	}
	for i := range faults {
		fmt.Fprintln(e.out, faults[i].Error())
	}
	if j.Records > 0 {
		if err := c.record(ctx, log, r.Head, e); err != nil {
			return journalError(c.Journal, err)
		}
		if j, r, err = witnessed(ctx, log, func(journal.Link) {}); err != nil {
			return journalError(c.Journal, err)
		}
	}
	if err := k.Resume(ctx, j, c.By, c.Why); err != nil {
		return &exit{2, "the note could not be kept: " + err.Error()}
	}
	fmt.Fprintf(e.out, "Recording may go on behind record %d. Start the program again.\n", r.Head.Seq)
	return nil
}

// record says in the journal that it goes on.
func (c *resumeCmd) record(ctx context.Context, log store.Log, head journal.Head, e *edge) error {
	now := e.now().UTC()
	says := &fact.Deviation{Text: fmt.Sprintf("Recording goes on behind record %d, though more or other records were noted: %s", head.Seq, c.Why), At: now.Truncate(time.Second)}
	_, err := sealBehind(ctx, log, head, []journal.Record{{By: c.By, Recorded: now, Fact: says}})
	return err
}
