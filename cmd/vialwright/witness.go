package main

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"golang.org/x/mod/sumdb/note"

	"vialwright/fact"
	"vialwright/journal"
	"vialwright/store"
	"vialwright/store/postgres"
	"vialwright/witness"
	"vialwright/witness/keep"
)

// askFlags name the places that keep notes of a journal's heads.
type askFlags struct {
	Witness  []string `sep:"none" placeholder:"PLACE" help:"Where notes of the journal's head are kept: a folder, postgres://... or strip:FOLDER; may be repeated."`
	SignedBy []string `name:"signed-by" sep:"none" placeholder:"KEY" help:"A public key, or a file with one, whose notes count; may be repeated."`
}

const witnessHelp = `A witness is a place where who works on the machine of the journal cannot change or remove anything: a folder of another machine or another site that is mounted here, or a database (postgres://...) with the rights to insert and to select. With strip:FOLDER a strip of text is written for each note, for a printer that is fed from that folder.
`

// unwitnessed says what is not protected where no witness is named.
const unwitnessed = "No witness is named (--sign, --witness): anyone who can write the journal's file or database can change its past or take its newest records away, and nothing here would show it; docs/security.md says who."

// keyCmd makes a signing key.
type keyCmd struct {
	Site string `required:"" placeholder:"NAME" help:"The name of the site in its notes: 1 to 32 of A-Z a-z 0-9 . _ -"`
	Out  string `required:"" placeholder:"FILE" help:"The file of the key, not in the folder of the journal; the public key goes into FILE.pub."`
}

func (keyCmd) Help() string {
	return `Makes the key with which 'serve --sign FILE' signs the heads of a journal. Keep FILE where those who can write the journal cannot read it, and one copy of it apart. Take FILE.pub to where 'verify --signed-by' is run. One key belongs to one journal.

  vialwright key --site hotlab --out /etc/vialwright/heads.key
`
}

func (c *keyCmd) Run(e *edge) error {
	if !witness.IsName(c.Site) {
		return usageError("--site %q is no name of a site: 1 to 32 of A-Z a-z 0-9 . _ -, the first a letter or a digit", c.Site)
	}
	private, public, err := note.GenerateKey(rand.Reader, c.Site)
	if err != nil {
		return err
	}
	for _, f := range []struct{ path, text string }{{c.Out, private + "\n" + public + "\n"}, {c.Out + ".pub", public + "\n"}} {
		if err := writeNew(f.path, []byte(f.text)); err != nil {
			return usageError("%s cannot be written: %v", f.path, reason(err))
		}
	}
	fmt.Fprintf(e.out, "The key is in %s, its public half in %s.pub:\n%s\n", c.Out, c.Out, public)
	return nil
}

// signingKey reads a key. It refuses one that others can read, and one that lies
// beside the journal: who can write the one could sign the other.
func signingKey(path, where string) (note.Signer, note.Verifier, error) {
	data, err := readPrivate("the signing key", path)
	if _, open := errors.AsType[*exit](err); open {
		return nil, nil, err
	}
	if err != nil {
		return nil, nil, usageError("--sign %s cannot be read: %v; 'vialwright key' makes one", path, reason(err))
	}
	if !postgres.IsAddress(where) && sameFolder(path, where) {
		return nil, nil, usageError("the signing key %s lies beside the journal: anyone who could change the one could sign it with the other; move it to a folder of its own", path)
	}
	private, public, _ := strings.Cut(strings.TrimSpace(string(data)), "\n")
	s, err := note.NewSigner(private)
	if err != nil {
		return nil, nil, usageError("%s is no signing key; 'vialwright key' makes one", path)
	}
	v, err := note.NewVerifier(public)
	if err != nil || v.Name() != s.Name() || v.KeyHash() != s.KeyHash() {
		return nil, nil, usageError("the second line of %s is not the public half of the key; bring back the copy of it", path)
	}
	return s, v, nil
}

func sameFolder(a, b string) bool {
	x, err1 := os.Stat(filepath.Dir(a))
	y, err2 := os.Stat(filepath.Dir(b))
	return err1 == nil && err2 == nil && os.SameFile(x, y)
}

