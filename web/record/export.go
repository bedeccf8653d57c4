package record

import (
	"errors"
	"net/http"
	"strings"
	"time"

	"vialwright/casefile"
	"vialwright/journal"
	"vialwright/quantity"
	"vialwright/web/kit"
	"vialwright/web/view"
)

func exportPage(q *request) error {
	order, _, err := q.toExport()
	if err != nil {
		return err
	}
	to := "/export/" + order
	p := view.FormPage{
		Page: q.Page("Export " + order), Heading: "Export order " + order, Back: view.Link{Text: "Order " + order, Href: kit.OrderHref(order)},
		Intro: "The case file holds the order with its vial and whatever else was drawn from it, as text that people can read and the program can calculate from. The raw lines are the records themselves, each with its number and hash, to the byte. Each export is noted in the log of the program.",
		Links: []view.Link{{Text: "Case file", Href: to + "/case.yaml"}, {Text: "Raw lines", Href: to + "/records.txt"}, {Text: "Several days", Href: "/export"}},
	}
	return q.Show(http.StatusOK, pages, p)
}

// toExport is the order that the address names, with its group; refused to who
// may still check a dose of it, since it would show the first figures.
func (q *request) toExport() (string, *kit.File, error) {
	if err := q.CatchUp(); err != nil {
		return "", nil, err
	}
	order := q.R.PathValue("order")
	if _, ok := q.OrderFile(order); !ok {
		return "", nil, kit.NoOrder()
	}
	f := q.Lab.File(order)
	return order, f, q.exportBlind(f)
}

// exportBlind refuses to give out a group with a dose that this person may
// still check.
func (q *request) exportBlind(f *kit.File) error {
	st, err := q.Reckon(f, q.Now)
	switch {
	case err != nil:
		return nil
	case q.BlindAnywhere(st):
		return blindHere()
	case q.HidesChecks(st):
		return &kit.Refusal{Status: http.StatusForbidden, Heading: "Not yet", Text: "a second check does not confirm a dose that you prepared, and the file would show you its figure", Hint: "read again, or let the person decide who may release the dose; then export", Back: "/"}
	}
	return nil
}

const plainText8 = "text/plain; charset=utf-8"

// exportDo gives an order as a case file that says nothing of other patients, or
// the raw lines of its group.
func exportDo(q *request) error {
	order, f, err := q.toExport()
	if err != nil {
		return err
	}
	switch q.R.PathValue("file") {
	case "case.yaml":
		// An order that nothing was drawn for has the vials it can be drawn from in
		// it, so that the file plans what the bench plans.
		wide, _ := q.OrderFile(order)
		if err := q.exportBlind(wide); err != nil {
			return err
		}
		records, err := casefile.ForOrder(wide.Records, order)
		if err != nil {
			return err
		}
		data, err := casefile.Export(casefile.Extract(records), q.Zones)
		if err != nil {
			return &kit.Refusal{Status: http.StatusConflict, Heading: "It cannot be written", Text: err.Error(), Hint: "take its raw lines", Back: "/export"}
		}
		return q.Download(order+".yaml", plainText8, data)
	case "records.txt":
		own := map[int]bool{}
		for _, r := range f.Records {
			own[r.N] = true
		}
		lines, _, err := q.Lab.Lines(q.R.Context(), func(r journal.Record) bool { return own[r.N] })
		if err != nil {
			return notWhole(err)
		}
		return q.Download(order+".records.txt", plainText8, lines)
	}
	return &kit.Refusal{Status: http.StatusNotFound, Heading: "There is no such file", Text: "an order is given as case.yaml or records.txt", Hint: "use the page", Back: "/order/" + order + "/export"}
}

// notWhole refuses to go on from a journal that does not hold.
func notWhole(err error) error {
	if _, broken := errors.AsType[*journal.BrokenLink](err); broken {
		return &kit.Refusal{Status: http.StatusConflict, Heading: "The journal is not whole", Text: err.Error(), Hint: "tell the person who looks after the program", Back: "/"}
	}
	return err
}

func daysPage(q *request) error { return q.daysShow(http.StatusOK, nil) }

func (q *request) daysShow(status int, wrong kit.Faults) error {
	today := q.clockDay()
	value := func(name string) string {
		if t := q.R.FormValue(name); t != "" {
			return t
		}
		return today
	}
	fields := []view.Field{
		{Kind: "text", Name: "from", Label: "From the day", Value: value("from"), Required: true, Small: true, Focus: true, Hint: "Such as " + today + "."},
		{Kind: "text", Name: "to", Label: "To (inclusive)", Value: value("to"), Required: true, Small: true},
	}
	wrong.Beside(fields)
	f := kit.PlainForm("days", "Which days", "/export/days", "Download", fields...)
	p := view.FormPage{
		Page: q.Page("Export"), Heading: "Export days", Back: view.Link{Text: "Board", Href: "/"}, Form: &f,
		Intro: "One archive with the raw lines of all records of those days, by the day on which they were recorded, and with every order or vial that they belong to as a case file of its own, which gives the same figures. An order that is not drawn yet stands in it without a vial, and so without a plan. Each export is noted in the log of the program.",
	}
	return q.Show(status, pages, p)
}

func daysDo(q *request) error {
	wrong := kit.Faults{}
	day := func(name string) (begins, ends time.Time) {
		begins, ends, err := quantity.ParseDay(strings.TrimSpace(q.R.PostFormValue(name)), q.Location())
		if err != nil {
			wrong[name] = kit.Fault{Text: "it is no day", Way: "such as " + q.clockDay()}
		}
		return begins, ends
	}
	from, _ := day("from")
	to, end := day("to")
	if len(wrong) == 0 && to.Before(from) {
		wrong["to"] = kit.Fault{Text: "it lies before the first", Way: "write the earlier day first"}
	}
	if len(wrong) > 0 {
		return q.daysShow(http.StatusUnprocessableEntity, wrong)
	}
	return q.archive(from, end)
}

// archive hands out the archive of some days; refused to who may still check a dose
// of one of its groups.
func (q *request) archive(from, end time.Time) error {
	a := DayArchive{Zones: q.Zones, Zone: q.Zone, From: from, End: end, Mark: q.Mark(), By: q.Who.ID, Version: q.Version, Now: q.Now}
	if err := a.Fill(q.R.Context(), q.Lab); err != nil {
		return notWhole(err)
	}
	for _, f := range a.Files {
		if err := q.exportBlind(f); err != nil {
			return err
		}
	}
	data, err := a.Pack()
	if err != nil {
		return &kit.Refusal{Status: http.StatusConflict, Heading: "It cannot be written", Text: err.Error(), Hint: "take the raw lines of the order", Back: "/export"}
	}
	return q.Download(a.Name(), "application/zip", data)
}
