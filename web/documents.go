package web

import (
	"net/http"

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
	as := "inline"
	if q.r.URL.Query().Has("save") {
		as = "attachment" // the page it was asked from stays
	}
	h.Set("Content-Disposition", as+`; filename="`+name+`"`)
	h.Set("Cache-Control", "no-store")
	q.w.WriteHeader(http.StatusOK)
	_, err = q.w.Write(data)
	return err
}
