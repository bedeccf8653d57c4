package instruments

import (
	"vialwright/paper"
	"vialwright/web/books"
)

func certificatePDF(q *request) error {
	b, id := *q.book(), q.R.PathValue("id")
	b.Findings = append(q.found(&b), q.differences(&b, id)...)
	sheet, err := paper.Certificate(&b, id)
	return books.SendSheet(q.Request, "certificate-"+id+".pdf", sheet, err)
}
