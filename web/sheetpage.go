package web

import (
	"net/http"
	"net/url"
	"strings"
	"time"

	"vialwright/web/view"
)

// sheetPage asks for the sheet, or says which one is being entered.
func sheetPage(q *request) error { return q.sheetShow(http.StatusOK, q.sheet(), nil) }

func (q *request) sheetShow(status int, s *sheet, wrong faults) error {
	p := view.FormPage{
		Page: q.page("Late entry"), Heading: "Late entry", Back: view.Link{Text: "Board", Href: "/"},
		Intro: "For what was written on paper first, such as without power. Every form then asks for the time on the sheet, and each entry says that it came from paper, who wrote it and who entered it. " +
			"Enter the steps in the order in which they were done. What was signed on the sheet, such as the second check and the release, is entered by who signed it.",
	}
	day, number, writer := q.clockDay(), "", q.who.ID
	if s != nil {
		day, number, writer = s.day, s.number, s.writer
	}
	fields := []view.Field{
		{Kind: "text", Name: "sheet", Label: "Number or name of the sheet", Value: number, Required: true, Focus: true},
		{Kind: "id", Name: "by", Label: "Who wrote it: id", Value: writer, Required: true},
		{Kind: "text", Name: "day", Label: "Day of the sheet", Value: day, Required: true, Small: true, Hint: "Times such as 11:10 are then of this day."},
	}
	for i := range fields {
		if w, bad := wrong[fields[i].Name]; bad {
			fields[i].Error, fields[i].Way = w.text, w.way
		}
	}
	begin := plain("sheet", "Which sheet", "/paper", "Enter from this sheet", fields...)
	p.Forms = append(p.Forms, begin)
	if q.sheet() != nil {
		p.Forms = append(p.Forms, plain("sheet-end", "The sheet is entered", "/paper", "Go back to entering what happens now", view.Field{Kind: "hidden", Name: "end", Value: "yes"}))
	}
	return q.show(status, p)
}

// clockDay is today, in the zone of the site.
func (q *request) clockDay() string {
	return q.Clock().In(q.loc()).Format(time.DateOnly)
}

// sheetDo begins to enter a sheet, or ends it. It is kept in the browser, since
// it says how this person at this desk types, and nothing of what was done.
func sheetDo(q *request) error {
	c := &http.Cookie{Name: sheetCookie, Path: "/", SameSite: http.SameSiteStrictMode, HttpOnly: true, Secure: !q.PlainHTTP, MaxAge: 12 * 3600}
	if q.r.PostForm.Get("end") != "" {
		c.MaxAge = -1
		http.SetCookie(q.w, c)
		return q.see("/")
	}
	get := func(field string) string { return strings.TrimSpace(q.r.PostForm.Get(field)) }
	s := &sheet{get("sheet"), get("by"), get("day")}
	if wrong := s.wrong(); wrong != nil {
		return q.sheetShow(http.StatusUnprocessableEntity, s, wrong)
	}
	c.Value = url.Values{"who": {q.who.ID}, "sheet": {s.number}, "by": {s.writer}, "day": {s.day}}.Encode()
	http.SetCookie(q.w, c)
	return q.see("/")
}
