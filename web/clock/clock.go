// Package clock is the clock after resuspension on the bench of an order: for how long the
// suspension of the vial at hand can be drawn from by the settling model, what a
// reading of it is off by meanwhile, and what of that a draw records. It informs, and
// stops nobody.
package clock

import (
	"errors"
	"fmt"
	"html/template"
	"math"
	"slices"
	"strings"
	"time"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/people"
	"vialwright/picture"
	"vialwright/procedure"
	"vialwright/quantity"
	"vialwright/settling"
	"vialwright/web/books"
	"vialwright/web/kit"
	"vialwright/web/lessons"
	"vialwright/web/view"
)

// Shown is the clock of the vial at hand: how long since it was resuspended, and
// how far a draw from it can be trusted.
type Shown struct {
	// Vial is its id.
	Vial string
	// Kind and Word are those of a notice. Left counts down between Before and
	// After, and is empty where nothing does; then Before is the sentence.
	Kind, Word, Before, Left, After string
	// Since is when it was resuspended, RFC 3339; empty where nobody noted it. Ago
	// and At are that in words.
	Since, Ago, At string
	// Reading says, a sentence for each meter, how far a reading of the vial is
	// off while it settles; empty where nobody measured it.
	Reading []string
	// Until is when what is said stops being true, RFC 3339; empty for never.
	// Then is what is said from there on.
	Until string
	Then  view.Notice
	// Picture is empty without one.
	Picture template.HTML
	// Rests are what the model rests on, Caution how far to trust it.
	Rests   []view.Pair
	Caution string
	// Action takes the one touch that restarts the clock, with its Nonce;
	// empty for who may not.
	Action, Nonce string
}

// Clock is the clock of the vial at hand, for one order as the person who looks may
// see it.
type Clock struct {
	*books.Bench
	// Cache keeps what the model said, Curves what the meters read while a vial
	// settled.
	Cache  *Cache
	Curves *lessons.Curves
}

// Vial is the vial that the step takes from; nil where there is none.
func (b *Clock) Vial() *dispensing.VialResult {
	id := ""
	for _, d := range b.Case.Draws {
		if d.For == b.Order.ID {
			id = d.From
		}
	}
	if p := b.Out.Plan; p != nil {
		id = p.From
	}
	for i := range b.Result.Vials {
		if v := &b.Result.Vials[i]; v.Vial.ID == id || id == "" {
			return v
		}
	}
	return nil
}

// toDraw is the volume that is planned next; 0 for none, which asks the model
// for the concentration at the needle tip. Who checks is told of no plan.
func (b *Clock) toDraw(key procedure.Key) quantity.Volume {
	a, p := b.Out.Adjust, b.Out.Plan
	switch {
	case b.Blind():
	case key == procedure.Adjust && a != nil && a.TopUp:
		return a.Volume
	case p != nil && p.Draw <= b.Vial().RemainingVolume && (key == procedure.Assay || key == procedure.Draw):
		return p.Draw
	}
	return 0
}

// modelOf is what the model is asked of a vial. What a reading changes in the
// fourth digit moves no window, so it is rounded away. A needle that the
// surface would sink below is taken to be held lower.
func modelOf(s dispensing.Settling, v dispensing.VialResult, draw quantity.Volume) settling.Case {
	c := s.Of(v, draw)
	if c.Count > 0 {
		unit := math.Pow(10, math.Floor(math.Log10(c.Count))-2)
		c.Count = math.Round(c.Count/unit) * unit
	}
	c.Volume = quantity.Volume(math.Round(float64(c.Volume)*100) / 100)
	for range 4 {
		e, wrong := errors.AsType[*settling.Error](settling.Check(c))
		if !wrong || e.Input != "Tip" && e.Input != "Draw.Volume" {
			break
		}
		c.Tip /= 2
	}
	return c
}

// Show is the clock of the vial at hand; nil where there is none to show.
func (b *Clock) Show(key procedure.Key) *Shown {
	v := b.Vial()
	if v == nil || b.Prep.Given || b.Prep.Cancelled != "" || v.RemainingVolume < 1e-6 {
		return nil
	}
	id := v.Vial.ID
	c := modelOf(b.Case.Settling, *v, b.toDraw(key))
	out := &Shown{Vial: id, Kind: "note", Caution: settling.Caution}
	if people.May(b.Q.Who.Person, people.ReadMeter) == nil {
		out.Action, out.Nonce = b.Href()+"/resuspend", b.Q.Nonce()
	}
	if !b.Blind() {
		out.Rests = rests(c, b.Case.Settling)
	}
	at := books.LastResuspended(b.File, id, time.Time{})
	clock, err := b.Cache.get(c)
	out.Reading = b.readingBias(key, *v, at)
	if !at.IsZero() {
		out.Since, out.At = instant(at), at.In(b.Zone.Loc()).Format("15:04:05")
		// In whole seconds; none where the clocks of two machines say that it is still to come.
		out.Ago = quantity.ShowSpan(quantity.Span(math.Max(0, math.Floor(b.Q.Now.Sub(at).Seconds()))))
	}
	switch e, wrong := errors.AsType[*settling.Error](err); {
	case wrong:
		out.Word, out.Before = "No model", "The model cannot say: "+e.Msg+"; "+e.Hint+"."
	case at.IsZero():
		out.Word, out.Before = "Not resuspended", "The clock starts when the vial is resuspended."
	default:
		b.describe(out, clock, at)
	}
	return out
}

