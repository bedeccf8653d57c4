package main

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"time"

	"vialwright/nuclide"
	"vialwright/quantity"
)

// decayCmd carries an activity from one time to another.
type decayCmd struct {
	Activity amount[quantity.Activity] `arg:"" help:"The activity with its unit, such as '3.0 GBq' or '81 mCi'."`
	From     string                    `required:"" placeholder:"TIME" help:"When the activity is stated, such as 2027-03-04T18:00-01:00."`
	To       string                    `placeholder:"TIME" help:"The time wanted."`
	Until    amount[quantity.Activity] `placeholder:"ACTIVITY" help:"Ask instead when it has decayed to this activity."`
	Every    amount[quantity.Span]     `placeholder:"SPAN" help:"Ask instead for a table with this step, such as '1 h' ..."`
	For      amount[quantity.Span]     `placeholder:"SPAN" help:"... over this length of time, such as '72 h'."`
	Zone     string                    `placeholder:"ZONE" help:"The zone of times without an offset, and of the answer, such as Atlantic/Azores."`
	Nuclide  string                    `default:"Y-90" help:"Y-90, Sr-90, Cs-137, Ba-133 or Co-57."`
	HalfLife amount[quantity.Span]     `placeholder:"SPAN" help:"Use this half-life instead of the evaluated one, such as '64.1 h'."`
}

func (decayCmd) Help() string {
	return `Carries an activity to another time, before or after, and prints the half-life used.

  vialwright decay '3.0 GBq' --from 2027-03-04T18:00-01:00 --to 2027-03-05T08:30-01:00
  vialwright decay '3.0 GBq' --from 2027-03-04T18:00 --zone Atlantic/Azores --every '6 h' --for '72 h'
  vialwright decay '3.0 GBq' --from 2027-03-04T18:00-01:00 --until '0.1 MBq'

The uncertainty printed is that of the half-life alone.`
}

// maxRows keeps a slip of the step from filling the screen for ever.
const maxRows = 10_000

func (c *decayCmd) Run(e *edge) error {
	a := c.Activity.stated()
	zone, err := e.zone(c.Zone)
	if err != nil {
		return err
	}
	from, err := momentOf("--from", c.From, zone, time.Time{})
	if err != nil {
		return err
	}
	hl, name, err := c.halfLife()
	if err != nil {
		return err
	}
	var page bytes.Buffer // an answer is whole, or there is none
	fmt.Fprintf(&page, "%s, half-life %s (%s)\n", name, quantity.FormatDigits(hl.Value, 6, "h"), hl.Source)
	fmt.Fprintf(&page, "%s at %s\n", quantity.Both(a.Value, 0), quantity.ShowTime(from))
	if err := c.answer(&page, a.Value, from, zone, hl); err != nil {
		return err
	}
	_, err = page.WriteTo(e.out)
	return err
}

func (c *decayCmd) answer(w io.Writer, a quantity.Activity, from time.Time, zone *time.Location, hl nuclide.HalfLife) error {
	switch {
	case c.given() != 1 || (c.Every == "") != (c.For == ""):
		return usageError("give one of --to, --until, or --every with --for")
	case c.To != "":
		to, err := momentOf("--to", c.To, zone, time.Time{})
		if err != nil {
			return err
		}
		row(w, a, from, to, hl)
		return nil
	case c.Until != "":
		return c.until(w, a, from, hl)
	default:
		return c.table(w, a, from, hl)
	}
}

func (c *decayCmd) given() (n int) {
	for _, s := range []string{c.To, string(c.Until), string(c.Every)} {
		if s != "" {
			n++
		}
	}
	return n
}

// row prints one moment: the activity in both units and the factor.
func row(w io.Writer, a quantity.Activity, from, to time.Time, hl nuclide.HalfLife) {
	t := nuclide.Elapsed(from, to)
	f := nuclide.Factor(hl.Value, t)
	y := quantity.Activity(float64(a) * f)
	u := quantity.Activity(float64(y) * float64(hl.RelativeU(t)))
	fmt.Fprintf(w, "%s at %s   factor %.6f   u(half-life) %s\n",
		quantity.Both(y, 0), quantity.ShowTime(to.In(from.Location())), f, quantity.ShowU(u))
}

func (c *decayCmd) until(w io.Writer, a quantity.Activity, from time.Time, hl nuclide.HalfLife) error {
	span, err := hl.Until(a, c.Until.value())
	if err != nil {
		return flagError("--until", err)
	}
	when, err := nuclide.Shift(from, span)
	if err != nil {
		return flagError("--until", err)
	}
	when, _ = quantity.WholeMinutes(when, when) // by then it is no more than was asked
	span = nuclide.Elapsed(from, when)
	u := quantity.Span(math.Abs(float64(span)) * float64(hl.U/hl.Value))
	side := "after"
	if span < 0 {
		span, side = -span, "before"
	}
	fmt.Fprintf(w, "%s at %s, %s %s   u(half-life) %s\n", quantity.Both(c.Until.value(), 0), quantity.ShowTime(when), quantity.ShowSpan(span), side, quantity.ShowSpan(u))
	return nil
}

func (c *decayCmd) table(w io.Writer, a quantity.Activity, from time.Time, hl nuclide.HalfLife) error {
	step, whole := c.Every.stated(), c.For.stated()
	if step.Value <= 0 || float64(whole.Value/step.Value) > maxRows {
		return usageError("--every must be longer: at most %d rows are printed", maxRows)
	}
	for i := 1; float64(i)*float64(step.Value) <= float64(whole.Value)*(1+1e-12); i++ {
		to, err := nuclide.Shift(from, quantity.Span(i)*step.Value)
		if err != nil {
			return flagError("--for", err)
		}
		row(w, a, from, to, hl)
	}
	return nil
}

func (c *decayCmd) halfLife() (nuclide.HalfLife, nuclide.Nuclide, error) {
	n, err := nuclide.Parse(c.Nuclide)
	if err != nil {
		return nuclide.HalfLife{}, n, flagError("--nuclide", err)
	}
	if c.HalfLife == "" {
		return n.HalfLife(), n, nil
	}
	hl := nuclide.HalfLife{Value: c.HalfLife.value(), Source: "set on the command line"}
	if err := n.Vet(hl); err != nil {
		return hl, n, flagError("--half-life", err)
	}
	return hl, n, nil
}
