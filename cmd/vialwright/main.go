// Command vialwright prepares patient activities of yttrium-90 resin
// microspheres: it reckons a case from order to delivered activity, keeps the
// journal of what was done, and lets anyone check that the journal is whole.
package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"runtime/debug"
	"slices"
	"strconv"
	"strings"
	"time"
	_ "time/tzdata" // a bench computer may have no zone files
	"unicode"
	"unicode/utf8"

	"github.com/alecthomas/kong"

	"vialwright/casefile"
	"vialwright/nuclide"
	"vialwright/quantity"
)

// edge is the world outside: what a command may read, write and ask.
type edge struct {
	in       io.Reader
	out, err io.Writer
	now      func() time.Time
}

// zone loads a zone by its name; none asked gives none.
func (e *edge) zone(name string) (*time.Location, error) {
	if name == "" {
		return nil, nil
	}
	z, err := loadZone(name)
	if err != nil {
		return nil, usageError("no time zone is called %q; write it like Atlantic/Azores", name)
	}
	return z, nil
}

// loadZone refuses "Local": a record must not depend on the machine it is
// read on.
func loadZone(name string) (*time.Location, error) {
	if name == "" || name == "Local" {
		return nil, fmt.Errorf("unknown time zone %s", name)
	}
	return time.LoadLocation(name)
}

// exit is an error that carries the process's exit status.
type exit struct {
	status int
	text   string
}

func (e *exit) Error() string { return e.text }

func usageError(format string, args ...any) error { return &exit{2, fmt.Sprintf(format, args...)} }

// amount is a quantity on the command line, as a person writes it; empty for none.
type amount[Q quantity.Kind] string

// UnmarshalText refuses what is none; the parser of the flags says for which one it was given.
func (a *amount[Q]) UnmarshalText(text []byte) error {
	q, err := quantity.Parse[Q](string(text))
	*a = amount[Q](q.Text)
	return err
}

// stated is the quantity, which UnmarshalText has read.
func (a amount[Q]) stated() quantity.Stated[Q] {
	q, _ := quantity.Parse[Q](string(a))
	return q
}

// value is it in its base unit.
func (a amount[Q]) value() Q { return a.stated().Value }

// flagError says which flag or argument a refused text was given for.
func flagError(what string, err error) error { return &exit{2, what + ": " + err.Error()} }

// errStopped is the status of a reckoning with a stop finding.
var errStopped = &exit{status: 1}

// stoppedIf is the status of an answer that was written, unless writing it failed.
func stoppedIf(stopped bool, err error) error {
	if err == nil && stopped {
		return errStopped
	}
	return err
}

// momentOf is the time that a flag says, in a zone where one is named; without a text it
// is the moment otherwise meant.
func momentOf(flag, text string, zone *time.Location, otherwise time.Time) (time.Time, error) {
	if text == "" {
		return otherwise, nil
	}
	t, err := quantity.ParseTime(text, zone)
	if err != nil {
		return t, flagError(flag, err)
	}
	if zone != nil {
		t = t.In(zone)
	}
	return t, nil
}

