package main

import (
	"fmt"
	"runtime/debug"

	"vialwright/casefile"
	"vialwright/nuclide"
	"vialwright/quantity"
)

// release is the version of this program; see CHANGELOG.md.
const release = "0.1.0"

type versionCmd struct{}

func (versionCmd) Run(e *edge) error {
	fmt.Fprintf(e.out, "vialwright %s\n", release)
	if info, ok := debug.ReadBuildInfo(); ok {
		fmt.Fprintf(e.out, "built with %s", info.GoVersion)
		for _, s := range info.Settings {
			if s.Key == "vcs.revision" {
				fmt.Fprintf(e.out, " from revision %s", s.Value)
			}
		}
		fmt.Fprintln(e.out)
	}
	hl := nuclide.Y90.HalfLife()
	fmt.Fprintf(e.out, "Y-90 half-life unless a file sets another: %s (%s)\n", quantity.FormatDigits(hl.Value, 6, "h"), hl.Source)
	return nil
}

// formatCmd prints the case file's format, drawn from what reads it.
type formatCmd struct {
	As string `enum:"text,schema,table" default:"text" help:"text, to be read; schema, a JSON schema; or table, every field of every kind as CSV."`
}

func (c formatCmd) Run(e *edge) error {
	out := []byte(casefile.Describe())
	switch c.As {
	case "schema":
		out = casefile.Schema()
	case "table":
		out = casefile.Table()
	}
	_, err := e.out.Write(out)
	return err
}
