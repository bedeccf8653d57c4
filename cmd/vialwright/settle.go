package main

import (
	"errors"
	"fmt"
	"io"
	"math"
	"os"

	"vialwright/picture"
	"vialwright/quantity"
	"vialwright/settling"
)

// settleCmd says how long a suspension can be trusted after agitation.
type settleCmd struct {
	Volume      amount[quantity.Volume]      `default:"5 mL" help:"Suspension in the vial, spheres included."`
	Temperature amount[quantity.Temperature] `default:"20 C" help:"Of the liquid."`
	Spheres     *int64                       `placeholder:"60000000" xor:"filling" help:"How many spheres there are; or give --mass."`
	Mass        amount[quantity.Mass]        `placeholder:"MASS" xor:"filling" help:"Their mass, such as '1.4 g', instead of their number."`
	Tip         amount[quantity.Length]      `default:"5 mm" help:"Needle tip above the lowest point of the vial."`
	Bore        amount[quantity.Length]      `default:"18 mm" help:"Inner diameter of a flat-bottomed vial."`
	Draw        amount[quantity.Volume]      `default:"2 mL" help:"Volume of the draw ..."`
	DrawTime    amount[quantity.Span]        `default:"10 s" help:"... and how long it takes."`
	Within      amount[quantity.Fraction]    `default:"5 %" help:"How far the drawn concentration may depart from the mixed one."`
	For         amount[quantity.Span]        `default:"5 min" help:"How long after agitation to look."`
	Trials      int                          `default:"200" help:"Monte Carlo trials for the time that holds with 95 % probability; 0 leaves it out."`
	JSON        bool                         `name:"json" help:"Print the answer as JSON."`
	SVG         string                       `name:"svg" placeholder:"FILE" help:"Write the picture to this file; - for standard output."`
	Dark        bool                         `help:"Draw the picture for a dark screen."`
}

func (settleCmd) Help() string {
	return `Models a vial of resin microspheres from the last agitation on: the falling clear line, the growing bed, the concentration at the needle tip, and how long a draw stays within a percentage of the mixed concentration.

  vialwright settle
  vialwright settle --volume '3.2 mL' --tip '4 mm' --within '3 %'
  vialwright settle --svg vial.svg

Numbers that nobody measured on your vial (bore, sphere count, sizes) are in docs/theory/settling.md with their sources or the word assumption. ` + settling.Caution
}

// seed makes the trials repeatable: the same vial gets the same answer.
const seed = 1

func (c *settleCmd) Run(e *edge) error {
	in := c.input()
	r, err := settling.Run(in)
	if err != nil {
		return modelError(err)
	}
	var s settling.Spread
	if c.Trials != 0 {
		if s, err = settling.MonteCarlo(in, c.Trials, seed); err != nil {
			return modelError(err)
		}
	}
	if c.SVG != "" {
		return c.picture(e, r, s)
	}
	return e.answer(c.JSON, settleOf(r, s), nil, func(p *page) { p.settled(r, s) }, false)
}

// flagOf are the flags that the inputs of the model are given by.
var flagOf = map[string]string{
	"Volume": "--volume", "Temperature": "--temperature", "Count": "--spheres", "Mass": "--mass",
	"Tip": "--tip", "Vessel.Sections.Top": "--bore", "Draw.Volume": "--draw", "Draw.Span": "--draw-time",
	"Tolerance": "--within", "Span": "--for", "trials": "--trials",
}

// modelError names the flag whose value the model refuses.
func modelError(err error) error {
	var x *settling.Error
	if errors.As(err, &x) && flagOf[x.Input] != "" {
		named := *x
		named.Input = flagOf[x.Input]
		err = &named
	}
	return &exit{2, err.Error()}
}

// input is the vial that the flags say.
func (c *settleCmd) input() settling.Case {
	in := settling.Default()
	in.Volume, in.Temperature, in.Tip, in.Vessel = c.Volume.value(), c.Temperature.value(), c.Tip.value(), settling.Cylinder(c.Bore.value())
	in.Draw.Volume, in.Draw.Span = c.Draw.value(), c.DrawTime.value()
	in.Tolerance, in.Span = c.Within.value(), c.For.value()
	if c.Spheres != nil {
		in.Count = float64(*c.Spheres)
	}
	if c.Mass != "" {
		in.Mass, in.Count = c.Mass.value(), 0
	}
	return in
}

