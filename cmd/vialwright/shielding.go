package main

import (
	"fmt"

	room "vialwright/web/hotlab"
)

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
