package paper

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"vialwright/dispensing"
	"vialwright/nuclide"
	"vialwright/quantity"
)

// assay is what the meter says of the vials.
func (w writer) assay() Section {
	var s Section
	for _, v := range w.r.Vials {
		if !v.Assayed {
			s.Rows = append(s.Rows, Words("Vial "+v.Vial.ID, "not assayed"))
			continue
		}
		s.Rows = append(s.Rows, Figure("Vial "+v.Vial.ID+" as received", v.Measured, v.U).at(v.Vial.Reference, w.zone).
			how("from all readings together, carried to the reference time; basis "+string(v.Basis)+"; "+exact(v.Measured)))
		if v.LabelRatio != 0 {
			s.Rows = append(s.Rows, Words("Measured over labelled", percent(quantity.Fraction(v.LabelRatio))))
		}
		s.Rows = append(s.Rows, Figure("Remaining in it", v.Remaining, v.RemainingU).at(v.Vial.Reference, w.zone),
			Figure("Volume remaining", v.RemainingVolume, 0))
	}
	if t := w.readings(); len(t.Cells) > 0 {
		s.Tables = append(s.Tables, t)
		s.Notes = append(s.Notes, "All readings of the case, those after the draw too.")
	}
	return s
}

// readings are the meter's own figures.
func (w writer) readings() Table {
	t := Table{
		Heads:  []string{"Entry", "Of", "Meter", "When", "Gross", "Background", "Basis", "Corrections"},
		Widths: []float64{1.2, 1.5, 1.5, 4.4, 4.4, 4.2, 1.6, 3.4},
	}
	for _, r := range w.c.Readings {
		t.Cells = append(t.Cells, []string{
			strconv.Itoa(r.Entry), r.Of, r.Meter, show(r.At, w.zone), both(r.Gross, 0) + from(r), both(r.Background, 0),
			string(r.Basis), w.rec.correction(r.Entry, w.zone),
		})
	}
	return t
}

// from says where a reading came from; empty where nobody noted it.
func from(r dispensing.Reading) string {
	switch r.Source {
	case "":
		return ""
	case "typed":
		return ", typed"
	}
	return ", from meter " + r.Meter
}

// plans are the draws that would meet the orders.
func (w writer) plans() Section {
	var s Section
	for _, o := range w.r.Orders {
		lead := o.Order.At.Sub(o.WantedAt).Seconds()
		s.Rows = append(s.Rows, Figure("Order "+o.Order.ID+": to draw", o.Wanted, 0).at(o.WantedAt, w.zone).
			how(fmt.Sprintf("A_p/(1 - r)·exp(ln2/T½·(t_a - t_d)) = %s·exp(ln2/%s·%s); %s",
				digits(o.Order.Target(), 9, "MBq"), digits(w.r.HalfLife, 6, "h"), quantity.ShowSpan(quantity.Span(lead)), exact(o.Wanted))))
		p := o.Plan
		if p == nil {
			continue
		}
		s.Rows = append(s.Rows, Row{
			Label: "Volume from vial " + p.From, Value: quantity.ShowGraduated(p.Draw, w.c.Policy.Graduation), Also: "rounded to the graduation",
			How: w.volumeInputs(o, *p),
		},
			Figure("Expected of that volume", p.Expect, p.ExpectU).at(o.Order.At, w.zone),
			Words("Conformance probability expected", percent(quantity.Fraction(p.Conformance))),
			Words("Readings needed before and after", readings(p.Readings)))
	}
	return s
}

func readings(n int) string {
	if n == 0 {
		return "more than " + strconv.Itoa(dispensing.MostReadings) + " would not reach the wanted confidence"
	}
	return strconv.Itoa(n)
}

// volumeInputs is the computation of a draw, with the vial as it stood.
func (w writer) volumeInputs(o dispensing.OrderResult, p dispensing.Plan) string {
	q, volume := w.c.Policy.Yield.Value, w.volumeAt(o.Order.ID, p)
	// The plan keeps its result: A_vial = V_vial·A_d/(q·V).
	held := quantity.Activity(float64(volume) * float64(o.Wanted) / (q * float64(p.Exact)))
	return fmt.Sprintf("V_vial·A_d/(q·A_vial) = %s·%s/(%s·%s); exactly %s; basis %s", digits(volume, 6, "mL"), digits(o.Wanted, 9, "MBq"),
		percent(quantity.Fraction(q)), digits(held, 9, "MBq"), digits(p.Exact, 6, "mL"), p.Basis)
}