type commands struct {
	Reckon       reckonCmd        `cmd:"" help:"Reckon a case file: what to do now and what has been achieved."`
	Prescription prescriptionCmd  `cmd:"" help:"Check a prescription by the published formulas; never a plan."`
	Plan         planCmd          `cmd:"" help:"Plan the day: which vial for which order, to proven optimum; why, and what conflicts."`
	Event        eventCmd         `cmd:"" help:"Say by a rule profile whether an infusion is an event, and which clocks run."`
	Rules        rulesCmd         `cmd:"" help:"Show a rule profile, or what differs between two."`
	DoseRate     doseRateCmd      `cmd:"" name:"dose-rate" help:"Hold the dose rate of a full container against the activity it is said to hold."`
	Meters       metersCmd        `cmd:"" help:"What is due and what is wrong of every instrument and check source."`
	Inventory    inventoryCmd     `cmd:"" help:"What activity is where on the site, at any time, by line of the licence."`
	HotLab       hotLabCmd        `cmd:"" name:"hot-lab" help:"What stands of parcels, surveys, waste and persons, and what is wrong."`
	Shielding    shieldingCmd     `cmd:"" help:"Whether a wall is thick enough, and what a vial, a parcel or a patient reads at a distance."`
	Doses        dosesCmd         `cmd:"" help:"Write the report of a dosimetry service (CSV) into a journal."`
	Decay        decayCmd         `cmd:"" help:"Carry an activity to another time."`
	Import       importCmd        `cmd:"" help:"Write a case file into a journal."`
	Export       exportCmd        `cmd:"" help:"Write an order or a vial of a journal as a case file, or the journal's raw lines."`
	Verify       verifyCmd        `cmd:"" help:"Check that a journal is whole and unaltered."`
	Resume       resumeCmd        `cmd:"" help:"Let recording go on after a loss, under a name and with a reason."`
	Key          keyCmd           `cmd:"" help:"Make the key that signs the heads of a journal."`
	Backup       backupCmd        `cmd:"" help:"Copy a journal, checking every link."`
	Restore      restoreCmd       `cmd:"" help:"Make a journal from a backup."`
	Prepare      prepareCmd       `cmd:"" name:"prepare-database" help:"Make a database ready for a role that can add records and alter none."`
	Experience   experienceCmd    `cmd:"" help:"Site experience: what the finished preparations of a journal show."`
	Admit        admitCmd         `cmd:"" help:"Let an administrator into a site that is locked out."`
	Serve        serveCmd         `cmd:"" help:"Open the bench in a browser."`
	Settle       settleCmd        `cmd:"" help:"How long after agitation a draw can be trusted."`
	Meter        simulateMeterCmd `cmd:"" name:"simulate-meter" help:"Play an invented activity meter on a TCP socket."`
	Format       formatCmd        `cmd:"" help:"Print the format of a case file."`
	Version      versionCmd       `cmd:"" help:"Print the version and what it was built from."`
}

const manual = `Prepares patient activities of yttrium-90 resin microspheres for liver radioembolisation.

Quantities carry their unit ('3.0 GBq', '81 mCi', '2.2 mL'); times are RFC 3339 with an offset, or local with a zone named.

Exit status: 0 done; 1 reckoned with a stop finding, or a journal that is not whole; 2 the input cannot be used (one message on standard error, nothing else written).

` + cautions

func main() {
	os.Exit(run(os.Args[1:], &edge{os.Stdin, os.Stdout, os.Stderr, time.Now}))
}

func run(args []string, e *edge) (status int) {
	var c commands
	parser := kong.Must(&c,
		kong.Name("vialwright"), kong.Description(manual), kong.UsageOnError(),
		kong.Writers(e.out, e.err), kong.Exit(func(s int) { panic(exited(s)) }),
		kong.ConfigureHelp(kong.HelpOptions{Compact: true}),
	)
	defer func() {
		switch s := recover().(type) {
		case nil:
		case exited:
			status = int(s)
		default:
			panic(s)
		}
	}()
	switch {
	case len(args) == 0:
		args = []string{"--help"}
	case args[0] == "help":
		args = append(slices.Clone(args[1:]), "--help")
	}
	ctx, err := parser.Parse(args)
	if err != nil {
		return e.fail(misused(err), args)
	}
	return e.fail(ctx.Run(e), args)
}

// misused says of words that no command takes how the command is used.
func misused(err error) error {
	command := "vialwright"
	var p *kong.ParseError
	if errors.As(err, &p) && p.Context.Selected() != nil {
		command = p.Context.Selected().FullPath()
	}
	return usageError("%v; '%s --help' shows what to write", err, command)
}

// exited is kong's way out after printing help.
type exited int

// fail prints an error, if any, without the passwords that may stand in the
// arguments, and gives the exit status.
func (e *edge) fail(err error, args []string) int {
	if err == nil {
		return 0
	}
	status := 2
	var x *exit
	if errors.As(err, &x) {
		status = x.status
	}
	if text := err.Error(); text != "" {
		fmt.Fprintln(e.err, "vialwright: "+printable(discreet(text, args)))
	}
	return status
}

// printable writes out what a terminal would obey or hide: a message may name what
// stands in a damaged file. Lines stay lines.
func printable(text string) string {
	var b strings.Builder
	for i, r := range text {
		switch _, n := utf8.DecodeRuneInString(text[i:]); {
		case r == utf8.RuneError && n == 1:
			fmt.Fprintf(&b, `\x%02x`, text[i])
		case r == '\n' || unicode.IsPrint(r):
			b.WriteRune(r)
		default:
			b.WriteString(strings.Trim(strconv.QuoteRuneToASCII(r), "'"))
		}
	}
	return b.String()
}

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