// picture draws the vial at the end of the draw window, as at the bench.
func (c *settleCmd) picture(e *edge, r settling.Result, s settling.Spread) error {
	means, err := settling.Means(r.Case, min(settling.MeansEvery, r.Case.Span))
	if err != nil {
		return &exit{2, err.Error()}
	}
	k := settling.Clock{Result: r, Means: means, Safe: s.Safe, Spread: s.Trials > 0}
	p := picture.SettlingAt(k, k.Trusted())
	p.ID, p.Mark, p.Title = "settling", settling.Caution, windowText(r, s)
	p.Desc = windowWhy(r, s) + " " + settling.Caution
	p.NowText, p.UntilText = p.Title, "then resuspend again"
	theme := picture.Light
	if c.Dark {
		theme = picture.Dark
	}
	svg := picture.Fixed(picture.SettlingPicture(p), theme)
	if c.SVG == "-" {
		_, err := io.WriteString(e.out, svg)
		return err
	}
	if err := os.WriteFile(c.SVG, []byte(svg), 0o644); err != nil {
		return usageError("--svg: %s cannot be written: %v", c.SVG, reason(err))
	}
	fmt.Fprintln(e.out, "Picture written to "+c.SVG+".")
	return nil
}

func (p *page) settled(r settling.Result, s settling.Spread) {
	p.framed(windowText(r, s), windowWhy(r, s), "DRAW WINDOW")
	p.line("\n%s of suspension at %s, %.0f %% solids, %s of spheres,\nliquid %s high, needle tip at %s\n",
		quantity.Show(r.Case.Volume, 0), quantity.Show(r.Case.Temperature, 0), 100*float64(r.Solids), quantity.Show(r.Mass, 0),
		quantity.FormatDigits(r.Level, 3, "mm"), quantity.Show(r.Case.Tip, 0))
	p.line("After agitation   clear above   bed up to   at the needle tip, of mixed")
	for t := quantity.Span(0); t <= r.Case.Span; t += 30 {
		x := r.At(t)
		tip := fmt.Sprintf("%.0f %%", 100*float64(x.Tip))
		if x.Bed >= r.Case.Tip {
			tip += ", in the bed"
		}
		p.line("%15s   %8.1f mm   %6.1f mm   %s", quantity.ShowSpan(t), float64(x.Clear), float64(x.Bed), tip)
	}
	p.line("")
	for _, n := range r.Notes {
		p.line("NOTE  %s", n)
	}
	p.text(settling.Caution + " " + cautions)
}

// windowText is the time to trust: the one that holds with 95 % probability
// where it is known, since the nominal one is missed half the time.
func windowText(r settling.Result, s settling.Spread) string {
	until, never := r.Window.Until, r.Window.State == settling.NeverOpen
	if s.Trials > 0 {
		until, never = s.Safe, s.Safe <= 0
	}
	if never {
		return "Resuspend while drawing: no time is safe"
	}
	return "Begin the draw within " + wholeSeconds(until)
}

// wholeSeconds rounds a time limit down: a tenth of a second is no use by the
// clock on the wall, and rounding up would pass the limit.
func wholeSeconds(s quantity.Span) string {
	return quantity.ShowSpan(quantity.Span(math.Floor(float64(s))))
}

func windowWhy(r settling.Result, s settling.Spread) string {
	text := fmt.Sprintf("That is after the last agitation, to draw %s in %s within %s of the mixed concentration.",
		quantity.Show(r.Case.Draw.Volume, 0), quantity.ShowSpan(r.Case.Draw.Span), quantity.Show(r.Case.Tolerance, 0))
	if s.Trials > 0 {
		text += fmt.Sprintf(" That holds with 95 %% probability; the best estimate is %s, and then the draw is %s.",
			wholeSeconds(r.Window.Until), r.Window.Exit)
	}
	return text
}

func settleOf(r settling.Result, s settling.Spread) object {
	return object{
		{"window_state", r.Window.State.String()},
		{"window_s", r.Window.Until},
		{"window_95_s", figure(s.Trials > 0, false, s.Safe)},
		{"window_ends", r.Window.Exit.String()},
		{"solids_fraction", r.Solids},
		{"liquid_mm", r.Level},
		{"track", each(r.Track, func(p settling.Point) object {
			return object{{"t_s", p.At}, {"clear_line_mm", p.Clear}, {"bed_mm", p.Bed}, {"tip_relative", p.Tip}}
		})},
		{"notes", append([]string{settling.Caution}, r.Notes...)},
	}
}
