package documents

import (
	"net/http"
	"strings"

	"vialwright/fact"
	"vialwright/identity"
	"vialwright/web/books"
	"vialwright/web/kit"
)

func labelPDF(q *request) error {
	text, ok := strings.CutSuffix(q.R.PathValue("file"), ".pdf")
	serial, err := identity.Parse(text)
	if ok && err == nil {
		if l, ok := q.Lab.Label(serial.String()); ok {
			return q.printLabel(q.Lab.File(l.For), l)
		}
	}
	return &kit.Refusal{Status: http.StatusNotFound, Heading: "There is no such label", Text: "no label has this serial", Hint: "print it at the bench", Back: "/"}
}

// printLabel refuses a label that is no longer in force: a second print of an
// old label is how doses get swapped.
func (q *request) printLabel(f *kit.File, l *fact.Label) error {
	st, err := q.Reckon(f, q.Now)
	if err != nil {
		return err
	}
	b, ok := books.BenchOf(q.Request, st, l.For)
	if !ok || l.Printed == nil {
		return &kit.Refusal{Status: http.StatusConflict, Heading: "It cannot be printed", Text: "the record does not say what stands on this label", Hint: "print a new one at the bench", Back: kit.OrderHref(l.For)}
	}
	if q.Blind(st, l.For) {
		return &kit.Refusal{Status: http.StatusForbidden, Heading: "Blind", Text: "you may do the second check of this dose, and its label would show you the first figure", Hint: "do the check first, or let another person do this", Back: b.Href()}
	}
	for _, p := range b.Prep.Labels {
		if p.Serial == l.Serial && p.Void != "" {
			return &kit.Refusal{Status: http.StatusConflict, Heading: "The label is no longer in force", Text: p.Void, Hint: "print a new one at the bench", Back: b.Href()}
		}
	}
	data, err := b.LabelPDF(l)
	return books.SendPDF(q.Request, "label-"+l.Serial.Compact()+".pdf", data, err)
}
