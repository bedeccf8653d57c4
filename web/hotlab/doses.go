package hotlab

import (
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/url"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"vialwright/casefile"
	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/fold"
	"vialwright/hotlab"
	"vialwright/web/kit"
	"vialwright/web/view"
	"vialwright/web/words"
)

// DoseColumns are the columns of the report of a dosimetry service, as its first line names
// them.
var DoseColumns = []string{"who", "dosemeter", "worn", "hand", "from", "to", "measured", "report"}

// Wrong is all that is wrong with the lines of a report.
type Wrong []*casefile.Error

// mostTold is how many faults of a report are told: with more it is another table.
const mostTold = 20

// Error tells each with its line.
func (w Wrong) Error() string {
	var all []string
	for _, e := range w[:min(len(w), mostTold)] {
		all = append(all, e.Error())
	}
	if n := len(w) - mostTold; n > 0 {
		all = append(all, words.Plural(n, "more line")+" cannot be taken either")
	}
	return strings.ReplaceAll(strings.Join(all, ".\n"), "?.", "?")
}

// Reports reads the lines of such a report as a case file would have them, or none: not where
// one of them is there before, stands twice or is still to come at a moment, unless that is
// zero. lines are where they stand; an error that is of lines is a [Wrong] with all of them.
func Reports(text, zone string, zones fact.Zones, before []fold.Entry, now time.Time) (out []fact.Fact, lines []int, err error) {
	text = strings.TrimPrefix(text, "\uFEFF")
	if !utf8.ValidString(text) || strings.ContainsAny(text, "\x00\uFFFD") { // a browser puts U+FFFD for what it cannot read
		return nil, nil, Wrong{{Msg: "this is not text in UTF-8", Hint: "save the sheet as CSV UTF-8, and send that file"}}
	}
	in := csv.NewReader(strings.NewReader(text))
	in.FieldsPerRecord = -1
	if head, _, _ := strings.Cut(text, "\n"); strings.Contains(head, ";") { // as where a comma is the decimal point
		in.Comma = ';'
	}
	var columns []string
	var wrong Wrong
	for {
		row, err := in.Read()
		if err == io.EOF {
			break
		} else if err != nil { // nor can the lines behind it be told apart
			wrong = append(wrong, &casefile.Error{Msg: err.Error(), Hint: "write it as comma-separated values"})
			break
		}
		line, _ := in.FieldPos(0)
		if columns == nil {
			if columns, err = columnsOf(row, line); err != nil {
				return nil, nil, err
			}
			continue
		}
		f, err := report(columns, row, line, zone, zones)
		bad, ok := errors.AsType[*casefile.Error](err)
		if err != nil && !ok {
			return nil, nil, err
		}
		if bad == nil {
			bad = misplaced(f, before, out, lines, now)
		}
		if bad != nil {
			bad.Line = line
			wrong = append(wrong, bad)
			continue
		}
		out, lines = append(out, f), append(lines, line)
	}
	switch {
	case len(wrong) > 0:
		return nil, nil, wrong
	case out == nil:
		return nil, nil, Wrong{{Msg: "there is no report in it", Hint: "its first line names the columns " + strings.Join(DoseColumns, ", ")}}
	}
	return out, lines, nil
}

// misplaced is what a report cannot be beside those of before and of the lines above it; nil
// for nothing.
func misplaced(f fact.Fact, before []fold.Entry, above []fact.Fact, lines []int, now time.Time) *casefile.Error {
	if n, again := hotlab.Again(before, f); again {
		return &casefile.Error{Msg: fmt.Sprintf("it is there already, as entry %d; nothing was written", n), Hint: "leave the line out"}
	}
	if i := slices.IndexFunc(above, func(was fact.Fact) bool { return hotlab.SameReport(was, f) }); i >= 0 {
		return &casefile.Error{Msg: fmt.Sprintf("the report of line %d again; nothing was written", lines[i]), Hint: "leave one of them out"}
	}
	if !now.IsZero() && fact.At(f).After(now) {
		return &casefile.Error{Path: "to", Msg: "it is still to come", Hint: "check the day, the month and the year"}
	}
	return nil
}

