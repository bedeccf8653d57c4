package instruments

import (
	"vialwright/paper"
	"vialwright/web/books"
)

// certificatePDF prints the calibration certificate of an instrument.
func certificatePDF(q *request) error {
	if err := q.CatchUp(); err != nil {
		return err
	}
	b, id := *q.book(), q.R.PathValue("id")
	b.Findings = append(q.found(&b), q.differences(&b, id)...)
	sheet, err := paper.Certificate(&b, id)
	if err != nil {
		return books.SendPDF(q.Request, "", nil, err)
	}
	sheet.Use = paper.ForPatient
	if q.Practice {
		sheet.Use = paper.ForPractice
	}
	sheet.Clock, sheet.Made, sheet.Software = q.ClockSays(), q.Now, q.Version
	data, err := sheet.PDF()
	return books.SendPDF(q.Request, "certificate-"+sheet.Subject+".pdf", data, err)
}
