package web

import (
	"net/http"
	"strings"

	"vialwright/identity"
	"vialwright/journal"
	"vialwright/nuclide"
	"vialwright/paper"
)

// pdf sends a document.
func (q *request) pdf(name string, data []byte, err error) error {
	if e, ok := err.(*paper.Error); ok {
		return &refusal{http.StatusUnprocessableEntity, "It cannot be printed", e.Field + ": " + e.Msg, e.Hint, q.cameFrom()}
	}
	if err != nil {
		return err
	}
	h := q.w.Header()
	h.Set("Content-Type", "application/pdf")
	h.Set("Content-Disposition", `inline; filename="`+name+`"`)
	h.Set("Cache-Control", "no-store")
	q.w.WriteHeader(http.StatusOK)
	_, err = q.w.Write(data)
	return err
}

// labelPDF prints the label with a serial, as it was recorded. The same record
// gives the same label.
func labelPDF(q *request) error {
	text, ok := strings.CutSuffix(q.r.PathValue("file"), ".pdf")
	serial, err := identity.Parse(text)
	if !ok || err != nil {
		return &refusal{http.StatusNotFound, "There is no such label", "no label has this serial", "print it at the bench", "/"}
	}
	for _, f := range q.lab.Cases() {
		for _, r := range f.Records {
			if l, ok := r.Fact.(*journal.Label); ok && l.Serial == serial {
				return q.printLabel(f, l)
			}
		}
	}
	return &refusal{http.StatusNotFound, "There is no such label", "no label has this serial", "print it at the bench", "/"}
}

// paperSizes are the containers of package paper.
var paperSizes = map[journal.Size]paper.Container{
	journal.SyringeLabel: paper.Syringe, journal.VialLabel: paper.AdministrationVial, journal.ShieldLabel: paper.Shield, journal.BoxLabel: paper.Box,
}

// printLabel refuses a label that is no longer in force: a second print of an
// old label is how doses get swapped.
func (q *request) printLabel(f *file, l *journal.Label) error {
	st, err := q.reckon(f, q.now)
	if err != nil {
		return err
	}
	b, ok := q.bench(st, l.For)
	if !ok || b.out.Dispensed == nil {
		return &refusal{http.StatusConflict, "It cannot be printed", "the dose of this label is not known", "measure it first", benchHref(f.Name, l.For)}
	}
	for _, p := range b.prep.Labels {
		if p.Serial == l.Serial && p.Void != "" {
			return &refusal{http.StatusConflict, "The label is no longer in force", p.Void, "print a new one at the bench", b.href()}
		}
	}
	facts := b.labelFacts(l)
	make := paper.PatientLabel
	if q.Practice {
		make = paper.PracticeLabel
	}
	label, err := make(facts)
	if err != nil {
		return q.pdf("", nil, err)
	}
	data, err := paper.Labels(q.Version, q.now, label)
	return q.pdf("label-"+l.Serial.Compact()+".pdf", data, err)
}

func (b *bench) labelFacts(l *journal.Label) paper.Facts {
	d, o := b.out.Dispensed, b.order
	f := paper.Facts{
		Container: paperSizes[l.Size], Serial: l.Serial, Reprint: l.Copy - 1, Material: "Y-90 resin microspheres", Activity: d.Activity, At: d.At,
		Volume: b.out.Volume, ValidFrom: d.ValidFrom, ValidUntil: d.ValidUntil, Zone: b.zone.loc(), Order: o.ID, Version: o.Version,
		Territory: o.Territory, SubDose: 1, SubDoses: 1, HalfLife: b.r.HalfLife,
	}
	f.SubDose, f.SubDoses = b.subDose()
	if p := b.prep.Expect.Patient; p != "" {
		f.Patient = []string{p}
	}
	for _, draw := range b.c.Draws {
		for _, v := range b.c.Vials {
			if draw.For == o.ID && draw.From == v.ID {
				f.Lot = v.Lot
			}
		}
	}
	return f
}

// subDose counts the orders of the same patient in the case.
func (b *bench) subDose() (n, of int) {
	for _, r := range b.file.Records {
		o, ok := r.Fact.(*journal.Order)
		if !ok || o.Patient == "" || o.Patient != b.prep.Expect.Patient {
			continue
		}
		of++
		if o.ID == b.order.ID {
			n = of
		}
	}
	if n == 0 {
		return 1, 1
	}
	return n, of
}

// use is what a sheet is for.
func (s *Server) use() paper.Use {
	if s.Practice {
		return paper.ForPractice
	}
	return paper.ForPatient
}

