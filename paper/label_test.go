package paper

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"sort"
	"strings"
	"sync"
	"testing"
	"time"

	"pgregory.net/rapid"

	"vialwright/identity"
	"vialwright/quantity"
)

var containers = []Container{Syringe, AdministrationVial, Shield, Box}

// both sorts of label for every container, a reprint among them.
func everyLabel(t *testing.T) []Label {
	t.Helper()
	var out []Label
	for _, c := range containers {
		f := facts()
		f.Container = c
		if c == AdministrationVial {
			f.Way = "Syringe Y1, vial A1"
		}
		patient, err := PatientLabel(f)
		if err != nil {
			t.Fatal(err)
		}
		f.Serial, f.Reprint = identity.NewPractice([16]byte{1, 2, 3}), 2
		practice, err := PracticeLabel(f)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, patient, practice)
	}
	return out
}

func printed(t *testing.T, labels ...Label) []byte {
	t.Helper()
	pdf, err := Labels(software, clock("11:25"), labels...)
	if err != nil {
		t.Fatal(err)
	}
	return pdf
}

func TestLabelsSayEverything(t *testing.T) {
	golden(t, "labels.txt", words(t, printed(t, everyLabel(t)...)))
}

func TestLabelsAreSoundPDF(t *testing.T) {
	sound(t, printed(t, everyLabel(t)...))
}

// labelSizes are width and height in mm, as the containers state them.
var labelSizes = map[Container][2]float64{Syringe: {80, 38}, AdministrationVial: {76, 38}, Shield: {110, 62}, Box: {120, 80}}

// poppler's pdfinfo gives the page sizes in points of 1/72 inch, to 0.001 point;
// the file has them to 0.01 point.
func TestLabelsHaveTheirExactSize(t *testing.T) {
	name := file(t, printed(t, everyLabel(t)...))
	out := run(t, "poppler-utils", "pdfinfo", "-f", "1", "-l", "8", name)
	for i, c := range containers {
		size := labelSizes[c]
		width, height := size[0], size[1]
		for page := 2*i + 1; page <= 2*i+2; page++ {
			var n int
			var w, h float64
			for _, l := range strings.Split(out, "\n") {
				if strings.HasPrefix(l, fmt.Sprintf("Page %4d size:", page)) {
					_, err := fmt.Sscanf(l, "Page %d size: %f x %f pts", &n, &w, &h)
					if err != nil {
						t.Fatal(err)
					}
				}
			}
			if math.Abs(w*mmPerPoint-width) > 0.01 || math.Abs(h*mmPerPoint-height) > 0.01 {
				t.Errorf("%s, page %d: %.3f by %.3f points, want %v by %v mm", c, page, w, h, width, height)
			}
		}
	}
}

func TestEveryPracticeLabelSaysSo(t *testing.T) {
	text := strings.Split(words(t, printed(t, everyLabel(t)...)), "\f")
	for i, l := range everyLabel(t) {
		if strings.Contains(text[i], practiceMark) != l.practice || l.practice != l.facts.Serial.Practice() {
			t.Errorf("page %d: practice %v\n%s", i+1, l.practice, text[i])
		}
	}
	// A practice label differs from a patient's in every container, seen from
	// afar: the band across its top is black.
	for i, name := range pages(t, printed(t, everyLabel(t)...), 150) {
		v, _, _, _ := load(t, name).At(2, 2).RGBA()
		if (v < 0x8000) != (i%2 == 1) {
			t.Errorf("page %d: the corner is %v", i+1, v)
		}
	}
}

// A practice label says how far the clock of its laboratory is ahead, on every
// size and as long as that can be; a label for a patient never does.
func TestPracticeLabelSaysItsClock(t *testing.T) {
	const ahead = "clock +364 d 23 h"
	for _, l := range everyLabel(t) {
		f := l.facts
		f.Clock = ahead
		labelOf, want := PatientLabel, 0
		if l.practice {
			labelOf, want = PracticeLabel, 1
		}
		label, err := labelOf(f)
		if err != nil {
			t.Fatal(err)
		}
		if text := words(t, printed(t, label)); strings.Count(text, practiceMark+", "+ahead) != want {
			t.Errorf("%s, practice %v: %s", f.Container, l.practice, text)
		}
	}
}

