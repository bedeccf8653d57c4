package books

import (
	"net/http"

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
