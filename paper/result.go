package paper

import (
	"fmt"
	"strconv"
	"time"

	"vialwright/dispensing"
	"vialwright/quantity"
)

// FromResult is the preparation sheet of a case: findings first, then every
// step with its facts and its computations with their inputs, then the record.
func FromResult(c dispensing.Case, r dispensing.Result, rec Record) Sheet {
	zone := c.Zone
	if zone == nil {
		zone = time.UTC
	}
	w := writer{c: c, r: r, rec: rec, zone: zone}
	s := Sheet{
		Title: "Preparation sheet: Y-90 resin microspheres", Subject: rec.Case, Use: rec.Use, Made: rec.Made, Zone: zone,
		Software: rec.Software, Head: rec.Head,
	}
	s.Sections = append(s.Sections, w.findings(), w.settings())
	for i, step := range Steps() {
		section := w.step(step)
		section.Heading = strconv.Itoa(i+1) + "  " + string(step)
		s.Sections = append(s.Sections, section)
	}
	s.Sections = append(s.Sections, rec.section(zone)...)
	return s
}

// writer turns a case and its result into sections.
type writer struct {
	c    dispensing.Case
	r    dispensing.Result
	rec  Record
	zone *time.Location
}

func (w writer) step(step Step) Section {
	var s Section
	switch step {
	case OrderStep:
		s = w.orders()
	case ReceiptStep:
		s = w.receipt()
	case AssayStep:
		s = w.assay()
	case PlanStep:
		s = w.plans()
	case DrawStep:
		s = w.draws()
	case DecisionStep:
		s = w.decisions()
	case MakeupStep:
		s = w.makeups()
	case TransferStep:
		s = w.containers()
	case InfusionStep:
		s = w.infusions()
	case ResidualStep:
		s = w.residuals()
	}
	if entries := w.rec.of(step); len(entries) > 0 {
		s.Tables = append(s.Tables, w.rec.entryTable(entries, w.zone))
	}
	return s
}

// findings come first: who reads nothing else reads these.
func (w writer) findings() Section {
	s := Section{Heading: "Findings: " + w.count()}
	if len(w.r.Findings) == 0 {
		s.Notes = []string{"None."}
		return s
	}
	t := Table{Heads: []string{"Weight", "Entry", "What", "Code"}, Widths: []float64{1.4, 1, 12, 4}}
	for _, f := range w.r.Findings {
		t.Cells = append(t.Cells, []string{weight(f.Severity), entryNumber(f.Entry), f.Text, string(f.Code)})
	}
	s.Tables = []Table{t}
	return s
}

// weight is a severity as it is printed: a stop is seen from afar.
func weight(s dispensing.Severity) string {
	if s == dispensing.Stop {
		return "STOP"
	}
	return string(s)
}

func (w writer) count() string {
	n := map[dispensing.Severity]int{}
	for _, f := range w.r.Findings {
		n[f.Severity]++
	}
	return fmt.Sprintf("%d stop, %d warning, %d note", n[dispensing.Stop], n[dispensing.Warn], n[dispensing.Note])
}

// entryNumber is the number of an entry; a finding on the whole case has none.
func entryNumber(n int) string {
	if n == 0 {
		return "case"
	}
	return strconv.Itoa(n)
}

// settings are the site's choices and the constants used.
func (w writer) settings() Section {
	p := w.c.Policy
	s := Section{Heading: "Settings and constants"}
	s.Rows = []Row{
		{Label: "Half-life used", Value: digits(w.r.HalfLife, 6, "h"), How: "source: " + w.r.HalfLifeSource},
		Words("Figures for the moment", show(w.r.At, w.zone)),
		Words("Tolerance of dispensed activity", "± "+percent(p.Tolerance)),
		Words("Limit of the site", orNone(p.Limit)),
		Words("Tolerance against the label", "± "+percent(p.LabelTolerance)),
		Words("Least conformance probability", percent(p.Confidence)),
		Words("Volume after make-up", digits(p.MakeupMin, 4, "mL")+" to "+digits(p.MakeupMax, 4, "mL")),
		Words("Syringe graduation", digits(p.Graduation, 4, "mL")),
		Words("Draw yield q", fmt.Sprintf("%s, standard uncertainty %s", percent(quantity.Fraction(p.Yield.Value)), percent(quantity.Fraction(p.Yield.U)))),
		Words("Prescriptions are on the basis", string(p.Basis)),
	}
	if k := w.r.Consistency; k.DOF > 0 {
		s.Rows = append(s.Rows, Words("Consistency of the readings",
			fmt.Sprintf("chi-square %.3g, %d degrees of freedom, p = %.3g", k.Chi2, k.DOF, k.P)))
	}
	for _, a := range w.r.Assumed {
		s.Notes = append(s.Notes, "Assumed, not set by the site: "+a.Setting+" "+a.Value+" ("+a.Source+")")
	}
	s.Notes = append(s.Notes, "Uncertainties after ± are standard uncertainties (one standard deviation).")
	return s
}

func orNone(f quantity.Fraction) string {
	if f == 0 {
		return "none set"
	}
	return "± " + percent(f)
}

// percent prints a share of one.
func percent(f quantity.Fraction) string { return quantity.FormatDigits(f, 4, "%") }

func digits[Q quantity.Kind](v Q, n int, unit string) string {
	return quantity.FormatDigits(v, n, unit)
}

// both prints an activity with its uncertainty in both units.
func both(a, u quantity.Activity) string { return quantity.Both(a, u) }

// exact is an activity as computed, before it is rounded for reading.
func exact(a quantity.Activity) string { return "unrounded " + digits(a, 9, "MBq") }

// orders is what was prescribed.
func (w writer) orders() Section {
	var s Section
	for _, o := range w.c.Orders {
		prescribed := Figure("Prescribed", o.Prescribed, 0).at(o.At, w.zone)
		prescribed.Corrected = w.rec.correction(o.Entry, w.zone)
		s.Rows = append(s.Rows,
			Words("Order", o.ID+orderVersion(o)),
			Words("Territory", orNotGiven(o.Territory)),
			prescribed,
			Words("Expected residual", o.AllowedText()),
			Figure("Target", o.Target(), 0).at(o.At, w.zone).how(fmt.Sprintf("A_p + R = %s + %s; %s",
				digits(o.Prescribed, 9, "MBq"), digits(o.Allowed(), 9, "MBq"), exact(o.Target()))),
		)
	}
	return s
}

func orderVersion(o dispensing.Order) string {
	if o.Version == "" {
		return ", version not given"
	}
	return ", version " + o.Version
}

func orNotGiven(text string) string {
	if text == "" {
		return "not given"
	}
	return text
}

// receipt is what the maker's label says.
func (w writer) receipt() Section {
	var s Section
	for _, v := range w.c.Vials {
		labelled := Figure("Labelled", v.Labelled, 0).at(v.Reference, w.zone)
		labelled.Corrected = w.rec.correction(v.Entry, w.zone)
		s.Rows = append(s.Rows, Words("Vial", v.ID), Words("Lot", orNotGiven(v.Lot)), labelled, Figure("Volume", v.Volume, 0),
			Instant("Expiry", v.Expiry, w.zone))
	}
	return s
}
