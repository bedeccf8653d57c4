package main

import (
	"context"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"vialwright/casefile"
	"vialwright/fact"
	"vialwright/hotlab"
	"vialwright/journal"
)

// dosesCmd writes the report of a dosimetry service into a journal.
type dosesCmd struct {
	File    string `arg:"" help:"The report as CSV; - reads standard input."`
	Journal string `required:"" placeholder:"JOURNAL" help:"The journal, a PATH or postgres://..."`
	By      string `required:"" placeholder:"WHO" help:"Who answers for this import."`
}

// doseColumns are the columns of a report, as its first line names them.
var doseColumns = []string{"who", "dosemeter", "worn", "from", "to", "measured", "report"}

func (dosesCmd) Help() string {
	return `Reads the report of a dosimetry service and writes each line as an entry, or none. The first line names the columns, in any order:

  ` + strings.Join(doseColumns, ",") + `
  rp-3,R-117,ring,2027-02-01T00:00,2027-03-01T00:00,4.2 mSv,2027-02

worn is body, ring, fingertip, lens or fetus; a dose has its unit; a time without an offset is in the zone of the site. A line that is there already is refused with all others. Values are separated by commas, or by semicolons where the first line is.

` + whereHelp
}

func (c *dosesCmd) Run(e *edge) error {
	data, err := e.readFile(c.File, casefile.MaxBytes)
	if err != nil {
		return err
	}
	ctx := context.Background()
	log, err := openToWrite(ctx, c.Journal)
	if err != nil {
		return journalError(c.Journal, err)
	}
	defer log.Close()
	if err := asNotedBeside(ctx, log, c.Journal, "", e); err != nil {
		return journalError(c.Journal, err)
	}
	books, report, err := booksOf(ctx, log)
	if err != nil {
		return journalError(c.Journal, err)
	}
	zone, err := zoneOf(books.Records(nil))
	if err != nil {
		return journalError(c.Journal, err)
	}
	facts, lines, err := c.reports(data, zone.String())
	if err != nil {
		return err
	}
	for _, r := range books.Kept(func(f fact.Fact) bool { _, report := f.(*fact.DoseReport); return report }) {
		for i, f := range facts {
			if again(r.Fact, f) {
				return usageError("%s: the report of line %d is in %s already, as entry %d; nothing was written", c.File, lines[i], shown(c.Journal), r.N)
			}
		}
	}
	head, err := sealBehind(ctx, log, report.Head, journal.Entered(facts, e.now(), c.By, books.Len()+1))
	if err != nil {
		return journalError(c.Journal, err)
	}
	for i, f := range facts {
		who := fact.PersonOf(f)
		if _, known := books.People().Of(who); !known && len(books.People().All()) > 0 {
			fmt.Fprintf(e.out, "line %d: nobody has the account %s here; find out whose dosemeter it is\n", lines[i], who)
		}
	}
	fmt.Fprintf(e.out, "%d reports written to %s\nhead %d %x\n", len(facts), shown(c.Journal), head.Seq, head.Hash)
	return nil
}

// again tells that two reports are of one dosemeter, person and period.
func again(a, b fact.Fact) bool {
	was, ok := a.(*fact.DoseReport)
	now, also := b.(*fact.DoseReport)
	return ok && also && was.Dosemeter == now.Dosemeter && was.Who == now.Who && was.From.Equal(now.From) && was.To.Equal(now.To)
}

// reports reads the lines as a case file would have them, none of them twice. lines are where
// they stand in the file.
func (c *dosesCmd) reports(data []byte, zone string) (out []fact.Fact, lines []int, err error) {
	text := strings.TrimPrefix(string(data), "\uFEFF")
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
			return nil, nil, usageError("%s: %v; write it as comma-separated values", c.File, err)
		}
		line, _ := in.FieldPos(0)
		if columns == nil {
			if columns, err = c.columns(row); err != nil {
				return nil, nil, err
			}
			continue
		}
		f, err := c.report(columns, row, line, zone)
		if err != nil {
			return nil, nil, err
		}
		if i := slices.IndexFunc(out, func(was fact.Fact) bool { return again(was, f) }); i >= 0 {
			return nil, nil, usageError("%s: line %d: the report of line %d again; nothing was written", c.File, line, lines[i])
		}
		out, lines = append(out, f), append(lines, line)
	}
	if out == nil {
		return nil, nil, usageError("%s holds no report; its first line names the columns %s", c.File, strings.Join(doseColumns, ", "))
	}
	return out, lines, nil
}

// columns are those that the first line names, each once.
func (c *dosesCmd) columns(row []string) ([]string, error) {
	for i, name := range row {
		row[i] = strings.TrimSpace(name)
		switch {
		case !slices.Contains(doseColumns, row[i]):
			return nil, usageError("%s: no column is called %q; they are %s", c.File, row[i], strings.Join(doseColumns, ", "))
		case slices.Contains(row[:i], row[i]):
			return nil, usageError("%s: two columns are called %q", c.File, row[i])
		}
	}
	return row, nil
}

// report reads one line.
func (c *dosesCmd) report(columns, row []string, line int, zone string) (fact.Fact, error) {
	if len(row) > len(columns) {
		return nil, usageError("%s: line %d: it has %d values, and the first line names %d columns; write a text with a comma in it in quotes", c.File, line, len(row), len(columns))
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
	f, err := casefile.Decode(text, loadZone)
	if e, ok := errors.AsType[*casefile.Error](err); ok {
		e.File, e.Line, e.Col, e.Path = c.File, line, 0, e.Path[strings.LastIndex(e.Path, ".")+1:]
		return nil, &exit{2, e.Error()}
	} else if err != nil {
		return nil, err
	}
	out := f.Facts[len(f.Facts)-1]
	if field, text, way := hotlab.Wrong(out); text != "" {
		return nil, usageError("%s: line %d: %s: %s; %s", c.File, line, field, text, way)
	}
	return out, nil
}
