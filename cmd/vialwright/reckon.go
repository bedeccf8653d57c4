package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"vialwright/casefile"
	"vialwright/dispensing"
	"vialwright/fold"
	"vialwright/journal"
	"vialwright/procedure"
)

// reckonCmd answers what to do now and what has been achieved.
type reckonCmd struct {
	File string `arg:"" help:"The case file, YAML or JSON; - reads standard input."`
	JSON bool   `name:"json" help:"Print the answer as JSON, numbers unrounded."`
	At   string `placeholder:"TIME" help:"Ask for another moment: a plan for drawing then, activities then."`
	// Working is for the text alone.
	Working bool `help:"Print also how each figure was worked out, with its inputs."`
	// Rules is for the infusions of the case.
	Rules string `placeholder:"PROFILE" help:"Hold each infusion against this rule profile, us or another, or the path of a file."`
}

func (reckonCmd) Help() string {
	return `Reads a case file, reconciles every reading in it, and prints one page: what to do now, what stops or warns, and the figures of each order as its sheet has them.

  vialwright reckon examples/one-patient.yaml
  vialwright reckon case.yaml --working
  vialwright reckon case.yaml --at 2027-03-04T12:10
  vialwright reckon case.yaml --json

A time without an offset is in the file's zone.`
}

func (c *reckonCmd) Run(e *edge) error {
	f, err := e.readCase(c.File)
	if err != nil {
		return err
	}
	folded, err := fold.File(f)
	if err != nil {
		return caseError(c.File, err)
	}
	at, err := momentOf("--at", c.At, folded.Zone, time.Time{})
	if err != nil {
		return err
	}
	if folded.Profile, err = e.rules(c.Rules); err != nil {
		return err
	}
	r := dispensing.Reckon(folded, at)
	r = procedure.Waiting(journal.Records(f.Facts), folded, r)
	var decide decider
	if folded.Profile != nil {
		k, err := procedure.Reckon(journal.Records(f.Facts), nil, time.LoadLocation, r.At, "", nil, folded.Profile)
		if err != nil {
			return caseError(c.File, err)
		}
		decide = decideBy(folded, k.Preparations())
	}
	return e.answer(c.JSON, caseOf(folded.Zone, r), folded.Zone, func(p *page) { p.reckoned(c.File, folded, r, decide, c.Working) }, r.Stopped())
}

// readCase reads and decodes a case file.
func (e *edge) readCase(name string) (*casefile.File, error) {
	data, err := e.readFile(name, casefile.MaxBytes)
	if err != nil {
		return nil, err
	}
	f, err := casefile.Decode(data, loadZone)
	if err != nil {
		return nil, caseError(name, err)
	}
	return f, nil
}

// readFile reads a file, or standard input for -, and never more of it than one
// byte beyond the most it can have.
func (e *edge) readFile(name string, most int64) ([]byte, error) {
	in := e.in
	if name != "-" {
		h, err := os.Open(filepath.Clean(name))
		if err != nil {
			return nil, usageError("%s cannot be read: %v; check the path", name, reason(err))
		}
		defer h.Close()
		in = h
	}
	data, err := io.ReadAll(io.LimitReader(in, most+1))
	if err != nil {
		return nil, usageError("%s cannot be read: %v; check the path", name, reason(err))
	}
	return data, nil
}

// reason is the bare reason of a file error, without the path said twice.
func reason(err error) error {
	var p *os.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}

// caseError names the file in a refusal of its content.
func caseError(name string, err error) error {
	var f *casefile.Error
	if errors.As(err, &f) {
		named := *f
		named.File = name
		return &exit{2, named.Error()}
	}
	return &exit{2, fmt.Sprintf("%s: %v", name, err)}
}
