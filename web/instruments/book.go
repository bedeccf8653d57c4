package instruments

import (
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"vialwright/fact"
	"vialwright/meter"
	"vialwright/meterbook"
	"vialwright/paper"
	"vialwright/people"
	"vialwright/quantity"
	"vialwright/web/books"
	"vialwright/web/kit"
	"vialwright/web/lessons"
	"vialwright/web/view"
	"vialwright/web/words"
)

func bookHref(id string) string {
	if id == "" {
		return "/instruments"
	}
	return "/instruments/of/" + url.PathEscape(id)
}

func (q *request) book() *meterbook.Book { return q.instruments.Book(q.Now, q.Location()) }

func listPage(q *request) error {
	b := q.book()
	p := Instruments{Page: q.Page("Instruments"), Back: view.Link{Text: "Board", Href: "/"}}
	for _, i := range b.Instruments {
		row := InstrumentRow{Link: view.Link{Text: i.ID, Href: bookHref(i.ID)}, What: "Not in the book: enter it.", State: "note"}
		if i.Now != nil {
			row.What, row.State = kindOf(i.Now), "done"
		}
		for _, d := range i.Due {
			row.Due = append(row.Due, dueNotice(b, d))
			if d.Overdue {
				row.State = "warn"
			}
		}
		p.Rows = append(p.Rows, row)
	}
	for _, d := range b.DueSources {
		p.Sources = append(p.Sources, dueNotice(b, d))
	}
	for _, f := range slices.Backward(q.found(b)) {
		if p.Findings = append(p.Findings, findingNotice(f)); len(p.Findings) == mostFindings {
			break
		}
	}
	if people.May(q.Who.Person, people.SetMeter) == nil {
		for _, id := range b.Usable(q.Now) {
			p.Links = append(p.Links, view.Link{Text: "Enter a change of source " + id, Href: "/instruments/enter/check-source?of=" + url.QueryEscape(id)})
		}
		for _, e := range entered {
			p.Links = append(p.Links, view.Link{Text: "Enter " + e.what, Href: "/instruments/enter/" + e.Kind})
		}
		p.Links = append(p.Links, view.Link{Text: "Factors that doses are calculated with", Href: "/meters"})
	}
	return q.Show(http.StatusOK, pages, p)
}

// mostFindings bounds the findings of the list, mostTests the tests of an instrument.
const (
	mostFindings = 12
	mostTests    = 40
)

func kindOf(x *fact.Instrument) string {
	s := words.Sentence(plain(string(x.What)))
	if x.State == fact.Withdrawn {
		s += ", withdrawn"
	}
	return s
}

func dueNotice(b *meterbook.Book, d meterbook.Due) view.Notice {
	n := view.Notice{Kind: "note", Word: "Due", Text: d.Text(b.Zone), Hint: "By " + d.Source + "."}
	if d.Overdue {
		n.Kind, n.Word = "warn", "Overdue"
	}
	return n
}

func findingNotice(f meterbook.Finding) view.Notice {
	n := view.Notice{Kind: string(f.Severity), Word: view.Weights[string(f.Severity)], Text: f.Text, Hint: f.Hint}
	if f.Entry > 0 {
		n.Mend = view.Link{Text: "Correct entry " + strconv.Itoa(f.Entry), Href: "/entry/" + strconv.Itoa(f.Entry) + "/correct"}
	}
	return n
}

func onePage(q *request) error {
	b := q.book()
	i := b.Find(q.R.PathValue("id"))
	if i == nil {
		return &kit.Refusal{Status: http.StatusNotFound, Heading: "There is no such instrument", Text: "the book has no instrument of this id", Hint: "go to the list", Back: bookHref("")}
	}
	p := One{Page: q.Page("Instrument " + i.ID), Heading: i.ID, Back: view.Link{Text: "Instruments", Href: bookHref("")}}
	z := words.Zoned{Location: b.Zone}
	if i.Now != nil {
		p.Heading += ": " + words.Inside(kindOf(i.Now))
		p.Facts = words.Pairs(i.Now, z)
	}
	for _, c := range slices.Backward(i.Calibrations) {
		pairs := words.Pairs(c.Fact, z)
		p.Calibrations = append(p.Calibrations, CalibrationCard{words.Sentence(plain(c.Fact.Container)) + ", " + string(c.Fact.Basis) + " basis", slices.DeleteFunc(pairs, func(p view.Pair) bool {
			return slices.Contains([]string{"Instrument", "Container", "Calibration basis"}, p.Name)
		})})
	}
	if s, ok := i.Scales(b.At); ok {
		p.Scales = scales(s)
		var err error
		if p.Changes, p.Hidden, err = q.changes(s); err != nil {
			return err
		}
	}
	p.Facts = append(p.Facts, tested(b, i)...)
	for _, h := range b.Rules.Says() {
		p.Held = append(p.Held, view.Pair{Name: h.What, Value: h.Limit + " (" + h.Source + ")"})
	}
	for _, d := range i.Due {
		p.Due = append(p.Due, dueNotice(b, d))
	}
	for _, f := range slices.Backward(q.found(b)) {
		if f.Of == i.ID {
			p.Due = append(p.Due, findingNotice(f))
		}
	}
	for _, f := range q.differences(b, i.ID) {
		p.Due = append(p.Due, findingNotice(f))
	}
	span := q.span()
	p.Spans = span.links(i.ID, q.Now)
	for n, s := range i.Series {
		p.Charts = append(p.Charts, q.seriesCard(n, s, span))
	}
	for _, t := range slices.Backward(i.Tests) {
		if p.Tests = append(p.Tests, TestRow{b.On(t.At), plain(string(t.Test)), string(t.Verdict), t.Says, "/entry/" + strconv.Itoa(t.Entry) + "/correct"}); len(p.Tests) == mostTests {
			break
		}
	}
	if people.May(q.Who.Person, people.CheckReadiness) == nil {
		for _, t := range fact.Tests() {
			p.Links = append(p.Links, view.Link{Text: words.Sentence(plain(string(t))), Href: bookHref(i.ID) + "/test/" + string(t)})
		}
	}
	if people.May(q.Who.Person, people.SetMeter) == nil {
		p.Renew = renew(i)
	}
	p.Sheet = view.Link{Text: "Print the calibration certificate", Href: bookHref(i.ID) + "/certificate.pdf"}
	p.Witness = q.witness(i.ID)
	return q.Show(http.StatusOK, pages, p)
}