func TestLabelRefusalsInTheirStatedOrder(t *testing.T) {
	practice := identity.NewPractice([16]byte{4})
	for _, row := range []struct {
		name        string
		change      func(*Facts)
		code, field string
	}{
		{"practice serial", func(f *Facts) { f.Serial = practice }, CodeSort, "serial"},
		{"container", func(f *Facts) { f.Container = "bucket" }, CodeInvalid, "container"},
		{"serial", func(f *Facts) { f.Serial = identity.Serial{} }, CodeMissing, "serial"},
		{"reprint", func(f *Facts) { f.Reprint = -1 }, CodeInvalid, "reprint"},
		{"material", func(f *Facts) { f.Material = "" }, CodeMissing, "material"},
		{"no activity", func(f *Facts) { f.Activity = 0 }, CodeInvalid, "activity"},
		{"activity not a number", func(f *Facts) { f.Activity = quantity.Activity(math.NaN()) }, CodeInvalid, "activity"},
		{"activity infinite", func(f *Facts) { f.Activity = quantity.Activity(math.Inf(1)) }, CodeInvalid, "activity"},
		{"activity time", func(f *Facts) { f.At = time.Time{} }, CodeMissing, "activity time"},
		{"volume", func(f *Facts) { f.Volume = quantity.Volume(math.NaN()) }, CodeInvalid, "volume"},
		{"half-life", func(f *Facts) { f.HalfLife = 0 }, CodeInvalid, "half-life"},
		{"valid from", func(f *Facts) { f.ValidFrom = time.Time{} }, CodeMissing, "valid from"},
		{"valid until", func(f *Facts) { f.ValidUntil = f.ValidFrom }, CodeInvalid, "valid until"},
		{"less than a whole minute", func(f *Facts) {
			f.ValidFrom = clock("10:00").Add(10 * time.Second)
			f.ValidUntil = clock("10:01").Add(50 * time.Second)
		}, CodeInvalid, "valid until"},
		{"zone", func(f *Facts) { f.Zone = nil }, CodeMissing, "zone"},
		{"no patient", func(f *Facts) { f.Patient = nil }, CodeInvalid, "patient"},
		{"three identifiers", func(f *Facts) { f.Patient = []string{"a", "b", "c"} }, CodeInvalid, "patient"},
		{"blank identifier", func(f *Facts) { f.Patient = []string{"DEMO-0042", " "} }, CodeInvalid, "patient"},
		{"order", func(f *Facts) { f.Order = "" }, CodeMissing, "order"},
		{"version", func(f *Facts) { f.Version = "" }, CodeMissing, "order version"},
		{"territory", func(f *Facts) { f.Territory = "\t" }, CodeMissing, "territory"},
		{"sub-dose 0", func(f *Facts) { f.SubDose = 0 }, CodeInvalid, "sub-dose"},
		{"sub-dose 3 of 2", func(f *Facts) { f.SubDose = 3 }, CodeInvalid, "sub-dose"},
		{"lot", func(f *Facts) { f.Lot = "" }, CodeMissing, "lot"},
	} {
		t.Run(row.name, func(t *testing.T) {
			f := facts()
			row.change(&f)
			_, err := PatientLabel(f)
			refused(t, err, row.code, row.field)
		})
	}
	_, err := PracticeLabel(facts())
	refused(t, err, CodeSort, "serial")
	_, err = Labels(software, clock("11:25"))
	refused(t, err, CodeMissing, "labels")
	l, err := PatientLabel(facts())
	if err != nil {
		t.Fatal(err)
	}
	_, err = Labels(software, time.Time{}, l)
	refused(t, err, CodeMissing, "time of printing")
	_, err = Labels(" ", clock("11:25"), l)
	refused(t, err, CodeMissing, "software")
	_, err = Labels(software, clock("11:25"), Label{})
	refused(t, err, CodeInvalid, "labels")
}

func refused(t *testing.T, err error, code, field string) {
	t.Helper()
	var e *Error
	if !errors.As(err, &e) || e.Code != code || e.Field != field {
		t.Fatalf("%v, want the code %s for the field %q", err, code, field)
	}
	if e.Error() == "" || strings.HasSuffix(e.Msg, ".") {
		t.Errorf("sentence %q", e.Error())
	}
}

// A text grows until it is refused, and the refusal names its field; up to
// there every character of it is on the paper.
func TestNothingIsCut(t *testing.T) {
	for _, field := range []struct {
		name string
		set  func(*Facts, string)
	}{
		{"material", func(f *Facts, s string) { f.Material = s }},
		{"patient", func(f *Facts, s string) { f.Patient = []string{s} }},
		{"order", func(f *Facts, s string) { f.Order = s }},
		{"order version", func(f *Facts, s string) { f.Version = s }},
		{"territory", func(f *Facts, s string) { f.Territory = s }},
		{"lot", func(f *Facts, s string) { f.Lot = s }},
	} {
		t.Run(field.name, func(t *testing.T) {
			for _, c := range []Container{AdministrationVial, Shield} { // the tightest of each kind of layout
				label := func(n int) (string, Label) {
					text := strings.Repeat("W8mQ3-", 14)[:n]
					f := facts()
					f.Container = c
					field.set(&f, text)
					l, err := PatientLabel(f)
					if err != nil {
						t.Fatal(err)
					}
					return text, l
				}
				short := sort.Search(80, func(n int) bool {
					_, l := label(n + 1)
					_, err := Labels(software, clock("11:25"), l)
					if err != nil {
						refused(t, err, CodeFit, field.name)
					}
					return err != nil
				})
				if short < 8 || short > 70 {
					t.Errorf("%s: %d characters fit", c, short)
				}
				fits, l := label(short)
				if got := words(t, printed(t, l)); !strings.Contains(got, fits) {
					t.Errorf("%s: %q is not on the label:\n%s", c, fits, got)
				}
			}
		})
	}
}

