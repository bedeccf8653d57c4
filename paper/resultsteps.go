package paper

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"vialwright/dispensing"
	"vialwright/ledger"
	"vialwright/quantity"
)

func (w writer) assay() Section {
	var s Section
	for _, v := range w.r.Vials {
		if !w.concerns(v.Vial.ID) {
			continue
		}
		if v.Withheld != "" {
			s.Rows = append(s.Rows, w.withheld("Vial "+v.Vial.ID, v.Withheld))
			continue
		}
		if !v.Assayed {
			s.Rows = append(s.Rows, Words("Vial "+v.Vial.ID, "not assayed: the activity on its label is used"))
			continue
		}
		s.Rows = append(s.Rows, Figure("Vial "+v.Vial.ID+" as received", v.Measured, v.U).at(v.Vial.Reference, w.zone).how(
			"basis "+string(v.Basis), w.sum(v.Budget, v.Vial.Reference, v.Measured), w.spread(v.Budget, v.Vial.Reference, v.U)),
			interval(v.Measured, v.U))
		if v.LabelRatio != 0 {
			s.Rows = append(s.Rows, Words("Measured, % of labelled", dispensing.Share(v.LabelRatio, v.LabelLimits...)).how(
				ratio("measured/labelled", v.Measured, v.Vial.Labelled)))
		}
	}
	if t := w.readings(); len(t.Cells) > 0 {
		s.Tables = append(s.Tables, t)
		s.Notes = append(s.Notes, "All readings used for these figures, including those after the draw.")
	}
	return s
}

// withheld stands for figures that are not shown, with the finding that keeps
// them back as their reason.
func (w writer) withheld(label string, code dispensing.Code) Row {
	why := "see the finding"
	for _, f := range w.r.Findings {
		if f.Code == code && w.r.Concerns(f, w.o.Order.ID) {
			why = sentence(f.Text)
			if f.Entry > 0 {
				why = fmt.Sprintf("Entry %d: %s", f.Entry, sentence(f.Text))
			}
			break
		}
	}
	return Words(label, "withheld, see "+string(code)).how(why)
}

func interval[Q quantity.Kind](value, u Q) Row {
	return Words("95 % interval", orNotStated(quantity.Interval(value, u)))
}

func (w writer) readings() Table {
	t := Table{
		Heads:  []string{"Entry", "Of", "Meter", "When", "Gross", "Background", "Basis", "Corrections"},
		Widths: []float64{1.2, 1.5, 1.5, 4.4, 4.4, 4.2, 1.6, 3.4},
	}
	for _, r := range w.c.Readings {
		if !w.restsOn(r) {
			continue
		}
		t.Cells = append(t.Cells, []string{
			strconv.Itoa(r.Entry), r.Of, r.Meter, show(r.At, w.zone), quantity.Both(r.Gross, 0) + from(r), quantity.Both(r.Background, 0),
			string(r.Basis), w.rec.correction(r.Entry, w.zone),
		})
	}
	return t
}

// restsOn tells whether a reading is of the dose, or of its vial until another
// dose is drawn from it, or one that a figure of this sheet rests on.
func (w writer) restsOn(r dispensing.Reading) bool {
	if w.own(r.Of) {
		return true
	}
	budgets := []dispensing.Budget{}
	for _, v := range w.r.Vials {
		if w.concerns(v.Vial.ID) {
			budgets = append(budgets, v.Budget)
		}
	}
	if p := w.o.Plan; p != nil {
		budgets = append(budgets, p.Budget)
	}
	if d := w.o.Dispensed; d != nil {
		budgets = append(budgets, d.Budget)
	}
	for _, b := range budgets {
		if slices.ContainsFunc(b.Parts, func(p ledger.Part) bool { return p.Entry == r.Entry && p.By == ledger.ByReading }) {
			return true
		}
	}
	return slices.Contains(w.sources(), r.Of) && !w.drawnSince(r.Of, r.At)
}

