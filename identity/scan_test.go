package identity

import (
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

const gs = "\x1d"

// sameSerial lets go-cmp compare serials.
var sameSerial = cmp.Comparer(func(a, b Serial) bool { return a == b })

// A made-up label: a GTIN of the range GS1 sets aside for examples (prefix
// 9506), and a lot, an expiry and a serial of our own.
const example = "]d2" + "0109506000134352" + "17270630" + "10L-0311" + gs + "21S1-77"

func TestReadElementStrings(t *testing.T) {
	want := Scan{
		Kind: GS1,
		Elements: []Element{
			{"01", "09506000134352"},
			{"17", "270630"},
			{"10", "L-0311"},
			{"21", "S1-77"},
		},
		GTIN: "09506000134352", Lot: "L-0311", Number: "S1-77",
		Expiry: Date{2027, time.June, 30},
	}
	for _, raw := range []string{
		example,
		example + "\r\n",
		strings.TrimPrefix(example, "]d2"),
		gs + strings.TrimPrefix(example, "]d2"),
		"]C1" + strings.TrimPrefix(example, "]d2"),
		"]d2" + gs + "0109506000134352" + gs + "17270630" + gs + "10L-0311" + gs + "21S1-77" + gs,
		"(01)09506000134352(17)270630(10)L-0311(21)S1-77",
		"]d2" + "0109506000134352" + "17270630" + "10L-0311" + gs + "10L-0311" + gs + "21S1-77",
	} {
		got := Read(raw, 2026)
		if got.Raw != raw {
			t.Errorf("Raw is %q, want %q", got.Raw, raw)
		}
		got.Raw = ""
		if strings.Count(raw, "L-0311") == 2 { // the same lot twice is no contradiction
			got.Elements = append(got.Elements[:3], got.Elements[4:]...)
		}
		if d := cmp.Diff(want, got, sameSerial); d != "" {
			t.Errorf("%q (-want +got):\n%s", raw, d)
		}
	}
}

func TestReadKeepsWhatItCannotUse(t *testing.T) {
	for _, row := range []struct {
		name, raw, code string
		lot             string
	}{
		{"empty", "", CodeEmpty, ""},
		{"only an ending", "\r\n", CodeEmpty, ""},
		{"announced and empty", "]d2", CodeEmpty, ""},
		{"too long", strings.Repeat("7", 3117), CodeTooLong, ""},
		{"free text", "hello", CodeUnknown, ""},
		{"another symbology, free text", "]Q1https://example.org/", CodeUnknown, ""},
		{"unknown identifier", "]d2" + "99ABC" + gs + "10L-0311", CodeUnknownID, "L-0311"},
		{"unknown identifier of predefined length", "]d2" + "3103001250" + "10L-0311", CodeUnknownID, "L-0311"},
		{"unknown identifier in brackets", "(99)ABC(10)L-0311", CodeUnknownID, "L-0311"},
		{"no identifier", "]d2" + "ABC" + gs + "10L-0311", CodeUnknownID, "L-0311"},
		{"wrong check digit", "]d2" + "0109506000134353" + "10L-0311", CodeGTIN, "L-0311"},
		{"short GTIN", "]d2" + "010950600013435" + gs + "10L-0311", CodeShort, "L-0311"},
		{"letter in a GTIN", "]d2" + "01O9506000134352" + "10L-0311", CodeData, "L-0311"},
		{"no 13th month", "]d2" + "17271301" + "10L-0311", CodeDate, "L-0311"},
		{"no month 0", "]d2" + "17270001" + "10L-0311", CodeDate, "L-0311"},
		{"no 29 February 2027", "]d2" + "17270229" + "10L-0311", CodeDate, "L-0311"},
		{"no 25th hour", "]d2" + "70032703042400" + gs + "10L-0311", CodeDate, "L-0311"},
		{"expiry time needs a day", "]d2" + "70032703001800" + gs + "10L-0311", CodeDate, "L-0311"},
		{"two lots", "]d2" + "10L-0311" + gs + "10L-0312" + gs + "10L-0311", CodeTwice, ""},
		{"empty lot", "]d2" + "10" + gs + "21S1", CodeShort, ""},
		{"swallowed separator", "]d2" + "10L-0311" + "21S1-77" + "17270630" + "99X", CodeLong, ""},
		{"forbidden character", "]d2" + "10L 0311", CodeData, ""},
		{"label with one wrong character", "X7MP-3YWD-9CH3", CodeCheck, ""},
		{"part of a label", "X7MP-3YWD", CodeLength, ""},
	} {
		t.Run(row.name, func(t *testing.T) {
			s := Read(row.raw, 2026)
			if s.Problem == nil || s.Problem.Code != row.code {
				t.Fatalf("problem %v, want the code %s", s.Problem, row.code)
			}
			if s.Raw != row.raw || s.Lot != row.lot {
				t.Errorf("raw %q and lot %q, want %q and %q", s.Raw, s.Lot, row.raw, row.lot)
			}
			if s.Problem.Msg == "" || strings.HasSuffix(s.Problem.Msg, ".") {
				t.Errorf("message %q", s.Problem.Msg)
			}
		})
	}
}

func TestReadLabelOfOurs(t *testing.T) {
	serial := New([16]byte{5, 6, 7})
	for _, raw := range []string{
		serial.Compact(), serial.String(), "]d1" + serial.Compact() + "\r\n", strings.ToLower(serial.String()),
	} {
		s := Read(raw, 2026)
		if s.Kind != Label || s.Serial != serial || s.Problem != nil || s.Raw != raw {
			t.Errorf("Read(%q) = %+v", raw, s)
		}
	}
}

// GS1 General Specifications, identifier (17), note: 130200 is 2013 February 28 and 160200
// is 2016 February 29.
func TestGS1DayZeroIsTheEndOfTheMonth(t *testing.T) {
	for yymmdd, want := range map[string]string{
		"130200": "2013-02-28", "160200": "2016-02-29", "270400": "2027-04-30", "271200": "2027-12-31",
	} {
		if d, ok := date(yymmdd, 2016, true); !ok || d.String() != want {
			t.Errorf("%s is %v, %v; want %s", yymmdd, d, ok, want)
		}
	}
}

// GS1 General Specifications, 7.12: at most 49 years in the past and 50 in the
// future, for every year of two digits read in every year of two centuries.
func TestGS1Century(t *testing.T) {
	for year := 1990; year <= 2190; year++ {
		for yy := range 100 {
			got := century(yy, year)
			if got%100 != yy || got < year-49 || got > year+50 {
				t.Fatalf("%02d read in %d is %d", yy, year, got)
			}
		}
	}
	for _, row := range []struct{ yy, year, want int }{
		{75, 2026, 2075}, {76, 2026, 2076}, {77, 2026, 1977}, // d = 49, 50, 51
		{2, 2051, 2002}, {1, 2051, 2101}, {0, 2051, 2100}, // d = -49, -50, -51
		{99, 2001, 1999},
	} {
		if got := century(row.yy, row.year); got != row.want {
			t.Errorf("%02d read in %d is %d, want %d", row.yy, row.year, got, row.want)
		}
	}
}

// An application guide to identifier 7003 gives 2 June 2024, 3:30 p.m., as 2406021530.
func TestGS1ExpiryTime(t *testing.T) {
	s := Read("]d2"+"0109506000134352"+"70032406021530", 2024)
	if s.Problem != nil || s.ExpiryClock != (Clock{Date{2024, 6, 2}, 15, 30}) {
		t.Errorf("%v, %v", s.ExpiryClock, s.Problem)
	}
}

// A GTIN has one right check digit for every body: the one that the sum with
// weights 3 and 1 asks for.
func TestGTINCheckDigit(t *testing.T) {
	if !mod10("376104250021234569") { // the SSCC worked through in the GS1 check digit calculator (from memory, not seen)
		t.Error("SSCC 376104250021234569")
	}
	rapid.Check(t, func(t *rapid.T) {
		body := rapid.StringMatching(`[0-9]{13}`).Draw(t, "body")
		sum := 0
		for i, r := range body {
			sum += []int{3, 1}[i%2] * int(r-'0')
		}
		right := (10 - sum%10) % 10
		for d := range 10 {
			if mod10(body+string(rune('0'+d))) != (d == right) {
				t.Fatalf("%s%d", body, d)
			}
		}
	})
}

// bracketForm writes element strings as people read them.
func bracketForm(elements []Element) string {
	var b strings.Builder
	for _, e := range elements {
		b.WriteString("(" + e.ID + ")" + e.Data)
	}
	return b.String()
}

// What is read without a problem reads the same from the bracketed form, and
// nothing that a scanner can send breaks the reader or loses a byte.
func FuzzRead(f *testing.F) {
	for _, s := range []string{
		example, "(01)09506000134352(17)270600(10)A", "]d2" + "99ABC" + gs + "3103001250" + "10L", "K7MP-3YWD-9CK2",
		"]d2" + "70032703041800" + gs + "11270301", "]", "(01", "()", "(1234567)", "]d2" + gs + gs, "\xff\xfe",
	} {
		f.Add(s, 2026)
	}
	f.Fuzz(func(t *testing.T, raw string, year int) {
		if year < 2000 || year > 2099 {
			return
		}
		s := Read(raw, year)
		if s.Raw != raw {
			t.Fatalf("raw text changed: %q", s.Raw)
		}
		switch {
		case s.Kind == Label && (s.Problem != nil || s.Serial.IsZero() || s.Elements != nil),
			s.Kind == Unknown && (s.Problem == nil || s.Elements != nil),
			s.Kind == GS1 && !s.Serial.IsZero():
			t.Fatalf("%+v", s)
		}
		if !s.Expiry.IsZero() && (s.Expiry.Year < year-49 || s.Expiry.Year > year+50) {
			t.Fatalf("expiry %v read in %d", s.Expiry, year)
		}
		if s.GTIN != "" && (len(s.GTIN) != 14 || !mod10(s.GTIN)) {
			t.Fatalf("GTIN %q", s.GTIN)
		}
		keptBytes(t, s)
		if s.Kind != GS1 || s.Problem != nil || strings.Contains(raw, "(") {
			return
		}
		again := Read(bracketForm(s.Elements), year)
		again.Raw = s.Raw
		if d := cmp.Diff(s, again, sameSerial); d != "" {
			t.Fatalf("from brackets (-scan +again):\n%s", d)
		}
	})
}

// keptBytes checks that the elements hold every byte of the scan but the
// separators and the scanner's own.
func keptBytes(t *testing.T, s Scan) {
	t.Helper()
	if s.Kind != GS1 {
		return
	}
	var joined strings.Builder
	for _, e := range s.Elements {
		joined.WriteString(e.ID + e.Data)
	}
	body, _ := cutSymbology(strings.TrimRight(s.Raw, "\r\n"))
	if joined.String() != strings.ReplaceAll(body, gs, "") && bracketForm(s.Elements) != body {
		t.Fatalf("the elements of %q hold %q", body, joined.String())
	}
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"K7MP-3YWD-9CK2", "k7mp3ywd9ck2", "", "-", "0", "\xff"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s, err := Parse(text)
		if (err == nil) == s.IsZero() {
			t.Fatalf("Parse(%q) = %v, %v", text, s, err)
		}
		if err != nil {
			return
		}
		if back, err := Parse(s.String()); err != nil || back != s {
			t.Fatalf("%v does not read back: %v", s, err)
		}
	})
}