// publicKeys reads keys that were typed, or stand in files.
func (f *askFlags) publicKeys() (out []note.Verifier, err error) {
	for _, text := range f.SignedBy {
		v, err := note.NewVerifier(text)
		if err != nil {
			data, bad := os.ReadFile(text)
			if bad != nil {
				return nil, usageError("--signed-by %s is neither a public key nor a file with one", text)
			}
			if v, err = note.NewVerifier(strings.TrimSpace(string(data))); err != nil {
				return nil, usageError("%s holds no public key; 'vialwright key' writes one into FILE.pub", text)
			}
		}
		out = append(out, v)
	}
	return out, nil
}

// keeper asks and tells the witnesses of a journal. sign may be empty; unsound is
// why the store itself lets nothing be recorded, or nil.
func (f *askFlags) keeper(where, sign, beside string, log store.Log, unsound error, e *edge) (*keep.Keeper, error) {
	known, err := f.publicKeys()
	if err != nil {
		return nil, err
	}
	o := keep.Options{Known: known, Places: f.Witness, Shown: shown, Beside: beside, Log: log, Unsound: unsound, Clock: e.now}
	if sign != "" {
		s, v, err := signingKey(sign, where)
		if err != nil {
			return nil, err
		}
		o.Key, o.Known = s, append(known, v)
	}
	switch {
	case len(f.Witness) > 0 && len(o.Known) == 0:
		return nil, usageError("--witness is given and no key: nothing that lies there could be believed; name the key with --sign, or its public half with --signed-by")
	case len(known) > 0:
		o.Site = known[0].Name()
	}
	for _, place := range f.Witness {
		if postgres.IsAddress(place) && !legible(place) {
			return nil, usageError("the address of the witness cannot be read: write it as postgres://USER@HOST/DATABASE")
		}
	}
	k, err := keep.New(o)
	if err != nil {
		return nil, usageError("%v", err)
	}
	return k, nil
}

// besideFile is where the head that was acknowledged last is noted: beside the
// file of the journal, or beside the site's key.
func besideFile(where, key string) string {
	switch {
	case !postgres.IsAddress(where):
		return where + ".head"
	case key != "":
		return key + ".head"
	}
	return ""
}

// witnessed reads and verifies a journal, as a witness sees it. each is asked for
// every link.
func witnessed(ctx context.Context, log store.Log, each func(journal.Link)) (witness.Journal, journal.Report, error) {
	var v journal.Verifier
	var hashes []journal.Hash
	j := witness.Journal{Hash: func(n uint64) journal.Hash { return hashes[n-1] }}
	for l, err := range links(ctx, log) {
		var r journal.Record
		if err == nil {
			r, err = v.Add(l)
		}
		if err != nil {
			return j, v.Report(), err
		}
		if site, ok := r.Fact.(*fact.Site); ok && l.Seq == 1 {
			j.Practice = site.Use == fact.ForPractice
		}
		hashes = append(hashes, l.Hash)
		j.Records = l.Seq
		each(l)
	}
	if m, ok := log.(store.Marked); ok {
		mark, err := m.Mark(ctx)
		if err != nil {
			return j, v.Report(), err
		}
		j.Store = witness.Store(mark)
	}
	return j, v.Report(), nil
}

// asNotedBeside refuses to write to a journal that is not the one that was
// acknowledged last. key is the site's, beside which a head is noted where the journal
// is in a database; empty where it is not known.
func asNotedBeside(ctx context.Context, log store.Log, where, key string, e *edge) error {
	path := besideFile(where, key)
	if _, err := os.Stat(path); path == "" || errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	k, err := (&askFlags{}).keeper(where, "", path, log, nil, e)
	if err != nil {
		return err
	}
	defer k.Close()
	j, _, err := witnessed(ctx, log, func(journal.Link) {})
	if err != nil {
		return err
	}
	told, _ := k.Ask(ctx)
	for _, f := range witness.Judge(j, told) {
		return &exit{1, f.Error()}
	}
	return nil
}

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
