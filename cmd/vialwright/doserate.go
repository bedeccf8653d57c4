package main

import (
	"context"
	"fmt"

	"vialwright/dispensing"
	"vialwright/quantity"
)

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
	ctx := context.Background()
	log, err := openJournal(ctx, c.Journal)
	if err != nil {
		return dispensing.JarUsual{}, journalError(c.Journal, err)
	}
	defer log.Close()
	t, _, _, err := tallyOf(ctx, log)
	if err != nil {
		return dispensing.JarUsual{}, journalError(c.Journal, err)
	}
	return t.Jar(), nil
}