// found are the findings of the book, and the use of what was withdrawn, which the entries
// of orders tell.
func (q *request) found(b *meterbook.Book) []meterbook.Finding {
	var uses []meterbook.Use
	if slices.ContainsFunc(b.Instruments, (*meterbook.Instrument).WasWithdrawn) {
		q.past.Taught(func(x *lessons.Lessons) { uses = x.Tally.Uses() })
	}
	return b.With(uses)
}

func (q *request) differences(b *meterbook.Book, id string) (out []meterbook.Finding) {
	_, _, all := q.SettingsInForce(q.Now)
	for _, m := range all {
		if m.ID == id {
			out = append(out, b.Differences(m)...)
		}
	}
	return out
}

// witness is what the labels of all vials say of a meter. It is made of readings of
// earlier days alone: a checker is shown no figure of a vial of today.
func (q *request) witness(id string) (out []string) {
	var all []meterbook.Assay
	day := q.Now.In(q.Location()).Format("2006-01-02")
	q.past.Taught(func(x *lessons.Lessons) {
		for _, a := range x.Tally.Assays() {
			if a.Meter == id && a.At.In(q.Location()).Format("2006-01-02") < day {
				all = append(all, a)
			}
		}
	})
	for _, w := range meterbook.Witnesses(all, q.Location()) {
		if w.Says != "" {
			out = append(out, w.Says)
		}
	}
	return out
}

func scales(s meter.Scale) []view.Pair {
	return []view.Pair{{Name: "Traceable, % of label-matched", Value: quantity.Format(s.Ratio, s.U, "%")}, {Name: "The label-matched scale lies below by", Value: quantity.FormatDigits(s.Low(), 3, "%")}}
}

// changes are what a planned change of scale does to the orders whose dose was not given.
// Who may still check one of them is not shown its figures.
func (q *request) changes(s meter.Scale) (out []OrderChange, hidden int, err error) {
	st, err := q.OpenStanding()
	if err != nil {
		return nil, 0, err
	}
	for _, o := range meterbook.ToGive(st.Case) {
		b, ok := books.BenchOf(q.Request, st, o.Order)
		switch {
		case !ok || b.Prep.Over():
			continue
		case b.Blind():
			hidden++
			continue
		}
		moved, kept := meterbook.Change(s, o)
		c := OrderChange{Order: view.Link{Text: o.Order, Href: kit.OrderHref(o.Order)}, Kept: kept}
		for _, m := range moved {
			c.Figures = append(c.Figures, view.Pair{Name: m.What, Value: m.Now + " becomes " + m.Then})
		}
		out = append(out, c)
	}
	return out, hidden, nil
}

func renew(i *meterbook.Instrument) (out []view.Link) {
	at := func(kind string, pairs ...string) string {
		v := url.Values{"of": {i.ID}}
		for n := 0; n < len(pairs); n += 2 {
			v.Set(pairs[n], pairs[n+1])
		}
		return "/instruments/enter/" + kind + "?" + v.Encode()
	}
	if i.Now != nil {
		out = append(out, view.Link{Text: "A change of " + i.ID, Href: at("instrument")})
	}
	seen := map[[2]string]bool{}
	for _, c := range i.Calibrations {
		if key := [2]string{c.Fact.Container, string(c.Fact.Basis)}; !seen[key] {
			seen[key] = true
			out = append(out, view.Link{Text: "A new calibration, " + plain(key[0]) + ", " + key[1] + " basis", Href: at("calibration", "container", key[0], "basis", key[1])})
		}
	}
	return out
}

// tested are the range and the fills that an instrument was tested over.
func tested(b *meterbook.Book, i *meterbook.Instrument) (out []view.Pair) {
	if t := i.Range("", b.At); t != nil {
		says := t.Tested() + ", " + plain(string(t.Test)) + " of " + b.On(t.At)
		if t.Setting != "" {
			says += ", on setting " + t.Setting
		}
		if t.Test == fact.SleevesTest {
			says += "; what is displayed within a sleeve counts as a weaker source (common practice, no source)"
		}
		out = append(out, view.Pair{Name: "Tested range", Value: says})
	}
	for _, kind := range fact.Containers() {
		var says []string
		for _, f := range b.Fills(i, kind) {
			says = append(says, quantity.Format(f.Value, f.U, "%")+" at "+quantity.Show(f.Volume, 0).String())
		}
		if says != nil {
			out = append(out, view.Pair{Name: "Tested factor, " + plain(kind), Value: strings.Join(says, ", ") + "; straight between fills, none outside of them"})
		}
	}
	return out
}

func plain(text string) string { return strings.ReplaceAll(text, "-", " ") }

func certificatePDF(q *request) error {
	b, id := *q.book(), q.R.PathValue("id")
	b.Findings = append(q.found(&b), q.differences(&b, id)...)
	sheet, err := paper.Certificate(&b, id)
	sheet.Head = q.Lab.Report().Head.Hash.String()
	return books.SendSheet(q.Request, "certificate-"+id+".pdf", sheet, err)
}