// volumeAt is what the vial of a plan held: before the first draw for the
// order, or at the moment of the plan where nothing has been drawn.
func (w writer) volumeAt(order string, p dispensing.Plan) quantity.Volume {
	for _, d := range w.c.Draws {
		if d.For == order {
			return w.c.Book.VolumeBefore(d.Entry)
		}
	}
	return w.c.Book.VolumeAt(p.From, p.At)
}

// draws are what was drawn.
func (w writer) draws() Section {
	t := Table{
		Heads: []string{"Entry", "From", "Into", "For order", "When", "Volume", "Corrections"}, Widths: []float64{1.2, 2, 2, 2, 5, 2, 4},
	}
	for _, d := range w.c.Draws {
		t.Cells = append(t.Cells, []string{
			strconv.Itoa(d.Entry), d.From, d.Into, d.For, show(d.At, w.zone), digits(d.Volume, 4, "mL"), w.rec.correction(d.Entry, w.zone),
		})
	}
	return tableOnly(t)
}

// tableOnly is a section of one table; of an empty one it has nothing.
func tableOnly(t Table) Section {
	if len(t.Cells) == 0 {
		return Section{}
	}
	return Section{Tables: []Table{t}}
}

// decisions judge what was dispensed.
func (w writer) decisions() Section {
	var s Section
	for _, o := range w.r.Orders {
		if o.Rough != nil {
			s.Rows = append(s.Rows, Figure("Order "+o.Order.ID+": rough, by volume only", o.Rough.Activity, o.Rough.U).at(o.Rough.At, w.zone))
		}
		if o.Dispensed != nil {
			s.Rows = append(s.Rows, w.decision(o, *o.Dispensed)...)
		}
		if a := o.Adjust; a != nil {
			what := "give back"
			if a.TopUp {
				what = "draw in addition"
			}
			s.Rows = append(s.Rows, Words("To reach the target, "+what, digits(a.Volume, 4, "mL")+" at "+show(a.At, w.zone)))
		}
	}
	return s
}

func (w writer) decision(o dispensing.OrderResult, d dispensing.Dispensed) []Row {
	tol := percent(w.c.Policy.Tolerance)
	return []Row{
		Figure("Order "+o.Order.ID+": dispensed", d.Activity, d.U).at(d.At, w.zone).
			how(fmt.Sprintf("from all readings together, at infusion time, in %s; of the uncertainty %s is common to all readings; basis %s; %s",
				orNotGiven(o.Container), both(d.Common, 0), d.Basis, exact(d.Activity))),
		Words("Over the target", percent(quantity.Fraction(d.Ratio))).
			how(fmt.Sprintf("%s/%s", digits(d.Activity, 9, "MBq"), digits(o.Order.Target(), 9, "MBq"))),
		Words("Conformance probability", percent(quantity.Fraction(d.Conformance))).
			how(fmt.Sprintf("Φ((T_U - y)/u) - Φ((T_L - y)/u), T = %s·(1 ± %s), y = %s, u = %s (JCGM 106:2012, 7.2)",
				digits(o.Order.Target(), 9, "MBq"), tol, digits(d.Activity, 9, "MBq"), digits(d.U, 6, "MBq"))),
		Words("Decision", d.Verdict+" ("+string(d.Standing)+")"),
		validAt("Valid from", d.ValidFrom, w.zone),
		validAt("Valid until", d.ValidUntil, w.zone).
			how(fmt.Sprintf("t_a + T½·log2(ratio/(1 ± %s)), from when the dose was there; the half-life is %s", tol, digits(w.r.HalfLife, 6, "h"))),
	}
}

// makeups are the diluents added.
func (w writer) makeups() Section {
	t := Table{
		Heads:  []string{"Entry", "Of", "When", "Added", "Diluent", "Lot", "Volume after", "Corrections"},
		Widths: []float64{1.2, 1.5, 4.6, 1.8, 3.4, 2, 2.2, 3},
	}
	for _, m := range w.c.Makeups {
		t.Cells = append(t.Cells, []string{
			strconv.Itoa(m.Entry), m.Of, show(m.At, w.zone), digits(m.Volume, 4, "mL"), orNotGiven(m.Diluent), orNotGiven(m.Lot),
			digits(m.After, 4, "mL"), w.rec.correction(m.Entry, w.zone),
		})
	}
	return tableOnly(t)
}

