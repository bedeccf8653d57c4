package paper

import (
	"bytes"
	"fmt"
	"math"
	"regexp"
	"strings"
	"testing"
	"time"

	"vialwright/dispensing"
	"vialwright/ledger"
	"vialwright/quantity"
)

func preparationSheet() Sheet {
	c := preparedCase()
	s := FromResult(c, dispensing.Reckon(c, time.Time{}), "P1", preparedRecord())
	s.Use = ForPatient
	return s
}

func blankSheet(t *testing.T) Sheet {
	t.Helper()
	s, err := BlankSheet(Day{Zone: azores, HalfLife: 64.0417 * quantity.Hour, Source: "set by the example"})
	if err != nil {
		t.Fatal(err)
	}
	s.Made = clock("08:00")
	return forPatient(s)
}

func pdfOf(t *testing.T, s Sheet) []byte {
	t.Helper()
	pdf, err := s.PDF()
	if err != nil {
		t.Fatal(err)
	}
	return pdf
}

func TestPreparationSheet(t *testing.T) {
	pdf := pdfOf(t, preparationSheet())
	golden(t, "sheet.txt", words(t, pdf))
	sound(t, pdf)
}

// Beside a reading stands where it came from, if anybody noted it.
func TestSheetSaysWhereReadingsCameFrom(t *testing.T) {
	c := preparedCase()
	c.Readings[0].Source, c.Readings[1].Source = "typed", "tcp://198.51.100.7:4001"
	text := fmt.Sprint(FromResult(c, dispensing.Reckon(c, time.Time{}), "P1", preparedRecord()))
	for _, want := range []string{"3.24 GBq (87.57 mCi), typed", "1.85 GBq (50 mCi), from meter M1"} {
		if strings.Count(text, want) != 1 {
			t.Errorf("the sheet does not say %q once: %s", want, text)
		}
	}
}

func TestBlankSheet(t *testing.T) {
	pdf := pdfOf(t, blankSheet(t))
	golden(t, "blank.txt", words(t, pdf))
	sound(t, pdf)
}

// The figures of the sheet are those that package dispensing works out by hand
// for this case: 1348.3 MBq with a standard uncertainty of 39.7 MBq at 13:30,
// conformance 0.9974, valid from 06:12:03 to 00:44:28, residual 3.55 %,
// delivered 1300.5 MBq.
func TestSheetShowsTheWorkedExample(t *testing.T) {
	text := strings.Join(strings.Fields(words(t, pdfOf(t, preparationSheet()))), " ")
	for _, want := range []string{
		"1.348 ± 0.040 GBq", "36.4 ± 1.1 mCi", "= 1348.34 MBq]", "99.74 %", "2027-03-04 11:10 (UTC-01:00)",
		"2027-03-05 00:44:28 (UTC-01:00)", "3.55 ± 0.71 %", "1.300 ± 0.039 GBq", "64.0417 h", software,
	} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not on the sheet", want)
		}
	}
}

// A correction stands beside the value in force, with the old value, the
// person, the time and the reason, as the audit trail of EU GMP Annex 11 (2011)
// has them.
func TestCorrectionsStandBeside(t *testing.T) {
	r := preparedRecord()
	for _, entry := range []int{3, 4} {
		got := r.correction(entry, azores)
		want := "was: S1 read: 3.42 GBq gross; entry 4, T. Example, 2027-03-04 11:01 (UTC-01:00); reason: digits exchanged"
		if got != want {
			t.Errorf("entry %d: %q, want %q", entry, got, want)
		}
	}
	if got := r.correction(5, azores); got != "" {
		t.Errorf("entry 5 was not corrected, and has %q", got)
	}
	// A correction of a correction keeps everything it ever was.
	r.Entries = append(r.Entries, Entry{
		Number: 12, At: clock("15:50"), Recorded: clock("15:50"), Who: "P. Example", Text: "S1 read: 3.25 GBq gross", Corrects: 4, Reason: "display read again",
	})
	got := r.correction(3, azores)
	for _, want := range []string{"was: S1 read: 3.42 GBq gross", "was: S1 read: 3.24 GBq gross", "reason: display read again"} {
		if !strings.Contains(got, want) {
			t.Errorf("%q misses %q", got, want)
		}
	}
	text := words(t, pdfOf(t, preparationSheet()))
	if n := strings.Count(text, "digits exchanged") + strings.Count(text, "exchanged\n"); n < 2 {
		t.Errorf("the reason is on the sheet %d times", n)
	}
}

var (
	bareSI   = regexp.MustCompile(`\d (k|M|G|T)?Bq\b`)
	withBoth = regexp.MustCompile(`(Bq \(|mCi|microcurie)`)
)

