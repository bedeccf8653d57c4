package fold

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/quantity"
)

// Asked is a question about one field of a fact that is about to be recorded.
type Asked struct {
	// Field is its name, and Said what stands in it, as it would be recorded.
	Field, Said string
	dispensing.Question
}

// Ask gives the questions about a fact, with the case and its result before it.
// A fact that says what was confirmed is asked about all the same: who records
// it decides what an answer is.
func Ask(c dispensing.Case, books dispensing.Result, f fact.Fact) (out []Asked) {
	about := func(field, said string, q *dispensing.Question) {
		if q != nil {
			out = append(out, Asked{field, said, *q})
		}
	}
	reading := func(of string, at time.Time, gross, background quantity.Stated[quantity.Activity]) {
		about("gross", gross.Text, c.AskReading(of, at, gross))
		about("background", background.Text, dispensing.AskBackground(background, gross))
	}
	switch x := f.(type) {
	case *fact.Order:
		if !x.Prescribed.IsZero() {
			about("prescribed", x.Prescribed.Text, dispensing.AskActivity(x.Prescribed))
		}
		about("at", quantity.ShowTime(x.At), books.AskPlanned(x.At))
	case *fact.Receive:
		askVials(1, x.Labelled, x.Volume, x.Reference, x.At, about)
	case *fact.Read:
		of := x.Of
		for _, i := range c.Infusions { // residual parts hold less than what they are the residual of
			if x.For != "" && i.For == x.For {
				of = i.From
			}
		}
		reading(of, x.At, x.Gross, x.Background)
		about("gross", x.Gross.Text, c.AskCopy(dispensing.Reading{Of: x.Of, Meter: x.Meter, At: x.At, Gross: x.Gross.Value, Background: x.Background.Value, Source: x.Source}))
		about("holds", x.Holds, c.AskParts(dispensing.Part{Of: x.Of, For: x.For, Holds: x.Holds}))
	case *fact.SecondCheck:
		reading(x.Of, x.At, x.Gross, x.Background)
	case *fact.Draw:
		about("volume", x.Volume.Text, books.AskDraw(x.For, x.From, x.Volume))
	case *fact.Return:
		about("volume", x.Volume.Text, books.AskReturn(x.From, x.Volume))
	case *fact.MakeUp:
		about("volume", x.Volume.Text, c.AskMakeUp(x.Of, x.Volume))
	case *fact.Transfer:
		about("volume", x.Volume.Text, books.AskTransfer(x.From, x.Volume))
		about("into", x.Into, c.AskInto(x.From, x.Into))
	case *fact.Infuse:
		about("stop", quantity.ShowTime(x.Stop), dispensing.AskInfused(x.Start, x.Stop))
		about("treated", x.Treated, c.AskTreated(x.For, x.Treated))
	case *fact.Policy:
		askPolicy(x, about)
	case *fact.Meter:
		askMeter(x, about)
	case *fact.Residual:
		if x.Before == nil || len(x.Before.Rate) == 0 {
			break
		}
		var usual dispensing.JarUsual
		if c.Experience != nil {
			usual = c.Experience.Jar
		}
		about("before.rate", x.Before.Rate[0].Text, books.AskBaseline(x.For, x.Before.At, x.Before.Rate, x.Before.Background, usual))
	case *fact.Correct: // asked about as the first entry is
		if x.With == nil {
			break
		}
		c.Readings = slices.DeleteFunc(slices.Clone(c.Readings), func(r dispensing.Reading) bool { return r.Entry == x.Entry })
		c.Parts = slices.DeleteFunc(slices.Clone(c.Parts), func(p dispensing.Part) bool { return p.Entry == x.Entry })
		out = within(x.With, Ask(c, books, x.With))
	default:
		askHotLab(f, about)
	}
	return out
}

// askHotLab asks about what is entered of parcels, surveys and persons. The most that is
// usual is common practice, no source.
func askHotLab(f fact.Fact, about func(field, said string, q *dispensing.Question)) {
	const mostRate, mostArea = 10 * quantity.MilliSievertPerHour, 2000 * quantity.SquareCentimetre
	switch x := f.(type) {
	case *fact.Offer:
		askVials(x.Vials, x.Labelled, x.Volume, x.Reference, x.Due, about)
	case *fact.ExpectParcel:
		askVials(x.Vials, x.Labelled, x.Volume, x.Reference, x.Due, about)
	case *fact.Parcel:
		askVials(x.Vials, x.Labelled, quantity.Stated[quantity.Volume]{}, x.Reference, x.At, about)
	case *fact.ParcelSurvey:
		about("surface", x.Surface.Text, dispensing.AskMost(x.Surface, mostRate))
		about("metre", x.Metre.Text, dispensing.AskMost(x.Metre, mostRate))
		if w := x.Swab; w != nil {
			about("swab.time", w.Time.Text, dispensing.AskMost(w.Time, quantity.Day))
			about("swab.blank-time", w.BlankTime.Text, dispensing.AskMost(w.BlankTime, quantity.Day))
			about("swab.area", w.Area.Text, dispensing.AskMost(w.Area, mostArea))
		}
	case *fact.Survey:
		if x.Place != "package" { // whose surface may well read that much
			about("rate", x.Rate.Text, dispensing.AskSurvey(x.Rate, x.Background))
		}
	case *fact.DoseReport:
		about("measured", x.Dose.Text, dispensing.AskDose(x.Dose, x.Worn == fact.WornRing || x.Worn == fact.WornTip))
	case *fact.Contaminated:
		about("level", x.Level.Text, dispensing.AskMost(x.Level, 1000*quantity.KiloBecquerelPerCm2))
		about("area", x.Area.Text, dispensing.AskMost(x.Area, mostArea))
	}
}