// drawnSince tells whether, after a dose of this order, one of another was drawn
// from the vial, until a moment: what is in it then is no longer this order's.
func (w writer) drawnSince(vial string, at time.Time) bool {
	own, other := false, false
	for _, d := range w.c.Draws {
		if d.From == vial && !d.At.After(at) {
			own = own || d.For == w.o.Order.ID
			other = own && d.For != w.o.Order.ID
		}
	}
	return other
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

func (w writer) plan() Section {
	o := w.o
	if o.WantedAt.IsZero() || o.Order.Cancelled && len(o.Sources) == 0 {
		return Section{}
	}
	s := Section{Rows: []Row{Figure("To draw A_d", o.Wanted, 0).at(o.WantedAt, w.zone).how(
		working("target·exp(ln2·(t_a - t_d)/T½)", mbq(o.Order.Target())+"·"+w.decay(o.Order.At, o.WantedAt), result(o.Wanted, "MBq")))}}
	p := o.Plan
	if p == nil && o.HiddenBy != "" {
		s.Rows = append(s.Rows, w.withheld("Volume", o.HiddenBy))
	}
	if p == nil {
		return s
	}
	s.Rows = append(s.Rows,
		Figure("Vial "+p.From+" then held", p.Had, p.HadU).at(p.At, w.zone).how("basis "+string(p.Basis), w.sum(p.Budget, p.At, p.Had), w.spread(p.Budget, p.At, p.HadU)),
		Row{
			Label: "Volume from vial " + p.From, Value: quantity.ShowGraduated(p.Draw, w.c.Policy.Graduation), Also: "rounded to the graduation",
			How: working("V_vial·A_d/(q·A_vial)", fmt.Sprintf("%s·%s/(%s·%s)", input(p.HadVolume, "mL"), mbq(o.Wanted), share(p.Yield.Value), mbq(p.Had)), result(p.Exact, "mL")),
		})
	if p.YieldFrom != "" {
		s.Rows = append(s.Rows, Words("Draw yield q", percent(quantity.Fraction(p.Yield.Value))+": "+p.YieldFrom))
	}
	if !p.Possible() {
		s.Rows = append(s.Rows, Words("Probability within tolerance", "none: the vial did not hold that volume"))
		return s
	}
	needed := strconv.Itoa(p.Readings)
	if p.Readings == 0 {
		needed = "more than " + strconv.Itoa(dispensing.MostReadings) + " would not reach the wanted confidence"
	}
	s.Rows = append(s.Rows, Figure("Expected of that volume", p.Expect, p.ExpectU).at(o.Order.At, w.zone).how(w.expected(*p)...),
		Words("Probability within tolerance", dispensing.Chance(p.Conformance)).how(w.within(p.Expect, p.ExpectU, p.Conformance)),
		Words("Readings needed before and after", needed))
	return s
}

func (w writer) expected(p dispensing.Plan) []string {
	return []string{
		working("q·V/V_vial·A_vial·exp(-ln2·(t_a - t_d)/T½)", fmt.Sprintf("%s·%s/%s·%s·%s", share(p.Yield.Value), input(p.Draw, "mL"), input(p.HadVolume, "mL"), mbq(p.Had),
			w.decay(p.At, w.o.Order.At)), result(p.Expect, "MBq")),
		working("u = A·sqrt((u_A/A_vial at t_a)^2 + (u_q/q)^2 + (graduation/V)^2/12)", fmt.Sprintf("%s·sqrt((%s/%s)^2 + (%s/%s)^2 + (%s/%s)^2/12)",
			mbq(p.Expect), mbq(p.ThenU), mbq(p.Then), share(p.Yield.U), share(p.Yield.Value), input(w.c.Policy.Graduation, "mL"), input(p.Draw, "mL")), result(p.ExpectU, "MBq")),
	}
}

func (w writer) draws() Section {
	t := Table{
		Heads: []string{"Entry", "From", "Into", "For order", "When", "Volume", "Corrections"}, Widths: []float64{1.2, 2, 2, 2, 5, 2, 4},
	}
	last := -1
	for i, d := range w.c.Draws {
		if d.For == w.o.Order.ID {
			last = i
		}
	}
	for i, d := range w.c.Draws {
		row := []string{
			strconv.Itoa(d.Entry), d.From, d.Into, d.For, show(d.At, w.zone), millilitres(d.Volume), w.rec.correction(d.Entry, w.zone),
		}
		if d.For != w.o.Order.ID {
			if i > last || !slices.Contains(w.sources(), d.From) {
				continue
			}
			row[2], row[3] = "", "another"
		}
		t.Cells = append(t.Cells, row)
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

func (w writer) decision() Section {
	var s Section
	if r := w.o.Rough; r != nil {
		s.Rows = append(s.Rows, Figure("Rough, by volume only", r.Activity, r.U).at(r.At, w.zone))
	}
	if w.o.Withheld != "" {
		s.Rows = append(s.Rows, w.withheld("Dispensed", w.o.Withheld))
	}
	if w.o.Dispensed != nil {
		s.Rows = append(s.Rows, w.dispensed(*w.o.Dispensed)...)
	}
	if a := w.o.Adjust; a != nil {
		what := "return to the vial"
		if a.TopUp {
			what = "draw more"
		}
		s.Rows = append(s.Rows, Words("To reach the target, "+what, millilitres(a.Volume)+" at "+show(a.At, w.zone)))
	}
	return s
}

func (w writer) dispensed(d dispensing.Dispensed) []Row {
	o := w.o.Order
	rows := []Row{
		Figure("Dispensed", d.Activity, d.U).at(d.At, w.zone).how(
			"at infusion time, in "+strings.Join(w.o.Containers, " and ")+"; basis "+string(d.Basis), w.sum(d.Budget, d.At, d.Activity), w.spread(d.Budget, d.At, d.U)),
		interval(d.Activity, d.U),
		Words("Of u, the meter's own", quantity.FormatDigits(d.Budget.Common, 2, "MBq")+"; more readings do not reduce it"),
		Words("Dispensed, % of prescribed", dispensing.Share(float64(d.Activity/o.Prescribed), d.Limits...)).how(ratio("dispensed/prescribed", d.Activity, o.Prescribed)),
		Words("Dispensed, % of target", dispensing.Share(d.Ratio, d.Limits...)).how(ratio("dispensed/target", d.Activity, o.Target())),
		Words("Probability within tolerance", d.Chance()).how(w.within(d.Activity, d.U, d.Conformance)),
		Words("Decision", d.Verdict+" ("+string(d.Standing)+")"),
	}
	if d.ValidUntil.IsZero() {
		return append(rows, Words("Valid", "at no time"))
	}
	return append(rows,
		Words("Valid from", show(d.ValidFrom, w.zone)).how("when it has decayed to its upper limit, and not before it was drawn: infusion time and", w.reaches(d, d.Most)),
		Words("Valid until", show(d.ValidUntil, w.zone)).how("when it has decayed to its lower limit, and not after its vial expires: infusion time and", w.reaches(d, d.Least)))
}

// reaches is the working of how long after its time a dose is at a limit.
func (w writer) reaches(d dispensing.Dispensed, limit quantity.Activity) string {
	t := quantity.Span(float64(w.r.HalfLife) * math.Log2(float64(d.Activity/limit)))
	return working("T½·log2(A/limit)", fmt.Sprintf("%s·log2(%s/%s)", w.halfLife(), mbq(d.Activity), mbq(limit)), result(t, "h"))
}

func (w writer) makeUps() Section {
	t := Table{
		Heads:  []string{"Entry", "Of", "When", "Added", "Diluent", "Lot", "Volume after", "Corrections"},
		Widths: []float64{1.2, 1.5, 4.6, 1.8, 3.4, 2, 2.2, 3},
	}
	for _, m := range w.c.MakeUps {
		if !w.concerns(m.Of) {
			continue
		}
		t.Cells = append(t.Cells, []string{
			strconv.Itoa(m.Entry), m.Of, show(m.At, w.zone), millilitres(m.Volume), orNotStated(m.Diluent), orNotStated(m.Lot),
			millilitres(m.After), w.rec.correction(m.Entry, w.zone),
		})
	}
	return tableOnly(t)
}

// containers is where everything of the order is, and its vial.
func (w writer) containers() Section {
	stopped := ""
	t := Table{Heads: []string{"Container", "Kind", "Activity", "At", "Volume", "Known by"}, Widths: []float64{2, 3.4, 6, 4.6, 1.8, 2.4}}
	for _, k := range w.r.Containers {
		if !w.concerns(k.Container.ID) {
			continue
		}
		row := []string{
			k.Container.ID, strings.ReplaceAll(string(k.Container.Kind), "-", " "), dispensing.Said(k.Activity, k.U), show(k.At, w.zone), millilitres(k.Volume), k.KnownBy(),
		}
		switch {
		case k.Withheld != "":
			row[2], row[4], row[5] = "withheld, see "+string(k.Withheld), "", ""
		case k.VolumeHeld != "":
			row[4] = "in doubt"
		case !k.Here:
			row[2], row[5] = k.ToCome(), ""
		case k.Activity == 0 && k.Volume == 0:
			row[2], row[5] = "empty", ""
		case k.Stopped:
			row[4], stopped = "not known", " A volume is not known since its infusion was stopped."
		case w.drawnSince(k.Container.ID, k.At):
			row[2], row[4], row[5] = "another dose was drawn from it since", "", ""
		case k.Volume == 0: // a patient, or the residual in a vial
			row[4] = ""
		}
		t.Cells = append(t.Cells, row)
	}
	s := tableOnly(t)
	if len(s.Tables) > 0 {
		s.Notes = []string{"Where the activity is at the time of these figures." + stopped}
	}
	return s
}

func (w writer) infusions() Section {
	t := Table{
		Heads: []string{"Entry", "From", "Start", "Stop", "Reason for stopping", "Corrections"}, Widths: []float64{1.2, 2, 4.6, 4.6, 3.4, 3},
	}
	for _, i := range w.c.Infusions {
		if i.For != w.o.Order.ID {
			continue
		}
		start, stop := Instant("", i.Start, w.zone).Value, Instant("", i.Stop, w.zone).Value
		if i.Implied {
			start += " (planned; no infusion was entered)"
		}
		t.Cells = append(t.Cells, []string{strconv.Itoa(i.Entry), i.From, start, stop, orNotStated(i.Reason), w.rec.correction(i.Entry, w.zone)})
	}
	return tableOnly(t)
}

func (w writer) residuals() Section {
	t := Table{
		Heads: []string{"Entry", "Before or after", "When", "Dose rates", "Background", "Corrections"}, Widths: []float64{1.2, 2, 4.6, 6, 2.8, 3},
	}
	var s Section
	var of *dispensing.Residual
	for i, r := range w.c.Residuals {
		if r.For != w.o.Order.ID {
			continue
		}
		of = &w.c.Residuals[i]
		for k, d := range []dispensing.DoseReading{r.Before, r.After} {
			if len(d.Rates) == 0 {
				continue
			}
			t.Cells = append(t.Cells, []string{
				strconv.Itoa(d.Entry), [2]string{"before", "after"}[k], show(d.At, w.zone), rates(d), rate(d.Background, d.Family), w.rec.correction(d.Entry, w.zone),
			})
		}
	}
	if w.o.Withheld != "" && len(t.Cells) > 0 {
		s.Rows = []Row{w.withheld("Delivered", w.o.Withheld)}
	}
	if w.o.Delivered != nil && w.o.Dispensed != nil {
		s.Rows = w.delivered(of, *w.o.Dispensed, *w.o.Delivered)
	}
	s.Tables = tableOnly(t).Tables
	return s
}

func (w writer) delivered(of *dispensing.Residual, dose dispensing.Dispensed, d dispensing.Delivered) []Row {
	how := "known by " + d.KnownBy()
	stayed := []string{how, working("1 - delivered/dispensed", fmt.Sprintf("1 - %s/%s", mbq(d.Activity), mbq(dose.Activity)), result(quantity.Fraction(d.Fraction), "%"))}
	given := []string{w.sum(d.Budget, d.At, d.Activity)}
	if of != nil {
		// Where nothing but the dose rates speaks of it, their formula gives it.
		f, u, err := dispensing.ResidualFraction(of.Before, of.After, w.r.HalfLife, w.c.Policy.ResidualU)
		if err == nil && math.Abs(f-d.Fraction) < 1e-9 && math.Abs(u-d.FractionU) < 1e-3*u {
			stayed = []string{how, w.stayed(*of, f), w.stayedU(*of, f, u)}
			given = []string{working("dispensed·(1 - f)", fmt.Sprintf("%s·(1 - %s)", mbq(dose.Activity), share(f)), result(d.Activity, "MBq"))}
		}
	}
	delivered := Figure("Delivered", d.Activity, d.U)
	if d.OfPrescribed() == "" {
		delivered = Words("Delivered", dispensing.Said(d.Activity, d.U))
	}
	f := quantity.Round(quantity.Fraction(d.Fraction), quantity.Fraction(d.FractionU), "%")
	rows := []Row{
		Row{Label: "Residual f, of the dispensed", Value: f.Value, U: f.U, Unit: f.Unit}.how(stayed...),
		delivered.at(d.At, w.zone).how(append(given, w.spread(d.Budget, d.At, d.U))...),
		interval(d.Activity, d.U),
	}
	if d.OfPrescribed() != "" { // nothing is no share of anything
		rows = append(rows, Words("Delivered, % of prescribed", d.Share()).how(ratio("delivered/prescribed", d.Activity, w.o.Order.Prescribed)))
	}
	return rows
}
