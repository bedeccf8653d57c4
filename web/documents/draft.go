package documents

import (
	"net/http"
	"strings"

	"vialwright/web/books"
	"vialwright/web/kit"
	"vialwright/web/view"
)

// draftText shows the draft of a report, to be copied or printed.
func draftText(q *request) error {
	b, err := books.Here(q.Request)
	if err != nil {
		return err
	}
	c, d, ok := b.Event()
	if !ok || b.Blind() {
		return &kit.Refusal{Status: http.StatusNotFound, Heading: "There is no draft", Text: "no residual was read yet, or the site has named no rule profile", Hint: "start the program with --rules to have one", Back: b.Href()}
	}
	p := Draft{Page: q.Page("Draft of a report, " + b.Order.ID), Back: view.Link{Text: "Bench of " + b.Order.ID, Href: b.Href()}, Text: strings.TrimLeft(q.Mark()+"\n\n", "\n") + d.Draft(c)}
	return q.Show(http.StatusOK, pages, p)
}