// The longest texts in use do fit: a lot of 20 characters (GS1), a GTIN-long
// order, two identifiers of 11 characters, and the longest zone offset.
func TestLongButUsualFactsFit(t *testing.T) {
	f := facts()
	f.Lot, f.Order, f.Version = "ABCDEFGHIJ0123456789", "WD-2027-000123", "12"
	f.Patient = []string{"99999999999", "1961-07-23"}
	f.Territory = "segments 5, 6, 7 and 8"
	f.Zone = time.FixedZone("LHDT", 11*3600)
	f.Activity, f.Digits, f.Volume = 123.456*quantity.MegaBecquerel, 6, 4.75
	f.Way = "Syringe Y10482"
	for _, c := range containers {
		f.Container = c
		l, err := PatientLabel(f)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := Labels(software, clock("11:25"), l); err != nil {
			t.Errorf("%s: %v", c, err)
		}
	}
}

func TestCharactersOfALabel(t *testing.T) {
	for text, ok := range map[string]bool{
		"Ωμέγα":            true,
		"Žižková":          true,
		"Иванов":           true,
		"e\u0301":          true,  // composed to é
		"line\nbreak":      false, // a second line would cover the next row
		"tab\t":            false,
		"\u202eevil":       false, // turns the direction of the text round
		"zero\u200bwidth":  false,
		"soft\u00adhyphen": false,
		"a\u0338":          false, // a mark that composes with nothing
		"مريض":             false, // needs shaping
		"病人":               false, // no face has it
		"😀":                false,
		"\xff":             false,
	} {
		f := facts()
		f.Territory = text
		l, err := PatientLabel(f)
		if err != nil {
			t.Fatal(err)
		}
		_, err = Labels(software, clock("11:25"), l)
		if ok && err != nil {
			t.Errorf("%q: %v", text, err)
		}
		if !ok {
			refused(t, err, CodeCharacter, "territory")
		}
	}
}

// The label never promises a minute that was not reckoned.
func TestWindowLiesInside(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		from := clock("06:12").Add(time.Duration(rapid.Int64Range(0, 3600e9).Draw(t, "from")))
		until := from.Add(time.Duration(rapid.Int64Range(120e9, 1e14).Draw(t, "length")))
		start, end := window(from, until, azores)
		a, err := time.ParseInLocation("2006-01-02 15:04", start, azores)
		if err != nil {
			t.Fatal(err)
		}
		end, ok := strings.CutSuffix(end, " (UTC-01:00)")
		b, err := time.ParseInLocation("2006-01-02 15:04", end, azores)
		if err != nil {
			t.Fatal(err)
		}
		if !ok || a.Before(from) || a.Sub(from) >= time.Minute || b.After(until) || until.Sub(b) >= time.Minute {
			t.Fatalf("%v to %v is printed %s to %s", from, until, start, end)
		}
	})
}

// Where the clocks change inside the window, both offsets are printed.
func TestWindowOverAClockChange(t *testing.T) {
	zone, err := time.LoadLocation("Atlantic/Azores")
	if err != nil {
		t.Skip("no time zone database here")
	}
	start, end := window(time.Date(2027, 3, 27, 20, 0, 0, 0, zone), time.Date(2027, 3, 28, 5, 0, 0, 0, zone), zone)
	if start != "2027-03-27 20:00 (UTC-01:00)" || end != "2027-03-28 05:00 (UTC)" {
		t.Errorf("%s to %s", start, end)
	}
}

// Same input, same bytes: one after the other, and at the same time.
func TestSameLabelsSameBytes(t *testing.T) {
	want := printed(t, everyLabel(t)...)
	labels := everyLabel(t)
	var wg sync.WaitGroup
	for range 4 {
		wg.Go(func() {
			for range 3 {
				got, err := Labels(software, clock("11:25"), labels...)
				if err != nil || !bytes.Equal(got, want) {
					t.Errorf("other bytes, or %v", err)
				}
			}
		})
	}
	wg.Wait()
	if later, _ := Labels(software, clock("11:26"), labels...); bytes.Equal(later, want) {
		t.Error("the time of printing is not in the file")
	}
}

// Whatever is typed, a label is printed or refused with a reason.
func FuzzLabel(f *testing.F) {
	f.Add("right lobe", "DEMO-0042", "L-0311", "P1")
	f.Add("\xff", "\u202e", "مريض", "e\u0301")
	var s *sheetOf // opening a document costs most, so one serves many labels
	n := 0
	f.Fuzz(func(t *testing.T, territory, patient, lot, order string) {
		if n++; s == nil || n%500 == 0 {
			s = newPDF("fuzz", software, clock("11:25"))
		}
		v := facts()
		v.Territory, v.Patient, v.Lot, v.Order = territory, []string{patient}, lot, order
		l, err := PatientLabel(v)
		if err == nil {
			s.err = nil
			s.label(l)
			err = s.err
		}
		var e *Error
		if err != nil && (!errors.As(err, &e) || e.Code == CodeWrite) {
			t.Fatal(err)
		}
	})
}

func BenchmarkLabel(b *testing.B) {
	l, err := PatientLabel(facts())
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := Labels(software, clock("11:25"), l); err != nil {
			b.Fatal(err)
		}
	}
}
