package record

import (
	"net/http"
	"strings"
	"time"

	"vialwright/web/kit"
	"vialwright/web/view"
)

func sheetPage(q *request) error { return q.sheetShow(http.StatusOK, q.Sheet(), nil) }

func (q *request) sheetShow(status int, s *kit.Sheet, wrong kit.Faults) error {
	p := view.FormPage{
		Page: q.Page("Late entry"), Heading: "Late entry", Back: view.Link{Text: "Board", Href: "/"},
		Intro: "For work that was first written on paper, for example during a power failure. Every form then asks for the time on the sheet, and each entry says that it came from paper, who wrote it and who entered it. " +
			"Enter the steps in the order in which they were done. What was signed on the sheet, such as the second check and the release, is entered by the person who signed it.",
	}
	day, number, writer := q.clockDay(), "", q.Who.ID
	if s != nil {
		day, number, writer = s.Day, s.Number, s.Writer
	}
	fields := []view.Field{
		{Kind: "text", Name: "sheet", Label: "Number or name of the sheet", Value: number, Required: true, Focus: true},
		{Kind: "id", Name: "by", Label: "Who wrote it: id", Value: writer, Required: true},
		{Kind: "text", Name: "day", Label: "Day of the sheet", Value: day, Required: true, Small: true, Hint: "Times such as 11:10 are then of this day."},
	}
	wrong.Beside(fields)
	begin := kit.PlainForm("sheet", "Which sheet", "/paper", "Enter from this sheet", fields...)
	begin.Nonce = q.Nonce()
	p.Forms = append(p.Forms, begin)
	if q.Sheet() != nil {
		p.Forms = append(p.Forms, kit.PlainForm("sheet-end", "Finished with this sheet", "/paper", "End late entry", view.Field{Kind: "hidden", Name: "end", Value: "yes"}))
	}
	return q.Show(status, pages, p)
}

func (q *request) clockDay() string {
	return q.Clock().In(q.Location()).Format(time.DateOnly)
}

func sheetDo(q *request) error {
	if q.R.PostForm.Get("end") != "" {
		q.KeepSheet(nil)
		return q.See("/")
	}
	get := func(field string) string { return strings.TrimSpace(q.R.PostForm.Get(field)) }
	s := &kit.Sheet{Number: get("sheet"), Writer: get("by"), Day: get("day")}
	if wrong := s.Wrong(); wrong != nil {
		return q.sheetShow(http.StatusUnprocessableEntity, s, wrong)
	}
	q.KeepSheet(s)
	return q.See("/")
}
