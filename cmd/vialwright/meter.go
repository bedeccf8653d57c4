package main

import (
	"context"
	"fmt"
	"net"
	"os"
	"os/signal"
	"time"

	"vialwright/instrument"
	"vialwright/nuclide"
	"vialwright/quantity"
)

// practiceMeter is the line of the invented meter that simulate-meter plays.
var practiceMeter = instrument.Description{
	Line: "{serial} {nuclide} {value} {unit} {state}{to}*{check}", Checksum: "crc16/xmodem",
	Stable: []string{"steady"}, Unstable: []string{"moving"}, Ending: "crlf", Steady: true,
}

// simulateMeterCmd plays an activity meter that does not exist.
type simulateMeterCmd struct {
	Listen        string                    `default:"127.0.0.1:7077" help:"Address to listen on."`
	Activity      amount[quantity.Activity] `default:"3.24 GBq" help:"What is in the well, when it starts."`
	Background    amount[quantity.Activity] `default:"0.2 MBq" help:"What it shows empty."`
	Repeatability amount[quantity.Fraction] `default:"0.8 %" help:"Relative standard deviation of one reading."`
	Settling      amount[quantity.Span]     `default:"8 s" help:"How long a reading moves before it is steady."`
	Every         amount[quantity.Span]     `default:"1 s" help:"Time between lines."`
	Seed          uint64                    `default:"1" help:"The same seed gives the same readings."`
}

func (simulateMeterCmd) Help() string {
	return `An invented instrument for practice and tests, like no meter on the market. It sends lines such as

  PRACTICE-1 Y-90 3.2412 GBq steady*3F0A

to anyone who connects. Its description as a bench reads it is printed at the start. Stop it with Ctrl-C.

To see its lines at a bench, write this into a file, such as meters.yaml:

` + metersExample + `
and open the bench with it, in a second terminal:

  vialwright serve --practice --meters meters.yaml

Without --meters, serve --practice has an invented meter of its own, which knows what stands in its well; this one shows the same sample whatever the bench does.`
}

func (c *simulateMeterCmd) Run(e *edge) error {
	s := instrument.Simulation{
		Activity: c.Activity.value(), In: e.now(),
		HalfLife:      nuclide.Y90.HalfLife().Value,
		Background:    c.Background.value(),
		Repeatability: c.Repeatability.value(),
		Settling:      c.Settling.value(),
		Unit:          "GBq", Decimals: 4, Nuclide: "Y-90", Serial: "PRACTICE-1", Seed: c.Seed,
	}
	every := c.Every.value()
	if every < 0.01 || every > 3600 {
		return usageError("--every: %s is outside 0.01 s to 1 h", c.Every)
	}
	p, err := instrument.Describe(practiceMeter)
	if err != nil {
		return err
	}
	ln, err := net.Listen("tcp", c.Listen)
	if err != nil {
		return usageError("--listen: %v", err)
	}
	fmt.Fprintf(e.out, "Invented meter at tcp://%s\nline: %s\n", ln.Addr(), practiceMeter.Line)
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	return instrument.Simulate(ctx, ln, s, p, time.Duration(float64(every)*1e9), instrument.Clock{Now: e.now, After: time.After})
}