// instant is a time as the script of the page reads it.
func instant(t time.Time) string { return t.UTC().Format("2006-01-02T15:04:05.000Z") }

// behind is right after a boundary of the clock.
const behind quantity.Span = 0.05

// describe puts what the clock says now, and what it will say when that ends.
func (b *Clock) describe(out *Shown, k settling.Clock, at time.Time) {
	now := max(0, quantity.Span(b.Q.Now.Sub(at).Seconds()))
	said := k.At(now)
	out.Kind, out.Word = settlingKind(said), said.Word()
	out.Before, out.Left, out.After = noBreaks(said)
	until := quantity.Span(0)
	switch said.Moment {
	case settling.Holds:
		until = k.Trusted()
	case settling.Doubtful:
		until = k.Result.Window.Until
	}
	if until > 0 {
		then := k.At(until + behind)
		one, two, three := noBreaks(then)
		out.Until = instant(at.Add(until.Duration()))
		out.Then = view.Notice{Kind: settlingKind(then), Word: then.Word(), Text: one + two + three}
	}
	out.Picture = picture.SettlingPicture(b.clockPicture(k, now, said))
}

// noBreaks are the words of the clock, with the space before a per cent sign
// one that no line is broken at.
func noBreaks(s settling.Said) (before, left, after string) {
	before, left, after = s.Words()
	keep := strings.NewReplacer(" %", "\u00a0%")
	return keep.Replace(before), left, keep.Replace(after)
}

// settlingKind is the weight of what the clock says. It informs, and stops
// nobody.
func settlingKind(s settling.Said) string {
	if s.Moment == settling.Holds {
		return "done"
	}
	return "warn"
}

// AddSediment puts the clear line and the bed of the vial at hand into the picture
// of the vessels, by the model as it was asked last.
func (b *Clock) AddSediment(v *picture.Vessel, key procedure.Key) {
	hand := b.Vial()
	if !At(key) || hand == nil || hand.Vial.ID != v.ID || b.Prep.Given {
		return
	}
	at := books.LastResuspended(b.File, v.ID, time.Time{})
	k, err := b.Cache.get(modelOf(b.Case.Settling, *hand, b.toDraw(key)))
	if err != nil || at.IsZero() {
		return
	}
	r := k.Result
	p := r.At(max(0, quantity.Span(b.Q.Now.Sub(at).Seconds())))
	v.Clear, v.Bed = r.Case.Volume-r.Below(p.Clear), r.Below(p.Bed)
}

// At tells the steps at which it matters how the vial settles.
func At(key procedure.Key) bool {
	switch key {
	case procedure.Assay, procedure.Draw, procedure.Remainder, procedure.Adjust, procedure.SecondCheck:
		return true
	}
	return false
}

func (b *Clock) clockPicture(k settling.Clock, now quantity.Span, said settling.Said) picture.Settling {
	out := picture.SettlingAt(k, now)
	ago := quantity.ShowSpan(quantity.Span(math.Floor(float64(now))))
	one, two, three := said.Words()
	out.ID, out.Mark, out.Title = "settling", b.Q.Mark(), b.Vial().Vial.ID+", "+ago+" after it was resuspended"
	out.Desc = fmt.Sprintf("%s: %s%s%s The liquid is clear above %.0f mm of %.0f mm, and the bed is %.1f mm high.", said.Word(), one, two, three, out.Clear, out.Level, out.Bed)
	out.NowText, out.UntilText = "now, "+ago, "trusted to "+quantity.ShowSpan(quantity.Span(math.Floor(float64(k.Trusted()))))
	return out
}

// rests are the inputs of the model, each with the word assumed where nobody
// has set it.
func rests(c settling.Case, s dispensing.Settling) []view.Pair {
	assumed := func(setting, text string) string {
		if slices.ContainsFunc(s.Assumed, func(a dispensing.Assumed) bool { return a.Setting == setting }) {
			return text + ", assumed"
		}
		return text
	}
	mm := func(x quantity.Length) string { return quantity.FormatDigits(x, 3, "mm") }
	um := func(x quantity.Length) string { return quantity.FormatDigits(x, 3, "um") }
	sections := c.Vessel.Sections
	draw := "none planned, so at the needle tip"
	if c.Draw.Volume > 0 {
		draw = quantity.Show(c.Draw.Volume, 0).String() + " in " + assumed("draw-time", quantity.ShowSpan(c.Draw.Span))
	}
	tip := assumed("tip", mm(c.Tip)+" up")
	if c.Tip != s.Model.Tip {
		tip = mm(c.Tip) + " up, lower than set, so that the draw can be made"
	}
	out := []view.Pair{
		{Name: "Suspension", Value: quantity.FormatDigits(c.Volume, 3, "mL")},
		{Name: "Draw", Value: draw},
		{Name: "Within", Value: assumed("within", quantity.Show(c.Tolerance, 0).String())},
		{Name: "Inner diameter", Value: assumed("bore", mm(sections[len(sections)-1].Top))},
		{Name: "Needle tip", Value: tip},
		{Name: "Spheres", Value: assumed("spheres", fmt.Sprintf("%.3g million", c.Count/1e6))},
		{Name: "Mean diameter", Value: assumed("diameter", um(c.Sizes.Mean))},
		{Name: "Spread of diameters", Value: assumed("diameter-sd", um(c.Sizes.SD))},
		{Name: "Density", Value: assumed("density", fmt.Sprintf("%.3g g/cm3", float64(c.Density)))},
		{Name: "Temperature", Value: assumed("temperature", quantity.Show(c.Temperature, 0).String())},
	}
	if len(sections) > 1 {
		out = append(out, view.Pair{Name: "Pointed floor", Value: mm(sections[0].Height) + " high"})
	}
	return out
}