// containers is where everything is.
func (w writer) containers() Section {
	t := Table{Heads: []string{"Container", "Kind", "Activity", "At", "Volume", "Known by"}, Widths: []float64{2, 3.4, 6, 4.6, 1.8, 2.4}}
	for _, k := range w.r.Containers {
		known := "reading, " + string(k.Basis)
		if !k.Assayed {
			known = "volume or label"
		}
		t.Cells = append(t.Cells, []string{
			k.Container.ID, string(k.Container.Kind), both(k.Activity, k.U), show(k.At, w.zone), digits(k.Volume, 4, "mL"), known,
		})
	}
	s := tableOnly(t)
	if len(s.Tables) > 0 {
		s.Notes = []string{"Where everything is at the moment of these figures; the transfers are among the entries."}
	}
	return s
}

// infusions are the doses given.
func (w writer) infusions() Section {
	t := Table{
		Heads: []string{"Entry", "For order", "From", "Start", "Stop", "Reason for stopping", "Corrections"}, Widths: []float64{1.2, 2, 2, 4.6, 4.6, 3.4, 3},
	}
	for _, i := range w.c.Infusions {
		start, stop := Instant("", i.Start, w.zone).Value, Instant("", i.Stop, w.zone).Value
		if i.Implied {
			start += " (planned; no infusion was entered)"
		}
		t.Cells = append(t.Cells, []string{
			strconv.Itoa(i.Entry), i.For, i.From, start, stop, orNotGiven(i.Reason), w.rec.correction(i.Entry, w.zone),
		})
	}
	return tableOnly(t)
}

// residuals are what stayed behind and what reached the patient.
func (w writer) residuals() Section {
	t := Table{
		Heads: []string{"Entry", "For order", "Before or after", "When", "Dose rates", "Background", "Corrections"}, Widths: []float64{1.2, 2, 2, 4.6, 5, 2.4, 3},
	}
	var s Section
	for _, r := range w.c.Residuals {
		for i, d := range []dispensing.DoseReading{r.Before, r.After} {
			t.Cells = append(t.Cells, []string{
				strconv.Itoa(r.Entry), r.For, [2]string{"before", "after"}[i], show(d.At, w.zone), rates(d.Rates), rate(d.Background),
				w.rec.correction(r.Entry, w.zone),
			})
		}
	}
	for _, o := range w.r.Orders {
		if o.Delivered != nil {
			s.Rows = append(s.Rows, w.delivered(o, *o.Delivered)...)
		}
	}
	s.Tables = tableOnly(t).Tables
	return s
}

func (w writer) delivered(o dispensing.OrderResult, d dispensing.Delivered) []Row {
	f := quantity.Round(quantity.Fraction(d.Fraction), quantity.Fraction(d.FractionU), "%")
	rows := []Row{
		{Label: "Order " + o.Order.ID + ": stayed behind", Value: f.Value, U: f.U, Unit: f.Unit, How: w.fractionInputs(o.Order.ID)},
		Figure("Delivered", d.Activity, d.U).at(d.At, w.zone).how("dispensed·(1 - f); " + exact(d.Activity)),
		Words("Over the prescription", percent(quantity.Fraction(d.Ratio))).
			how(digits(d.Activity, 9, "MBq") + "/" + digits(o.Order.Prescribed, 9, "MBq")),
	}
	return rows
}

// fractionInputs is the computation of a residual fraction.
func (w writer) fractionInputs(order string) string {
	for _, r := range w.c.Residuals {
		if r.For == order {
			t := nuclide.Elapsed(r.Before.At, r.After.At)
			return fmt.Sprintf("(R2 - B2)/(R1 - B1)·exp(ln2/T½·(t2 - t1)), R1 the mean of %s, R2 of %s, B1 = %s, B2 = %s, t2 - t1 = %s",
				rates(r.Before.Rates), rates(r.After.Rates), rate(r.Before.Background), rate(r.After.Background), quantity.ShowSpan(t))
		}
	}
	return ""
}

// validAt is an end of the valid window of a dose.
func validAt(label string, t time.Time, zone *time.Location) Row {
	if t.IsZero() {
		return Words(label, "at no time")
	}
	return Words(label, show(t, zone))
}

func rate(d quantity.DoseRate) string { return quantity.Both(d, 0) }

func rates(d []quantity.DoseRate) string {
	var out []string
	for _, r := range d {
		out = append(out, rate(r))
	}
	return strings.Join(out, ", ")
}