// Every activity that a person reads has the older unit beside it; the small
// type of computations is in MBq throughout, which its text says.
func TestBothUnitsEverywhere(t *testing.T) {
	n := 0
	for _, s := range preparationSheet().Sections {
		for _, r := range s.Rows {
			if strings.HasSuffix(r.Unit, "Bq") {
				n++
				if !strings.Contains(r.Also, "Ci") && !strings.Contains(r.Also, "curie") {
					t.Errorf("%s: %s %s has no older unit: %q", r.Label, r.Value, r.Unit, r.Also)
				}
			}
		}
		for _, table := range s.Tables {
			if strings.Contains(strings.Join(table.Heads, " "), "What") {
				continue // words as they were entered
			}
			for _, row := range table.Cells {
				for i, c := range row {
					if table.Heads[i] == "Corrections" {
						continue // words as they were entered
					}
					if bareSI.MatchString(c) {
						n++
						if !withBoth.MatchString(c) {
							t.Errorf("%q has one unit only", c)
						}
					}
				}
			}
		}
	}
	if n < 12 {
		t.Errorf("only %d activities were looked at", n)
	}
}

// No bare number can be written on a blank sheet: every box of the width of a
// number has its unit after it, and every other is part of a time, a serial, a
// count, a tick, or words.
func TestBlankSheetBoxesHaveUnits(t *testing.T) {
	units := map[string]bool{
		"GBq": true, "mCi": true, "MBq": true, "microcurie": true, "%": true, "mL": true, "µSv/h": true, "mrem/h": true,
		"Bq/cm²": true, "dpm/100 cm²": true, "cm": true, "Gy": true, "million": true,
	}
	n := 0
	for _, s := range blankSheet(t).Sections {
		for _, r := range s.Rows {
			for i, b := range r.Blanks {
				switch {
				case units[b.After]:
					n++
					if b.Cells != 5 {
						t.Errorf("%s: a box of %d cells for %s", r.Label, b.Cells, b.After)
					}
				case b.Cells == 5 && b.Before == "":
					t.Errorf("%s: box %d has no unit", r.Label, i)
				}
			}
		}
	}
	if n < 60 {
		t.Errorf("only %d boxes with units", n)
	}
}

// Both sheets show the steps in one order.
func TestStepsInOneOrder(t *testing.T) {
	var want []string
	for i, s := range Steps() {
		want = append(want, fmt.Sprintf("%d  %s", i+1, s))
	}
	for _, s := range []Sheet{preparationSheet(), blankSheet(t)} {
		var got []string
		for _, section := range s.Sections {
			if section.Heading[0] >= '1' && section.Heading[0] <= '9' {
				got = append(got, section.Heading)
			}
		}
		if strings.Join(got, "|") != strings.Join(want, "|") {
			t.Errorf("%s: %v", s.Title, got)
		}
	}
}

// Decay factors as computed by hand for 230 550 s: exp(-ln2·3600·h/230550) to
// four decimals.
func TestDecayTable(t *testing.T) {
	for hours, want := range map[float64]string{1: "0.9892", 6: "0.9371", 12: "0.8782", 24: "0.7712"} {
		if got := fmt.Sprintf("%.4f", math.Exp(-math.Ln2*hours*3600/230550)); got != want {
			t.Errorf("%g h: %s, want %s", hours, got, want)
		}
		table := decayTable(Day{HalfLife: 230550}).Tables[0]
		if got := table.Cells[int(hours)][1]; got != want {
			t.Errorf("%g h: the table has %s, want %s", hours, got, want)
		}
	}
	days := decayTable(Day{HalfLife: 230550}).Tables[1].Cells[0]
	if days[1] != "0.5948" || days[2] != "0.4587" {
		t.Errorf("days: %v", days)
	}
}

