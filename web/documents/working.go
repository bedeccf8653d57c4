package documents

import (
	"math"
	"net/http"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"vialwright/dispensing"
	"vialwright/paper"
	"vialwright/quantity"
	"vialwright/web/books"
	"vialwright/web/kit"
	"vialwright/web/view"
	"vialwright/web/words"
)

// workingPage shows how each figure of an order was worked out: what its sheet
// prints, made by the same code, with the parts of each uncertainty as bars.
func workingPage(q *request) error {
	b, err := books.Here(q.Request)
	if err != nil {
		return err
	}
	if q.BlindAnywhere(b.State) {
		return &kit.Refusal{Status: http.StatusForbidden, Heading: "Blind", Text: "you may do the second check of one of these doses, and the working would show you the first figures", Hint: "do the check first, or let another person do this", Back: b.Href()}
	}
	p := Working{Page: q.Page("Working, " + b.Order.ID), Back: view.Link{Text: "Bench of " + b.Order.ID, Href: b.Href()}}
	entries := "/history?of=" + b.Order.ID + "#entry-"
	for _, s := range q.sheetOf(b).Sections {
		w := WorkingSection{ID: books.WorkingID(s.Step, s.Heading), Heading: s.Heading}
		for _, r := range s.Rows {
			row := WorkingRow{Name: r.Label, Value: r.Said(), Also: r.Beside(), Corrected: r.Corrected}
			for _, line := range strings.FieldsFunc(r.How, func(c rune) bool { return c == '[' || c == ']' }) {
				if line = strings.TrimSpace(line); line != "" {
					row.How = append(row.How, linked(line, entries))
				}
			}
			w.Rows = append(w.Rows, row)
		}
		w.Notes = s.Notes
		w.Budgets = budgets(b, s.Step)
		if len(w.Rows)+len(w.Notes) > 0 {
			p.Sections = append(p.Sections, w)
		}
	}
	return q.Show(http.StatusOK, pages, p)
}

// budgets are the uncertainties that a section states: that of a vial at its assay,
// that of the dose at the decision.
func budgets(b *books.Bench, step paper.Step) []Budget {
	var out []Budget
	switch step {
	case paper.AssayStep:
		for _, v := range b.Result.Vials {
			if v.Withheld == "" && v.Assayed && slices.Contains(b.Out.Sources, v.Vial.ID) {
				out = append(out, budget("Uncertainty of "+v.Vial.ID, v.Budget, b.Result.HalfLife, v.Vial.Reference, v.U))
			}
		}
	case paper.DecisionStep:
		if d := b.Out.Dispensed; d != nil {
			out = append(out, budget("Uncertainty of the dose", d.Budget, b.Result.HalfLife, d.At, d.U))
		}
	}
	return out
}

// budget shows what each part brings into a variance. Parts add up to the whole, so
// that a bar is a share of u².
func budget(title string, of dispensing.Budget, halfLife quantity.Span, at time.Time, u quantity.Activity) Budget {
	out := Budget{Title: title}
	for _, t := range of.Terms(halfLife, at) {
		share := math.Pow(float64(t.U/u), 2)
		if u > 0 && share >= 0.0005 {
			out.Bars = append(out.Bars, Bar{Name: words.Sentence(t.Source), U: quantity.FormatDigits(t.U, 2, "MBq"), Share: strconv.FormatFloat(share, 'f', 4, 64), Says: quantity.FormatDigits(quantity.Fraction(share), 2, "%")})
		}
	}
	return out
}

var namedEntry = regexp.MustCompile(`\b(?:entry|entries) (\d+)`)

// linked takes a working apart at the entries that it names, each with a link.
func linked(text, to string) []view.Link {
	var out []view.Link
	at := 0
	for _, m := range namedEntry.FindAllStringSubmatchIndex(text, -1) {
		out = append(out, view.Link{Text: text[at:m[0]]}, view.Link{Text: text[m[0]:m[1]], Href: to + text[m[2]:m[3]]})
		at = m[1]
	}
	if at < len(text) {
		out = append(out, view.Link{Text: text[at:]})
	}
	return out
}