// sheetPDF prints the sheet of a case with its record.
func sheetPDF(q *request) error {
	st, err := q.caseState()
	if err != nil {
		return err
	}
	if q.blindAnywhere(st) {
		return &refusal{http.StatusForbidden, "Blind", "you may do the second check of a dose in this case, and the sheet would show you the first figures", "do the check first, or let somebody else", "/case/" + st.file.Name}
	}
	order, _ := strings.CutSuffix(q.r.PathValue("file"), ".pdf")
	if _, ok := q.bench(st, order); !ok {
		return &refusal{http.StatusNotFound, "There is no such sheet", "no order of this case has this id", "go to the case", "/case/" + st.file.Name}
	}
	data, err := q.sheetOf(st, order).PDF()
	return q.pdf("sheet-"+st.file.Name+"-"+order+".pdf", data, err)
}

// sheetOf is the sheet of one order.
func (q *request) sheetOf(st *state, order string) paper.Sheet {
	rec := q.paperRecord(st)
	if b, ok := q.bench(st, order); ok {
		rec.Patient = b.prep.Expect.Patient
	}
	return paper.FromResult(st.c, st.r, order, rec)
}

// paperSteps are the steps under which a sheet lists the entries of a kind;
// those of the others stand in tables of their own, or in the record alone.
var paperSteps = map[string]paper.Step{
	"order-sign": paper.OrderStep, "check": paper.ReadinessStep, "reading-curve": paper.AssayStep, "return": paper.DrawStep, "agitate": paper.DrawStep,
	"transfer": paper.TransferStep, "verify": paper.ReleaseStep, "label": paper.ReleaseStep, "override": paper.ReleaseStep, "release": paper.ReleaseStep,
	"handover": paper.ReleaseStep, "see-figures": paper.ReleaseStep, "takeover": paper.InfusionStep, "timeout": paper.InfusionStep,
	"survey": paper.SurveyStep, "exposure": paper.SurveyStep, "discard": paper.WasteStep,
}

// paperRecord is the record of a case as it is printed.
func (q *request) paperRecord(st *state) paper.Record {
	out := paper.Record{Case: st.file.Name, Use: q.use(), Software: q.Version, Made: q.now}
	n, sheets := 0, papers(st.file)
	for i, r := range st.file.Records {
		link := st.file.Links[i]
		out.Head = link.Hash.String()
		if journal.IsHeader(r.Fact) {
			continue
		}
		n++
		who, acts := signatures(r)
		for k, act := range acts {
			out.Signatures = append(out.Signatures, paper.Signature{Who: q.nameOf(who[k]), At: r.Recorded, Meaning: act.Meaning(), Hash: link.Hash.String()[:16], Entry: n})
		}
		e := paper.Entry{
			Number: n, At: journal.At(r.Fact), Recorded: r.Recorded, Who: q.nameOf(r.By), Text: full(r.Fact, st.zone),
			Step: paperSteps[r.Fact.Kind()], Names: journal.Names(r.Fact),
		}
		_, e.Order = r.Fact.(*journal.Order)
		if e.At.IsZero() {
			e.At = r.Recorded
		}
		if p := sheets[n]; p != nil {
			e.Text += "; " + fromPaper(p, r, st.zone)
		}
		if c, ok := r.Fact.(*journal.Correct); ok {
			e.Corrects, e.Reason = c.Entry, c.Reason
		}
		out.Entries = append(out.Entries, e)
	}
	return out
}

// full is a fact in one line with all its figures.
func full(f journal.Fact, z zoned) string {
	text := kindWord(f.Kind())
	fields := pairsOf(withSources(f, held(f), false), z)
	if x, ok := f.(*journal.ReadingCurve); ok {
		fields = curvePairs(x, z)
	}
	for _, p := range fields {
		text += ", " + inside(p.Name) + " " + p.Value
	}
	return text
}

// nameOf is the name behind an id, or the id where there is no account.
func (q *request) nameOf(id string) string {
	if a, found, err := q.account(id); err == nil && found {
		return a.Name + " (" + id + ")"
	}
	return id
}

// blankPDF prints the sheet for a day without power.
func blankPDF(q *request) error {
	zone, err := q.Zones(q.Zone)
	if err != nil {
		return err
	}
	hl := nuclide.Y90.HalfLife()
	sheet, err := paper.BlankSheet(paper.Day{Use: q.use(), Zone: zone, HalfLife: hl.Value, Source: hl.Source, Software: q.Version, Made: q.now})
	if err != nil {
		return q.pdf("", nil, err)
	}
	data, err := sheet.PDF()
	return q.pdf("blank.pdf", data, err)
}