// The formulas of the blank sheet, worked through with its own table of decay
// factors for the example above, as a person would: each result is that of
// package dispensing within the rounding of the factors, 5e-5 in each.
func TestBlankSheetWorkedByHand(t *testing.T) {
	table := decayTable(Day{HalfLife: 230550}).Tables[0]
	f := func(hours, minutes int) float64 {
		var v float64
		if _, err := fmt.Sscan(table.Cells[hours][1+minutes/10], &v); err != nil {
			t.Fatal(err)
		}
		return v
	}
	c := preparedCase()
	r := dispensing.Reckon(c, time.Time{})
	near := func(what string, got float64, want quantity.Activity, tolerance float64) {
		if math.Abs(got-want.MBq()) > tolerance {
			t.Errorf("%s: %.2f MBq by hand, %.2f MBq reckoned", what, got, want.MBq())
		}
	}
	before, after := 3240-0.2, 1850-0.2 // MBq, at 11:00 and 11:14
	target := 1300 / (1 - 0.02)
	near("at the reference time, 7 h to go", before*f(7, 0), r.Vials[0].Measured, 0.4)
	near("to draw, 2 h 20 min before", target/f(2, 20), r.Orders[0].Wanted, 0.2)
	// 2 h 16 min lies between the columns: f(2 h 10 min) and 6 min by the rule
	// of three between it and f(2 h 20 min).
	f216 := f(2, 10) + 0.6*(f(2, 20)-f(2, 10))
	dispensed := before*f(2, 30) - after*f216
	near("dispensed", dispensed, r.Orders[0].Dispensed.Activity, 0.4)
	stayed := (6.4 - 0.2) / (182 - 0.2) / (f(3, 40) - 0.2*(f(3, 40)-f(3, 50)))
	near("delivered", dispensed*(1-stayed), r.Orders[0].Delivered.Activity, 0.4)
}

func TestEveryPageIsMarkedAndNumbered(t *testing.T) {
	s := preparationSheet()
	s.Use = ForPractice
	pages := strings.Split(strings.TrimSuffix(words(t, pdfOf(t, s)), "\f"), "\f")
	for i, p := range pages {
		for _, want := range []string{
			practiceMark, fmt.Sprintf("page %d of %d", i+1, len(pages)), caution, "Record head 9f2c1a7b5e80d3649f2c1a7b", s.Subject,
		} {
			if !strings.Contains(p, want) {
				t.Errorf("page %d misses %q", i+1, want)
			}
		}
	}
	if len(pages) < 2 {
		t.Fatal("one page proves little")
	}
	if strings.Contains(words(t, pdfOf(t, preparationSheet())), practiceMark) {
		t.Error("a patient's sheet is marked as practice")
	}
}

func TestSheetRefusals(t *testing.T) {
	for _, row := range []struct {
		change      func(*Sheet)
		code, field string
	}{
		{func(s *Sheet) { s.Use = "" }, CodeMissing, "use"},
		{func(s *Sheet) { s.Zone = nil }, CodeMissing, "zone"},
		{func(s *Sheet) { s.Made = time.Time{} }, CodeMissing, "time of printing"},
		{func(s *Sheet) { s.Title = "" }, CodeMissing, "title"},
		{func(s *Sheet) { s.Software = "" }, CodeMissing, "software"},
		{func(s *Sheet) {
			s.Sections = []Section{{Tables: []Table{{Heads: []string{"one"}, Cells: [][]string{{"1", "2"}}}}}}
		}, CodeInvalid, "table"},
		{func(s *Sheet) {
			s.Sections = []Section{{Rows: []Row{{Blanks: []Blank{{Cells: 90}}}}}}
		}, CodeFit, "boxes"},
	} {
		s := preparationSheet()
		row.change(&s)
		_, err := s.PDF()
		refused(t, err, row.code, row.field)
	}
	_, err := BlankSheet(Day{Zone: azores, HalfLife: quantity.Span(math.NaN())})
	refused(t, err, CodeInvalid, "half-life")
	_, err = BlankSheet(Day{HalfLife: 1})
	refused(t, err, CodeMissing, "zone")
}

// A case with nothing in it yet prints: blank is not zero.
func TestEmptyCasePrints(t *testing.T) {
	s := FromResult(dispensing.Case{}, dispensing.Result{HalfLife: 1, At: clock("08:00")}, "P1", Record{
		Software: software, Made: clock("08:00"),
	})
	s.Use = ForPatient
	text := words(t, pdfOf(t, s))
	if n := strings.Count(text, "Nothing recorded."); n < len(Steps()) {
		t.Errorf("%d steps say that nothing is recorded", n)
	}
}

// A comment longer than a page goes on over pages, and the heads of its table
// with it.
func TestLongTableGoesOnOverPages(t *testing.T) {
	s := preparationSheet()
	long := strings.Repeat("all work and no play ", 900)
	s.Sections = []Section{{Heading: "Long", Tables: []Table{{Heads: []string{"Headword", "What"}, Cells: [][]string{{"1", long}, {"2", "end of table"}}}}}}
	text := words(t, pdfOf(t, s))
	pages := strings.Count(text, "\f")
	if pages < 2 || strings.Count(text, "Headword") != pages {
		t.Errorf("%d pages, heads on %d", pages, strings.Count(text, "Headword"))
	}
	if n := strings.Count(strings.ReplaceAll(text, "\n", " "), "play"); n != 900 {
		t.Errorf("%d of 900 sentences are on the paper", n)
	}
	if !strings.Contains(text, "end of table") {
		t.Error("the row after the long one is missing")
	}
}