// askVials asks about vials that came or will come at a time, by their label.
func askVials(n int, labelled quantity.Stated[quantity.Activity], volume quantity.Stated[quantity.Volume], reference, at time.Time, about func(field, said string, q *dispensing.Question)) {
	about("vials", strconv.Itoa(n), dispensing.AskVials(n))
	about("labelled", labelled.Text, dispensing.AskLabelled(labelled))
	about("reference", quantity.ShowTime(reference), dispensing.AskReference(reference, at))
	if !volume.IsZero() {
		about("volume", volume.Text, dispensing.AskVialVolume(volume))
	}
}

// askPolicy asks about the percentages of a policy; their ranges are common practice, no
// source.
func askPolicy(p *fact.Policy, about func(field, said string, q *dispensing.Question)) {
	for _, a := range []struct {
		field       string
		said        quantity.Stated[quantity.Fraction]
		least, most quantity.Fraction
	}{
		{"tolerance", p.Tolerance, 0.01, 0.5},
		{"limit", p.Limit, 0.01, 0.5},
		{"label-tolerance", p.LabelTolerance, 0.01, 0.5},
		{"confidence", p.Confidence, 0.5, 0.9999},
		{"label-drift", p.LabelDrift, 0.005, 0.2},
		{"check-limit", p.CheckLimit, 0.01, 0.2},
		{"residual-u", p.ResidualU, 0.02, 0.5},
	} {
		about(a.field, a.said.Text, dispensing.AskShare(a.said, a.least, a.most))
	}
	if y := p.DrawYield; y != nil {
		about("draw-yield.q", y.Q.Text, dispensing.AskShare(y.Q, 0.7, 1.3))
		about("draw-yield.u", y.U.Text, dispensing.AskShare(y.U, 0.002, 0.2))
	}
}

// askMeter asks about the uncertainties and the factors of a meter.
func askMeter(m *fact.Meter, about func(field, said string, q *dispensing.Question)) {
	about("calibration-u", m.CalibrationU.Text, dispensing.AskShare(m.CalibrationU, 0.001, 0.2))
	about("repeatability", m.Repeatability.Text, dispensing.AskShare(m.Repeatability, 0.0001, 0.1))
	for _, kind := range fact.Containers() {
		for n, g := range m.Geometry.For(kind) {
			at := fmt.Sprintf("geometry.%s.%d.", kind, n)
			about(at+"factor", g.Factor.Text, dispensing.AskFactor(g.Factor.Value, g.Factor.Text))
			if g.U.Value > 0 { // 0 % is that of the reference geometry
				about(at+"u", g.U.Text, dispensing.AskShare(g.U, 0.001, 0.2))
			}
		}
	}
}

// AskAfter gives the questions about a fact that only what it leads to can tell,
// with the result before it and with it: dose rates that contradict one another or the
// dose, and what makes an activity drawn unlike its volume. A draw from a suspension that
// had settled does that, and so does a slip.
// Before the dose is given no figure is said, so that who reads again does so without one.
func AskAfter(before, after dispensing.Result, f fact.Fact) (out []Asked) {
	about := func(field, said string) {
		known := before.Contradictions()
		for _, text := range after.Contradictions() {
			if !slices.Contains(known, text) {
				out = append(out, Asked{field, said, dispensing.Question{Text: text + ": is it so?"}})
			}
		}
	}
	known := before.Doubtful()
	doubtful := slices.ContainsFunc(after.Doubtful(), func(draw int) bool { return !slices.Contains(known, draw) })
	switch x := f.(type) {
	case *fact.Residual:
		if x.After != nil {
			about("after.rate", rates(x.After))
		} else if x.Before != nil {
			about("before.rate", rates(x.Before))
		}
	case *fact.Read:
		if x.For != "" {
			about("gross", x.Gross.Text)
		}
		if doubtful {
			out = append(out, Asked{"gross", x.Gross.Text, dispensing.Question{Text: "By this reading the draw took an activity far from that of its volume: is it so?"}})
		}
	case *fact.Draw:
		if doubtful {
			out = []Asked{{"volume", x.Volume.Text, dispensing.Question{Text: "By the readings the draw took an activity far from that of this volume: is it so?"}}}
		}
	case *fact.Correct:
		if x.With != nil {
			out = within(x.With, AskAfter(before, after, x.With))
		}
	}
	return out
}

// rates are the dose rates of a reading, as they were written.
func rates(x *fact.DoseReading) string {
	var all []string
	for _, r := range x.Rate {
		all = append(all, r.Text)
	}
	return strings.Join(all, ", ")
}

// within are questions about a fact, asked of the correction that puts it in.
func within(with fact.Fact, asked []Asked) (out []Asked) {
	for _, a := range asked {
		out = append(out, Asked{"with." + fact.Word(with) + "." + a.Field, a.Said, a.Question})
	}
	return out
}

// Confirm writes into a fact what was asked about it and said to be so. A fact
// that nothing is asked about stays as it is.
func Confirm(f fact.Fact, asked []Asked) {
	to := fact.ConfirmedAt(f)
	if to == nil || len(asked) == 0 {
		return
	}
	var all []string
	for _, a := range asked {
		odd, _, _ := strings.Cut(a.Text, ": ")
		all = append(all, a.Field[strings.LastIndex(a.Field, ".")+1:]+": "+odd)
	}
	*to = fact.Cut(strings.Join(all, "; "))
}
