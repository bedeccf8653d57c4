package paper

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"vialwright/dispensing"
	"vialwright/quantity"
)

// FromResult is the preparation sheet of one order of a case: the findings
// that concern it first, then every step with its facts and its computations
// with their inputs, then the record. Nothing of another patient is on it: of
// a vial that two doses were drawn from, only what this dose rests on.
func FromResult(c dispensing.Case, r dispensing.Result, order string, rec Record) Sheet {
	zone := c.Zone
	if zone == nil {
		zone = time.UTC
	}
	w := writer{c: c, r: r, rec: rec, zone: zone, o: dispensing.OrderResult{Order: dispensing.Order{ID: order}}}
	for _, o := range c.Orders {
		if o.ID == order {
			w.o.Order = o
		}
	}
	for _, o := range r.Orders {
		if o.Order.ID == order {
			w.o = o
		}
	}
	w.rec = w.only(rec)
	rec = w.rec
	s := Sheet{
		Title: "Preparation sheet: Y-90 resin microspheres", Subject: order, Made: rec.Made, Zone: zone,
		Software: rec.Software, Head: rec.Head, Foot: quantity.Meaning,
	}
	s.Sections = append(s.Sections, w.findings(), w.settings())
	for i, step := range work {
		var section Section
		if step.recorded != nil {
			section = step.recorded(w)
		}
		if entries := slices.DeleteFunc(slices.Clone(rec.Entries), func(e Entry) bool { return e.Step != step.Step }); len(entries) > 0 {
			section.Tables = append(section.Tables, rec.entryTable(entries, zone))
		}
		section.Step, section.Heading = step.Step, strconv.Itoa(i+1)+"  "+string(step.Step)
		s.Sections = append(s.Sections, section)
	}
	s.Sections = append(s.Sections, rec.section(zone)...)
	return s
}

// writer turns one order of a case and its result into sections.
type writer struct {
	c    dispensing.Case
	r    dispensing.Result
	o    dispensing.OrderResult
	rec  Record
	zone *time.Location
}

// Vials are those that the dose of an order came from or, before a draw, is planned from;
// without a plan any vial may be the one, and none where the order is cancelled.
func Vials(c dispensing.Case, o dispensing.OrderResult) (ids []string) {
	switch {
	case len(o.Sources) > 0:
		return o.Sources
	case o.Order.Cancelled:
		return nil
	case o.Plan != nil:
		return []string{o.Plan.From}
	}
	for _, v := range c.Vials {
		ids = append(ids, v.ID)
	}
	return ids
}

func (w writer) sources() []string { return Vials(w.c, w.o) }

// own tells whether a container is the order's: it holds or held its dose.
func (w writer) own(id string) bool { return id == w.o.Order.ID || w.c.Serves[id] == w.o.Order.ID }

// concerns tells whether a container may be on this sheet: the order's own, a
// vial it comes from, or what something was discarded into from the order's
// own.
func (w writer) concerns(id string) bool {
	if w.own(id) || slices.Contains(w.sources(), id) {
		return true
	}
	if k, ok := w.book(id); !ok || k != "waste-item" {
		return false
	}
	for _, named := range w.c.Names {
		if slices.Contains(named, id) && slices.ContainsFunc(named, w.own) {
			return true
		}
	}
	return false
}

func (w writer) book(id string) (kind string, ok bool) {
	if w.c.Book == nil {
		return "", false
	}
	k, ok := w.c.Book.Container(id)
	return string(k.Kind), ok
}

// only is the record without what concerns other orders alone.
func (w writer) only(rec Record) Record {
	out := rec
	out.Entries, out.Signatures = nil, nil
	kept := map[int]bool{}
	for _, e := range rec.Entries {
		if kept[e.Number] = w.tells(rec, e); kept[e.Number] {
			out.Entries = append(out.Entries, e)
		} else {
			out.others++
		}
	}
	for _, s := range rec.Signatures {
		if s.Entry == 0 || kept[s.Entry] {
			out.Signatures = append(out.Signatures, s)
		}
	}
	return out
}

// tells whether an entry belongs on the sheet: it names the order or one of its
// containers, or its vial and no other order's, or nothing that is another's.
func (w writer) tells(rec Record, e Entry) bool {
	names := rec.names(e)
	if slices.ContainsFunc(names, w.own) {
		return true
	}
	other := func(id string) bool { // an order that was struck out is another's too
		return w.c.Serves[id] != "" || slices.ContainsFunc(rec.Entries, func(x Entry) bool { return x.Order && slices.Contains(x.Names, id) }) ||
			slices.ContainsFunc(w.c.Orders, func(o dispensing.Order) bool { return o.ID == id })
	}
	if e.Order || slices.ContainsFunc(names, other) {
		return false
	}
	if r, ok := w.reading(rec.original(e.Number)); ok {
		return w.restsOn(r)
	}
	return len(names) == 0 || slices.ContainsFunc(names, w.concerns) || !slices.ContainsFunc(names, func(id string) bool { _, ok := w.book(id); return ok })
}