// Asked asks when the vial was resuspended, where that is not what the clock
// says. Left empty, the last entry counts.
func Asked() kit.Input {
	return kit.Input{
		Name: "agitated", Label: "Resuspended at another time", Kind: "text", Small: true, Collapsible: true,
		Hint: "Leave empty for the time on the clock; if there is none, no time is recorded. Resuspend for at least 30 s (common practice).",
	}
}

// Say puts into each draw when its vial was last resuspended, and what the
// model says of it. Where the model cannot say, the draw is recorded without.
func (b *Clock) Say(now *kit.State, facts []fact.Fact) error {
	for _, d := range fact.Of[*fact.Draw](facts) {
		if d.Agitated.IsZero() {
			d.Agitated = books.LastResuspended(now.File, d.From, d.At)
		}
		i := slices.IndexFunc(now.Result.Vials, func(v dispensing.VialResult) bool { return v.Vial.ID == d.From })
		if d.Agitated.IsZero() || d.Agitated.After(d.At) || i < 0 {
			continue
		}
		c := modelOf(now.Case.Settling, now.Result.Vials[i], d.Volume.Value)
		if k, err := b.Cache.get(c); err == nil {
			writeSaid(d, k, b.shownClock(now.Result.Vials[i], k), rests(c, now.Case.Settling))
		}
	}
	return nil
}

// shownClock is the clock that stood on the page of a draw: it was asked for the
// planned volume, and by it a draw is in time or late. For a vial that had none
// it is that of the draw itself.
func (b *Clock) shownClock(v dispensing.VialResult, drawn settling.Clock) settling.Clock {
	step, _ := b.Prep.Current()
	hand := b.Vial()
	if hand == nil || hand.Vial.ID != v.Vial.ID || !At(step.Key) {
		return drawn
	}
	k, err := b.Cache.get(modelOf(b.Case.Settling, *hand, b.toDraw(step.Key)))
	if err != nil {
		return drawn
	}
	return k
}

// writeSaid writes what the clock said into a draw: until when the one that was
// shown trusted it, and what the model expects of the volume that was drawn.
func writeSaid(d *fact.Draw, k, shown settling.Clock, rests []view.Pair) {
	s := k.At(quantity.Span(d.At.Sub(d.Agitated).Seconds()))
	if t, err := quantity.Parse[quantity.Span](fmt.Sprintf("%.0f s", math.Floor(float64(shown.Trusted())))); err == nil {
		d.Trusted = t
	}
	if s.Moment != settling.Buried && s.Moment != settling.Unknown {
		if of, err := quantity.Parse[quantity.Fraction](fmt.Sprintf("%.1f %%", 100*float64(s.Mean))); err == nil {
			d.OfMixed = of
		}
	}
	text := "best estimate of the settling model"
	if shown.Spread {
		text = "settling model, trusted with 95 % probability"
	}
	for _, p := range rests {
		text += "; " + strings.ToLower(p.Name) + " " + p.Value
	}
	d.Model = text
}

// readingBias says beside the clock, where a vial is read, how long a reading of it can
// be taken as it stands, by each meter for which that was measured. It corrects
// nothing.
func (b *Clock) readingBias(key procedure.Key, v dispensing.VialResult, resuspended time.Time) (out []string) {
	if key != procedure.Assay && key != procedure.Remainder || b.Blind() {
		return nil
	}
	for _, m := range kit.MeterIDs(b.File) {
		x := b.Curves.Newest(m, v.Vial.Kind())
		if x == nil || x.Err != nil {
			continue
		}
		text := m + ": " + x.Within()
		if !resuspended.IsZero() {
			text += x.Now(quantity.Span(math.Max(0, b.Q.Now.Sub(resuspended).Seconds())))
		}
		if math.Abs(float64(v.RemainingVolume-x.Volume)) > 0.1*float64(x.Volume) {
			text += " That was measured with " + quantity.FormatDigits(x.Volume, 3, "mL") + " in the vial, which holds " + quantity.FormatDigits(v.RemainingVolume, 3, "mL") + " now."
		}
		out = append(out, strings.ReplaceAll(text, " %", "\u00a0%"))
	}
	return out
}
