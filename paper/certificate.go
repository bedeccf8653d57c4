package paper

import (
	"fmt"
	"strings"
	"time"

	"vialwright/fact"
	"vialwright/meterbook"
	"vialwright/quantity"
)

// Certificate is the calibration certificate of an instrument of the book: what it is,
// each calibration in force with its scale, both scales side by side, the last test of
// each kind, and what stands against it. Use, Made, Head, Zone and Software of the sheet
// are the caller's. The error names an instrument that the book does not have.
func Certificate(b *meterbook.Book, id string) (Sheet, error) {
	i := b.Find(id)
	if i == nil {
		return Sheet{}, &Error{Code: CodeMissing, Field: "instrument", Msg: "the book has none of this id"}
	}
	s := Sheet{
		Title: "Calibration certificate", Subject: id, Zone: b.Zone,
		Foot: "A signature here says that the readings were made as stated and that the calibration may be used.",
	}
	s.Sections = append(s.Sections, instrumentSection(b, i))
	for _, kind := range fact.Containers() {
		for _, basis := range []quantity.Basis{quantity.LabelBasis, quantity.TraceableBasis} {
			if c := i.Calibration(kind, 0, basis, b.At); c != nil {
				s.Sections = append(s.Sections, calibrationSection(b, kind, c))
			}
		}
	}
	if scale, ok := i.Scales(b.At); ok {
		s.Sections = append(s.Sections, Section{Heading: "The two scales", Rows: []Row{
			Figure("Traceable, % of label-matched", scale.Ratio, scale.U),
		}, Notes: []string{"Activities of the two scales are never compared or subtracted."}})
	}
	s.Sections = append(s.Sections, testSection(b, i), againstSection(b, i), Section{Heading: "Signatures", Rows: []Row{
		write("Determined by, date and signature", Blank{Cells: 24}), write("Checked by, date and signature", Blank{Cells: 24}),
	}})
	return s, nil
}

// add is a row of text, where there is one.
func (s *Section) add(label, text string) {
	if text != "" {
		s.Rows = append(s.Rows, Words(label, text))
	}
}

func instrumentSection(b *meterbook.Book, i *meterbook.Instrument) Section {
	out := Section{Heading: "Instrument"}
	x := i.Now
	if x == nil {
		out.Notes = []string{"It was not entered as an instrument."}
		return out
	}
	add := out.add
	add("Kind", strings.ReplaceAll(string(x.What), "-", " "))
	if x.State == fact.Withdrawn {
		add("State", "withdrawn on "+b.On(x.At))
	}
	add("Maker and type", x.Model)
	add("Serial number", x.Serial)
	add("Measures from", x.Low.Text)
	add("Measures up to", x.High.Text)
	add("Efficiency", x.Efficiency.Text)
	add("Geometry of the efficiency", x.Geometry)
	add("Certificate", x.Certificate)
	date := func(label string, t time.Time) {
		if !t.IsZero() {
			out.Rows = append(out.Rows, Instant(label, t, b.Zone))
		}
	}
	date("Calibrated", x.Calibrated)
	date("Calibration due", x.Due)
	return out
}

func calibrationSection(b *meterbook.Book, kind string, c *fact.Calibration) Section {
	out := Section{Heading: fmt.Sprintf("Factor for the %s, %s basis", strings.ReplaceAll(kind, "-", " "), c.Basis), Rows: []Row{
		Words("Reading divided by activity", c.Factor.Text), Words("Standard uncertainty", c.U.Text), Instant("Holds from", c.From, b.Zone),
	}}
	add := out.add
	add("Setting", c.Setting)
	add("Insert", c.Insert)
	add("Rests on", c.TraceableTo)
	if !c.High.IsZero() {
		add("Tested for readings", c.Low.Text+" to "+c.High.Text)
	}
	if c.Fill != nil {
		add("Tested for fills", c.Fill.Min.Text+" to "+c.Fill.Max.Text)
	}
	add("Determined by", c.By)
	if !c.Due.IsZero() {
		out.Rows = append(out.Rows, Instant("Due again", c.Due, b.Zone))
		if !b.At.Before(c.Due) {
			out.Notes = []string{"This factor has lapsed."}
		}
	}
	return out
}

func testSection(b *meterbook.Book, i *meterbook.Instrument) Section {
	out := Section{Heading: "The last test of each kind"}
	t := Table{Heads: []string{"Test", "Day", "Verdict", "What it came to", "Entry"}, Widths: []float64{14, 10, 9, 57, 10}}
	for _, x := range i.LastOfEach() {
		kind := strings.ReplaceAll(string(x.Test), "-", " ")
		t.Cells = append(t.Cells, []string{kind, b.On(x.At), string(x.Verdict), x.Says, fmt.Sprint(x.Entry)})
		if l := x.Limit; l.Source != "" {
			out.Notes = append(out.Notes, fmt.Sprintf("Tolerance of the %s test: %s (%s).", kind, quantity.Show(l.Tolerance, 0), l.Source))
		}
	}
	if t.Cells != nil {
		out.Tables = []Table{t}
	}
	return out
}

func againstSection(b *meterbook.Book, i *meterbook.Instrument) Section {
	out := Section{Heading: "What stands against it on " + b.On(b.At)}
	for _, d := range i.Due {
		if d.Overdue {
			out.Notes = append(out.Notes, d.Text(b.Zone))
		}
	}
	for _, f := range b.Findings {
		if f.Of == i.ID {
			out.Notes = append(out.Notes, f.Text)
		}
	}
	if out.Notes == nil {
		out.Notes = []string{"Nothing was found."}
	}
	return out
}