// findings come first: who reads nothing else reads these.
func (w writer) findings() Section {
	t := Table{Heads: []string{"Severity", "Entry", "What", "Code"}, Widths: []float64{1.5, 1, 12, 4}}
	n := map[dispensing.Severity]int{}
	for _, f := range w.r.Findings {
		if !w.r.Concerns(f, w.o.Order.ID) {
			continue
		}
		n[f.Severity]++
		severity, entry := string(f.Severity), "case"
		if f.Severity == dispensing.Stop {
			severity = "STOP" // seen from afar
		}
		if f.Entry > 0 {
			entry = strconv.Itoa(f.Entry)
		}
		t.Cells = append(t.Cells, []string{severity, entry, sentence(f.Text), string(f.Code)})
	}
	s := tableOnly(t)
	if len(t.Cells) == 0 {
		s.Notes = []string{"None."}
	}
	s.Heading = fmt.Sprintf("Findings: %d stop, %d warning, %d note", n[dispensing.Stop], n[dispensing.Warn], n[dispensing.Note])
	return s
}

func (w writer) settings() Section {
	p := w.c.Policy
	s := Section{Heading: "Settings and constants"}
	limit := percent(p.Limit) + " to either side of the prescribed activity"
	if p.Limit == 0 {
		limit = "none set"
	}
	s.Rows = []Row{
		{Label: "Half-life used", Value: w.halfLife(), How: "source: " + w.r.HalfLifeSource},
		Words("Figures for the moment", show(w.r.At, w.zone)),
		Words("Tolerance of dispensed activity", percent(p.Tolerance)+" to either side of the target"),
		Words("Limit of the site", limit),
		Words("Tolerance against the label", percent(p.LabelTolerance)+" to either side"),
		Words("Wanted confidence", percent(p.Confidence)),
		Words("Volume after make-up", millilitres(p.MakeUpMin)+" to "+millilitres(p.MakeUpMax)),
		Words("Syringe graduation", millilitres(p.Graduation)),
		Words("Draw yield q", percent(quantity.Fraction(p.Yield.Value))+", standard uncertainty "+percent(quantity.Fraction(p.Yield.U))),
		Words("Prescriptions are on the basis", string(p.Basis)),
	}
	if k := w.r.Consistency; k.DOF > 0 {
		s.Rows = append(s.Rows, Words("Consistency of the readings",
			dispensing.Agreement(k)))
	}
	drawn := slices.ContainsFunc(w.c.Draws, func(d dispensing.Draw) bool { return d.For == w.o.Order.ID })
	for _, a := range w.r.Assumed {
		if a.FromExperience && drawn { // the plan says which yield the draw rests on
			continue
		}
		s.Notes = append(s.Notes, "Assumed, not set by the site: "+cmp.Or(a.Name, a.Setting)+" "+a.Value+" ("+a.Source+").")
	}
	s.Notes = append(s.Notes,
		quantity.Meaning,
		"A calculation stands in brackets: formula, numbers, result. 1 % is 0.01; ln2 is 0.693147; exp, sqrt and log2 are the functions, Φ is the normal distribution.")
	return s
}

func percent(f quantity.Fraction) string { return quantity.FormatDigits(f, 4, "%") }

func millilitres(v quantity.Volume) string { return quantity.FormatDigits(v, 4, "mL") }

func (w writer) order() Section {
	o := w.o.Order
	if o.Prescribed == 0 {
		return Section{}
	}
	written, other := o.PrescribedPair()
	prescribed := Row{Label: "Prescribed A_p", Value: written, Also: other}.at(o.At, w.zone)
	prescribed.Corrected = w.rec.correction(o.Entry, w.zone)
	residual := Words("Residual allowed for, R", o.AllowedText())
	if o.ResidualActivity == 0 && o.Residual > 0 {
		residual = residual.how(working("R = A_p·r/(1 - r)", fmt.Sprintf("%s·%s/(1 - %s)", mbq(o.Prescribed), share(float64(o.Residual)), share(float64(o.Residual))), result(o.Allowed(), "MBq")))
	}
	if d := w.o.Dose; o.FromDose != "" && d != nil {
		prescribed = prescribed.how(append([]string{o.FromDose}, d.Working()...)...)
	}
	state := ""
	if o.Cancelled {
		state = ", cancelled"
	}
	rows := []Row{Words("Order", o.ID+", version "+orNotStated(o.Version)+state)}
	if w.rec.Head != "" { // figures alone are of no patient
		rows = append(rows, Words("Patient, two identifiers", orNotStated(w.rec.Patient)+"; "+orNotStated(w.rec.Second)))
	}
	rows = append(rows,
		Words("Treatment site; territory", orNotStated(o.Site)+"; "+orNotStated(o.Territory)),
		prescribed, residual,
		Figure("Target", o.Target(), 0).at(o.At, w.zone).how(working("A_p + R", mbq(o.Prescribed)+" + "+mbq(o.Allowed()), result(o.Target(), "MBq"))),
	)
	return Section{Rows: slices.Concat(rows, w.clauses(), w.prescription())}
}

// orNotStated never says 'given': on these pages that is what became of a dose.
func orNotStated(text string) string { return cmp.Or(text, "not stated") }

// stated are those of some texts that there are.
func stated(texts ...string) string {
	return orNotStated(strings.Join(slices.DeleteFunc(texts, func(t string) bool { return t == "" }), "; "))
}

func (w writer) receipt() Section {
	var s Section
	for _, v := range w.c.Vials {
		if !w.concerns(v.ID) {
			continue
		}
		labelled := Figure("Labelled", v.Labelled, 0).at(v.Reference, w.zone)
		labelled.Corrected = w.rec.correction(v.Entry, w.zone)
		s.Rows = append(s.Rows, Words("Vial", v.ID), Words("Lot", orNotStated(v.Lot)), labelled, Figure("Volume", v.Volume, 0),
			Instant("Expiry", v.Expiry, w.zone))
	}
	return s
}