// Odd is what is asked about the doses of a report, each with its line; it is written into
// them as confirmed, since they are recorded only where it is.
func Odd(facts []fact.Fact, lines []int) (all []string) {
	for i, f := range facts {
		asked := fold.Ask(dispensing.Case{}, dispensing.Result{}, f)
		for _, a := range asked {
			all = append(all, fmt.Sprintf("line %d: %s", lines[i], a.Text))
		}
		fold.Confirm(f, asked)
	}
	return all
}

// columnsOf are those that the first line names, each once.
func columnsOf(row []string, line int) ([]string, error) {
	for i, name := range row {
		row[i] = strings.TrimSpace(name)
		switch {
		case !slices.Contains(DoseColumns, row[i]):
			return nil, Wrong{{Line: line, Msg: "no column is called " + fact.Quote(row[i]), Hint: "they are " + strings.Join(DoseColumns, ", ")}}
		case slices.Contains(row[:i], row[i]):
			return nil, Wrong{{Line: line, Msg: "two columns are called " + fact.Quote(row[i]), Hint: "leave one of them out"}}
		}
	}
	return row, nil
}

func report(columns, row []string, line int, zone string, zones fact.Zones) (fact.Fact, error) {
	if len(row) > len(columns) {
		return nil, &casefile.Error{Line: line, Msg: fmt.Sprintf("it has %d values, and the first line names %d columns", len(row), len(columns)), Hint: "write a decimal comma as a point, and a text with a comma in it in quotes"}
	}
	fields := map[string]string{}
	for i, text := range row {
		if text = strings.TrimSpace(text); text != "" {
			fields[columns[i]] = text
		}
	}
	text, err := json.Marshal(map[string]any{"case": 1, "zone": zone, "entries": []any{map[string]any{"dose-report": fields}}})
	if err != nil {
		return nil, err
	}
	f, err := casefile.Decode(text, zones)
	if e, ok := errors.AsType[*casefile.Error](err); ok {
		e.Line, e.Col, e.Path = line, 0, e.Path[strings.LastIndex(e.Path, ".")+1:]
		return nil, e
	} else if err != nil {
		return nil, err
	}
	out := f.Facts[len(f.Facts)-1]
	if field, text, way := hotlab.Wrong(out); text != "" {
		return nil, &casefile.Error{Line: line, Path: field, Msg: text, Hint: way}
	}
	return out, nil
}

// doseFile is the form that takes the report of a dosimetry service.
const doseFile = "dose-file"

func (q *request) doseFileForm() *kit.Form {
	var lines []int
	return &kit.Form{
		ID: doseFile, Title: "Enter the report of a dosimetry service", Button: "Record all of it", Act: fact.KindNamed("dose-report").Act, Said: "Each line is recorded.", Action: entering + doseFile, To: "/persons",
		Back: view.Link{Text: "Persons", Href: "/persons"},
		Parts: []kit.Part{{Kind: "dose-report", Inputs: []kit.Input{{
			Name: "csv", Label: "Report, as comma-separated values", Kind: "lines", Must: true,
			Hint: "The first line names the columns: " + strings.Join(DoseColumns, ", ") + ". A dose has its unit, such as 4.2 mSv; a time without an offset is in the zone of the site. Where one line is wrong, none is recorded.",
		}}}},
		Setting: func(_ []kit.Part, typed url.Values, zone string) ([]fact.Fact, error) {
			_, books, err := q.kept()
			if err != nil {
				return nil, err
			}
			all, at, err := Reports(typed.Get(kit.Control(0, "csv")), zone, q.Zones, books.Entries, q.Now)
			if bad, ok := errors.AsType[Wrong](err); ok {
				return nil, kit.Faults{kit.Control(0, "csv"): {Text: bad.Error(), Way: "mend these lines, and send it again: nothing was recorded"}}
			}
			lines = at
			return all, err
		},
		Ask: func(_ *kit.State, facts []fact.Fact) (*kit.Doubt, error) {
			odd := Odd(facts, lines)
			if odd == nil {
				return nil, nil
			}
			return &kit.Doubt{Control: kit.Control(0, "csv"), Text: strings.Join(odd, " "), Way: "Nothing is recorded before the answer.", Yes: "It is so"}, nil
		},
		Permit: func(_ *kit.State, facts []fact.Fact) error { return q.permit(facts) },
	}
}