// A record must always print: what no face has is shown as its code point.
func TestUnprintableIsShown(t *testing.T) {
	for text, want := range map[string]string{
		"Žižková e\u0301": "Žižková é", "مريض": "[U+0645][U+0631][U+064A][U+0636]", "a\tb": "a b", "\u202eevil": "[U+202E]evil", "\xff": "[0xFF]",
	} {
		if got := visible(regular, text); got != want {
			t.Errorf("%q is shown as %q, want %q", text, got, want)
		}
	}
}

func TestSameSheetSameBytes(t *testing.T) {
	want := pdfOf(t, preparationSheet())
	for range 4 {
		if !bytes.Equal(pdfOf(t, preparationSheet()), want) {
			t.Fatal("other bytes")
		}
	}
}

// A sheet prints whatever was entered.
func FuzzSheet(f *testing.F) {
	f.Add("S1 read", "DEMO-1")
	f.Add("\xff\x00\n\u202e", "")
	var out *flow // opening a document costs most, so one serves many sheets
	n := 0
	f.Fuzz(func(t *testing.T, text, subject string) {
		s := Sheet{Title: "Fuzz", Subject: subject, Use: ForPractice, Made: clock("08:00"), Zone: azores, Software: software, Head: text}
		if n++; out == nil || n%200 == 0 {
			out = &flow{sheetOf: newPDF("fuzz", software, clock("08:00"))}
		}
		out.sheet = s
		out.newPage()
		out.section(Section{
			Heading: text, Rows: []Row{{Label: text, Value: text, Also: text, How: text, Corrected: text}}, Notes: []string{text},
			Tables: []Table{{Heads: []string{text, text}, Cells: [][]string{{text}}}},
		})
		out.footers()
		if out.err != nil {
			t.Fatal(out.err)
		}
	})
}

func BenchmarkSheet(b *testing.B) {
	s := preparationSheet()
	for b.Loop() {
		if _, err := s.PDF(); err != nil {
			b.Fatal(err)
		}
	}
}

// The volume is worked out with the yield that the plan used, which a pinned or
// learned one may be instead of the policy's, from the activity that is printed
// above it.
func TestVolumeUsesThePlansYield(t *testing.T) {
	c := preparedCase()
	c.Draws[0].Yield = ledger.Share{Value: 0.93, U: 0.02}
	r := dispensing.Reckon(c, time.Time{})
	text := fmt.Sprint(FromResult(c, r, "P1", preparedRecord()))
	if want := "5 mL·1360.45814 MBq/(93 %·3233.96101 MBq) = 2.261713 mL"; !strings.Contains(text, want) {
		t.Errorf("the sheet does not say %q: %s", want, text)
	}
}

// TestSheetIsThatOfTheDraw: the sheet of a dose that is drawn says the draw yield that the draw
// rests on, and not what is known today of whoever prints it, which may be after the record is
// closed. Of a dose that is still to be drawn it says whose yield the plan has.
func TestSheetIsThatOfTheDraw(t *testing.T) {
	of := func(drawn bool, who string) string {
		c := preparedCase()
		if !drawn {
			c.Draws = nil
		}
		c.Policy.LearnYield = true
		c.Experience = &dispensing.Experience{Yields: []dispensing.ExpectedYield{
			{Vial: "3 GBq in 5 mL", By: "NT1", Share: ledger.Share{Value: 0.926, U: 0.018}, Cases: 85, Own: 15},
			{Vial: "3 GBq in 5 mL", Share: ledger.Share{Value: 0.94, U: 0.029}, Cases: 85, Own: 70},
			{Share: ledger.Share{Value: 0.93, U: 0.03}, Cases: 85},
		}}
		c.Drawer = who
		return fmt.Sprint(FromResult(c, dispensing.Reckon(c, time.Time{}), "P1", preparedRecord()))
	}
	if of(true, "NT1") != of(true, "RP1") {
		t.Errorf("two people print two sheets: %s", of(true, "NT1"))
	}
	if says := "Assumed, not set by the site: draw yield 92.6"; strings.Contains(of(true, "NT1"), says) || !strings.Contains(of(false, "NT1"), says) {
		t.Errorf("drawn: %s\n\nto be drawn: %s", of(true, "NT1"), of(false, "NT1"))
	}
}

// TestBlankRowsSayWhatTheyAre: each row of boxes has its words beside it, since a page may end
// above any row.
func TestBlankRowsSayWhatTheyAre(t *testing.T) {
	for _, section := range blankSheet(t).Sections {
		for i, r := range section.Rows {
			if r.Label == "" {
				t.Errorf("%s: row %d has boxes and no words", section.Heading, i+1)
			}
		}
	}
}
