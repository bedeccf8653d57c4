package books

import (
	"net/http"
	"slices"
	"strconv"
	"strings"

	"vialwright/fact"
	"vialwright/identity"
	"vialwright/paper"
	"vialwright/web/kit"
)

// SendPDF sends a document.
func SendPDF(q *kit.Request, name string, data []byte, err error) error {
	if e, ok := err.(*paper.Error); ok {
		return &kit.Refusal{Status: http.StatusUnprocessableEntity, Heading: "It cannot be printed", Text: e.Field + ": " + e.Msg, Hint: e.Hint, Back: q.CameFrom()}
	}
	if err != nil {
		return err
	}
	h := q.W.Header()
	h.Set("Content-Type", "application/pdf")
	as := "inline"
	if q.R.URL.Query().Has("save") {
		as = "attachment" // the page it was asked from stays
	}
	h.Set("Content-Disposition", as+`; filename="`+name+`"`)
	h.Set("Cache-Control", "no-store")
	q.W.WriteHeader(http.StatusOK)
	_, err = q.W.Write(data)
	return err
}

// Use is what a sheet is for.
func Use(q *kit.Request) paper.Use {
	if q.Practice {
		return paper.ForPractice
	}
	return paper.ForPatient
}

// SendSheet prints a sheet as of now, and sends it.
func SendSheet(q *kit.Request, name string, s paper.Sheet, err error) error {
	var data []byte
	if err == nil {
		s.Use, s.Clock, s.Made, s.Software = Use(q), q.ClockSays(), q.Now, q.Version
		data, err = s.PDF()
	}
	return SendPDF(q, name, data, err)
}

// paperSizes are the containers of package paper.
var paperSizes = map[fact.Size]paper.Container{
	fact.SyringeLabel: paper.Syringe, fact.VialLabel: paper.AdministrationVial, fact.ShieldLabel: paper.Shield, fact.BoxLabel: paper.Box,
}

// LabelPDF is the document of a label: the order, which has not changed since
// while the label is in force, and what its entry says was printed. Every
// print of it is the same to the byte.
func (b *Bench) LabelPDF(l *fact.Label) ([]byte, error) {
	o, p := b.Order, l.Printed
	number, _ := p.Activity.Split()
	f := paper.Facts{
		Container: paperSizes[l.Size], Serial: l.Serial, Reprint: l.Copy - 1, Material: "Y-90 resin microspheres", Activity: p.Activity.Value, Digits: len(strings.ReplaceAll(number, ".", "")), At: p.Reference,
		Volume: p.Volume.Value, ValidFrom: p.ValidFrom, ValidUntil: p.ValidUntil, Zone: b.Zone.Loc(), Order: o.ID, Version: o.Version,
		Territory: o.Territory, SubDose: p.Dose, SubDoses: p.Doses, Lot: p.Lot, HalfLife: p.HalfLife.Value,
	}
	f.Way = LabelOn(l.Of, l.Into, l.Size)
	for _, p := range []string{b.Prep.Expect.Patient, b.Prep.Expect.Second} {
		if p != "" {
			f.Patient = append(f.Patient, p)
		}
	}
	f.Clock = b.Q.ClockSays()
	kind := paper.PatientLabel
	if b.Q.Practice {
		kind = paper.PracticeLabel
	}
	label, err := kind(f)
	if err != nil {
		return nil, err
	}
	return paper.Labels(b.Q.Version, l.At, label)
}

// LabelOn says what a label goes on, and what the dose is in where that is another
// container, as the label itself and the page that leads to it say it.
func LabelOn(of, into string, size fact.Size) string {
	switch {
	case into != "":
		return "Syringe " + of + ", vial " + into
	case size == fact.SyringeLabel:
		return "Syringe " + of
	case size == fact.VialLabel:
		return "Vial " + of
	}
	return "Dose in " + of
}

// LabelHref is where a label is printed.
func LabelHref(s identity.Serial) string { return "/labels/" + s.Compact() + ".pdf" }

// WorkingHref is where a section of the sheet of the order is worked out.
func (b *Bench) WorkingHref(section paper.Step) string {
	return b.Href() + "/working#" + WorkingID(section, "")
}

// WorkingID is the id of a section on the page of workings.
func WorkingID(section paper.Step, heading string) string {
	if i := slices.Index(paper.Steps(), section); i >= 0 {
		return "working-" + strconv.Itoa(i)
	}
	return "working-" + strings.ToLower(strings.ReplaceAll(heading, " ", "-"))
}
