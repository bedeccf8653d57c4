package documents

import (
	"net/http"

	"vialwright/web/books"
	"vialwright/web/kit"
)

func draftText(q *request) error {
	b, err := books.Here(q.Request)
	if err != nil {
		return err
	}
	c, d, ok := b.Event()
	if !ok || b.Blind() {
		return &kit.Refusal{Status: http.StatusNotFound, Heading: "There is no draft", Text: "no residual was read yet, or the site has named no rule profile", Hint: "start the program with --rules to have one", Back: b.Href()}
	}
	q.W.Header().Set("Content-Type", "text/plain; charset=utf-8")
	mark := q.Mark()
	if mark != "" {
		mark += "\n\n"
	}
	_, err = q.W.Write([]byte(mark + d.Draft(c)))
	return err
}
