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
	"unicode/utf8"

	"vialwright/casefile"
	"vialwright/fact"
	"vialwright/fold"
	"vialwright/hotlab"
	"vialwright/web/kit"
	"vialwright/web/view"
)

// DoseColumns are the columns of the report of a dosimetry service, as its first line names
// them.
var DoseColumns = []string{"who", "dosemeter", "worn", "hand", "from", "to", "measured", "report"}

// Reports reads the lines of such a report as a case file would have them, or none: not where
// one of them is there before or stands twice. lines are where they stand; an error that is
// of a line is a *casefile.Error.
func Reports(text, zone string, zones fact.Zones, before []fold.Entry) (out []fact.Fact, lines []int, err error) {
	text = strings.TrimPrefix(text, "\uFEFF")
	if !utf8.ValidString(text) || strings.ContainsAny(text, "\x00\uFFFD") { // a browser puts U+FFFD for what it cannot read
		return nil, nil, &casefile.Error{Msg: "this is not text in UTF-8", Hint: "save the sheet as CSV UTF-8, and send that file"}
	}
	in := csv.NewReader(strings.NewReader(text))
	in.FieldsPerRecord = -1
	if head, _, _ := strings.Cut(text, "\n"); strings.Contains(head, ";") { // as where a comma is the decimal point
		in.Comma = ';'
	}
	var columns []string
	for {
		row, err := in.Read()
		if err == io.EOF {
			break
		} else if err != nil {
			return nil, nil, &casefile.Error{Msg: err.Error(), Hint: "write it as comma-separated values"}
		}
		line, _ := in.FieldPos(0)
		if columns == nil {
			if columns, err = columnsOf(row, line); err != nil {
				return nil, nil, err
			}
			continue
		}
		f, err := report(columns, row, line, zone, zones)
		if err != nil {
			return nil, nil, err
		}
		if n, again := hotlab.Again(before, f); again {
			return nil, nil, &casefile.Error{Line: line, Msg: fmt.Sprintf("it is there already, as entry %d; nothing was written", n), Hint: "leave the line out"}
		}
		if i := slices.IndexFunc(out, func(was fact.Fact) bool { return hotlab.SameReport(was, f) }); i >= 0 {
			return nil, nil, &casefile.Error{Line: line, Msg: fmt.Sprintf("the report of line %d again; nothing was written", lines[i]), Hint: "leave one of them out"}
		}
		out, lines = append(out, f), append(lines, line)
	}
	if out == nil {
		return nil, nil, &casefile.Error{Msg: "there is no report in it", Hint: "its first line names the columns " + strings.Join(DoseColumns, ", ")}
	}
	return out, lines, nil
}

// columnsOf are those that the first line names, each once.
func columnsOf(row []string, line int) ([]string, error) {
	for i, name := range row {
		row[i] = strings.TrimSpace(name)
		switch {
		case !slices.Contains(DoseColumns, row[i]):
			return nil, &casefile.Error{Line: line, Msg: "no column is called " + fact.Quote(row[i]), Hint: "they are " + strings.Join(DoseColumns, ", ")}
		case slices.Contains(row[:i], row[i]):
			return nil, &casefile.Error{Line: line, Msg: "two columns are called " + fact.Quote(row[i]), Hint: "leave one of them out"}
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
			all, lines, err := Reports(typed.Get(kit.Control(0, "csv")), zone, q.Zones, books.Entries)
			if i := slices.IndexFunc(all, func(f fact.Fact) bool { return fact.At(f).After(q.Now) }); i >= 0 {
				err = &casefile.Error{Line: lines[i], Path: "to", Msg: "it is still to come", Hint: "check the day, the month and the year"}
			}
			if bad, ok := errors.AsType[*casefile.Error](err); ok {
				return nil, kit.Faults{kit.Control(0, "csv"): {Text: bad.Error(), Way: "mend the line, and send it again: nothing was recorded"}}
			}
			return all, err
		},
		Permit: func(_ *kit.State, facts []fact.Fact) error { return q.permit(facts) },
	}
}
