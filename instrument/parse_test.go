package instrument

import (
	"errors"
	"math"
	"strings"
	"testing"

	"vialwright/quantity"
)

// Every format in these tests is invented.

// ticket is a line with everything.
var ticket = Description{
	Line:   "{serial} {nuclide} {value} {unit} {state}{to}*{check}",
	Stable: []string{"ST"}, Unstable: []string{"US"}, Checksum: "xor",
}

// columns is a line of fixed columns between two control characters.
var columns = Description{
	Line:   "{x02}{nuclide:6}{value:9}{unit:4}{state:1}{x03}",
	Stable: []string{" "}, Unstable: []string{"*"}, Ending: "crlf",
}

// bare is a line with the number and a flag, in a fixed unit.
var bare = Description{
	Line: "A={value};{state}", Unit: "MBq",
	Stable: []string{"1"}, Unstable: []string{"0"},
}

// comma is a line with a decimal comma and the meter's own unit texts.
var comma = Description{
	Line: "{skip}: {value} {unit}", DecimalComma: true,
	Units: map[string]string{"MBQ": "MBq", "GBQ": "GBq", "{xB5}Ci": "uCi"},
}

// plainLine is the least a description can say.
var plainLine = Description{Line: "{value} {unit}"}

func mustDescribe(t testing.TB, d Description) *Parser {
	t.Helper()
	p, err := Describe(d)
	if err != nil {
		t.Fatalf("%q: %v", d.Line, err)
	}
	return p
}

func TestParse(t *testing.T) {
	with := func(d Description, change func(*Description)) Description { change(&d); return d }
	for _, c := range []struct {
		d       Description
		line    string
		text    string
		bq      float64
		state   State
		nuclide string
		serial  string
	}{
		{ticket, "A17 Y-90   1234.5 MBq ST*5C", "1234.5 MBq", 1.2345e9, Stable, "Y-90", "A17"},
		{ticket, "A17 Y-90   1234.5 MBq ST*5c  \t", "1234.5 MBq", 1.2345e9, Stable, "Y-90", "A17"},
		{ticket, "A17 Y-90 1234.5 MBq US*5D", "1234.5 MBq", 1.2345e9, Unstable, "Y-90", "A17"},
		{columns, "\x02Y-90      1.500GBq  \x03", "1.500 GBq", 1.5e9, Stable, "Y-90", ""},
		{columns, "\x02Y-90      1.500GBq *\x03", "1.500 GBq", 1.5e9, Unstable, "Y-90", ""},
		{columns, "\x02Y-90  00001.500mCi  \x03", "1.500 mCi", 5.55e7, Stable, "Y-90", ""},
		{columns, "\x02Y-90  +1.50E+03MBq  \x03", "1.50e3 MBq", 1.5e9, Stable, "Y-90", ""},
		{columns, "\x02Y-90  000000000MBq  \x03", "0 MBq", 0, Stable, "Y-90", ""},
		{bare, "A=12.30;1", "12.30 MBq", 1.23e7, Stable, "", ""},
		{bare, "A=  0.0;0", "0.0 MBq", 0, Unstable, "", ""},
		{comma, "CH 1: 12,50 MBQ", "12.50 MBq", 1.25e7, Unflagged, "", ""},
		{comma, ":   3 \xb5Ci", "3 uCi", 1.11e5, Unflagged, "", ""},
		{plainLine, "81 mCi", "81 mCi", 2.997e9, Unflagged, "", ""},
		{plainLine, "\t2.5e-3\tTBq\t", "2.5e-3 TBq", 2.5e9, Unflagged, "", ""},
		{plainLine, "40 µCi", "40 uCi", 1.48e6, Unflagged, "", ""},
		{Description{Line: "{value}{unit}"}, "81mCi", "81 mCi", 2.997e9, Unflagged, "", ""},
		{Description{Line: "{value}{unit}"}, "81   mCi", "81 mCi", 2.997e9, Unflagged, "", ""},
		{Description{Line: "{value},{unit},{skip}"}, "1.5,GBq,anything, 2 GBq", "1.5 GBq", 1.5e9, Unflagged, "", ""},
		{Description{Line: "{skip} = {value} {unit} ({skip})"}, "net = gross = 1.5 GBq (40.5 mCi)", "", 0, 0, "", ""},
		{Description{Line: "{skip} = {value} {unit} ({skip})"}, "the net = 1.5 GBq (40.5 mCi)", "1.5 GBq", 1.5e9, Unflagged, "", ""},
		{with(bare, func(d *Description) { d.Line = "{state:2}{value:6}{{{x7d}" }), "1   12.5{}", "12.5 MBq", 1.25e7, Stable, "", ""},
		{with(bare, func(d *Description) { d.Line, d.Unstable = "A={value};{state}", []string{""} }), "A=5;", "5 MBq", 5e6, Unstable, "", ""},
		{with(ticket, func(d *Description) { d.Serial, d.Nuclides = "A17", []string{"Y90", "Y-90"} }), "A17 Y-90 1234.5 MBq ST*5C", "1234.5 MBq", 1.2345e9, Stable, "Y-90", "A17"},
		{Description{Line: "{serial} {value} {unit}", Serial: "0042"}, "0042 7.5 MBq", "7.5 MBq", 7.5e6, Unflagged, "", "0042"},
		{Description{Line: "{nuclide} {value} {unit}", Nuclides: []string{"90"}}, "90 7.5 MBq", "7.5 MBq", 7.5e6, Unflagged, "90", ""},
		{Description{Line: "{skip}={skip:3} {value} {unit}"}, "n=017 7.5 MBq", "7.5 MBq", 7.5e6, Unflagged, "", ""},
		{Description{Line: "{skip},{value} {unit}"}, "  ,7.5 MBq", "7.5 MBq", 7.5e6, Unflagged, "", ""},
		{Description{Line: "{value:8}{skip}", Unit: "MBq"}, "     7.5 MBq, net", "7.5 MBq", 7.5e6, Unflagged, "", ""},
		{Description{Line: "{value:8}{skip}", Unit: "uCi"}, "     7.5 µCi", "7.5 uCi", 2.775e5, Unflagged, "", ""},
		{Description{Line: "{value} {check}", Unit: "MBq", Checksum: "sum"}, "7.5 BA", "7.5 MBq", 7.5e6, Unflagged, "", ""},
		{Description{Line: "${from}{value},{unit}{to}*{check}", Checksum: "crc16/modbus"}, "$7.5,MBq*8ABF", "7.5 MBq", 7.5e6, Unflagged, "", ""},
	} {
		p := mustDescribe(t, c.d)
		r, err := p.Parse([]byte(c.line))
		if c.text == "" {
			if err == nil {
				t.Errorf("%q by %q: read as %v", c.line, c.d.Line, r)
			}
			continue
		}
		if err != nil {
			t.Errorf("%q by %q: %v", c.line, c.d.Line, err)
			continue
		}
		if r.Activity.Text != c.text || math.Abs(float64(r.Activity.Value)-c.bq) > 1e-15*c.bq || r.State != c.state || r.Nuclide != c.nuclide || r.Serial != c.serial || r.Raw != c.line {
			t.Errorf("%q by %q: %+v", c.line, c.d.Line, r)
		}
	}
	r, err := mustDescribe(t, Description{Line: "{serial};{nuclide};{insert};{value} {unit}"}).Parse([]byte("A17;Y-90;dipper;7.5 MBq"))
	if err != nil || r.Insert != "dipper" || r.Nuclide != "Y-90" {
		t.Errorf("%+v %v", r, err)
	}
	if _, err := mustDescribe(t, Description{Line: "{insert} {value} {unit}"}).Parse([]byte("1 234 MBq")); err == nil {
		t.Error("digits that may belong to the number were taken for an insert")
	}
}

// The checksum of the package comment's worked example, reckoned byte by byte.
func TestWorkedExampleChecksum(t *testing.T) {
	text := "A17 Y-90   1234.5 MBq ST"
	if len(text) != 24 {
		t.Fatalf("%d bytes", len(text))
	}
	x := 0
	for _, r := range text {
		x ^= int(r)
	}
	if x != 0x5C {
		t.Errorf("%X", x)
	}
}

func TestParseRefuses(t *testing.T) {
	fixed := Description{Line: "{value:8}{skip}", Unit: "MBq"}
	named := ticket
	named.Serial, named.Nuclides = "A17", []string{"Y-90"}
	named.Line, named.Checksum = "{serial} {nuclide} {value} {unit} {state}", ""
	loose := Description{Line: "{skip} {value} {unit}"}
	for _, c := range []struct {
		d    Description
		line string
		code string
		at   int
		says string
	}{
		// The pattern.
		{ticket, "", CodeEnd, 1, "{serial} was expected"},
		{ticket, "A17", CodeEnd, 4, "a blank was expected"},
		{ticket, "A17 Y-90 1234.5 MBq ST-5C", CodeText, 23, `"*" was expected`},
		{ticket, "A17 Y-90 1234.5 MBq ST*5", CodeEnd, 25, "2 hexadecimal digits"},
		{ticket, "A17 Y-90 1234.5 MBq ST*5G", CodeChecksum, 25, "2 hexadecimal digits"},
		{ticket, "A17 Y-90 1234.5 MBq ST*5C7", CodeEnd, 26, "the end of the line was expected"},
		{ticket, "A17 Y-90 1234.5 MBq ST*5C\r", CodeEnd, 26, "the end of the line was expected"},
		{bare, "B=1.0;1", CodeText, 1, `"A="`},
		{bare, "A:1.0;1", CodeText, 2, `"="`},
		{columns, "\x02Y-90      1.500GBq *", CodeEnd, 22, `"\x03"`},
		{columns, "\x02Y-90   1.5", CodeEnd, 12, "{value:9}"},
		{columns, "\x02Y-\x0090     1.500GBq *\x03", CodeText, 4, "baud rate"},
		{plainLine, "\x001.5 MBq", CodeNumber, 1, "a number was expected"},
		{plainLine, "1.5 MBq\x00", CodeEnd, 8, "the end of the line"},
		{plainLine, "1.5 MBq 2.5 MBq", CodeEnd, 9, "the end of the line"},
		{comma, "no separator 12,5 MBQ", CodeText, 1, `a text with ":" after it`},
		{comma, "CH\x07: 12,5 MBQ", CodeText, 3, "baud rate"},
		// The number.
		{plainLine, "OVER MBq", CodeNumber, 1, "a number was expected"},
		{plainLine, "------ MBq", CodeNumber, 1, "no digits"},
		{plainLine, "-0.02 MBq", CodeNegative, 1, "below zero"},
		{plainLine, "\u22120.02 MBq", CodeNumber, 1, "a number was expected"},
		{plainLine, "1,5 MBq", CodeNumber, 2, "a decimal point"},
		{plainLine, "1,234.5 MBq", CodeNumber, 2, "a decimal point"},
		{plainLine, "1.234.5 MBq", CodeNumber, 6, "a second decimal mark"},
		{plainLine, "1'234 MBq", CodeNumber, 2, "does not belong"},
		{plainLine, "1 234 MBq", CodeUnit, 3, "a unit was expected"},
		{plainLine, ".5 MBq", CodeNumber, 1, "a digit was expected"},
		{plainLine, "5. MBq", CodeNumber, 3, "after the decimal mark"},
		{plainLine, "05 MBq", CodeNumber, 1, "begins with a zero"},
		{plainLine, "00.5 MBq", CodeNumber, 1, "begins with a zero"},
		{plainLine, "1.5e MBq", CodeText, 4, "a blank was expected"},
		{plainLine, "1.5e+ MBq", CodeNumber, 6, "exponent"},
		{plainLine, "1.5e3.2 MBq", CodeNumber, 6, "second decimal mark"},
		{plainLine, "1e999 MBq", CodeNumber, 1, "too large"},
		{plainLine, "1e-999 MBq", CodeNumber, 1, "too small"},
		{plainLine, strings.Repeat("1", 80) + " MBq", CodeNumber, 1, "longer than 64"},
		{comma, "1: 1.5 MBQ", CodeNumber, 5, "a decimal comma"},
		{comma, "1: 1,234,5 MBQ", CodeNumber, 9, "a second decimal mark"},
		{columns, "\x02Y-90      1 500GBq *\x03", CodeNumber, 13, "does not belong"},
		{columns, "\x02Y-90     1.500eGBq *\x03", CodeNumber, 17, "exponent"},
		{columns, "\x02Y-90           GBq *\x03", CodeNumber, 8, "a number was expected"},
		{columns, "\x02Y-90   -   1.50GBq *\x03", CodeNegative, 9, "below zero"},
		{loose, "- 0.02 MBq", CodeNumber, 3, "a sign stands apart"},
		{loose, "x- 0.02 MBq", CodeNumber, 4, "a sign stands apart"},
		{loose, "1 234.5 MBq", CodeNumber, 3, "may belong to it"},
		{Description{Line: "{serial},{value} {unit}"}, "1,234.5 MBq", CodeNumber, 3, "may belong to it"},
		{Description{Line: "{nuclide} {value} {unit}"}, "1 234.5 MBq", CodeNumber, 3, "may belong to it"},
		{Description{Line: "{skip}={skip} {value} {unit}"}, "1=1 234.5 MBq", CodeNumber, 5, "may belong to it"},
		{Description{Line: "{skip:3} {value} {unit}"}, "no", CodeEnd, 3, "{skip:3}"},
		// The unit.
		{plainLine, "1.5", CodeEnd, 4, "a blank was expected"},
		{plainLine, "1.5 ", CodeEnd, 5, "{unit} was expected"},
		{Description{Line: "{value}{unit}"}, "1.5", CodeEnd, 4, "{unit} was expected"},
		{plainLine, "1.5 MBQ", CodeUnit, 5, "capital and small letters"},
		{plainLine, "1.5 mBq", CodeUnit, 5, "milli"},
		{plainLine, "1.5 mL", CodeUnit, 5, "a volume"},
		{plainLine, "1.5 MBq/mL", CodeUnit, 5, "no unit of activity"},
		{plainLine, "1.5 \xff\xfe", CodeUnit, 5, "no readable text"},
		{columns, "\x02Y-90      1.500     *\x03", CodeUnit, 17, "{unit} was expected"},
		{comma, "1: 1,5 MBq", CodeUnit, 8, "none of those described"},
		{fixed, "    12.5 GBq", CodeUnit, 9, "the fixed unit is MBq"},
		{fixed, "    12.5 gbq", CodeUnit, 9, "the fixed unit is MBq"},
		{fixed, "    12.5GBq", CodeUnit, 9, "the fixed unit is MBq"},
		{fixed, "    12.5 [\xb5Ci]", CodeUnit, 9, "the fixed unit is MBq"},
		{Description{Line: "{value};{state};{nuclide}", Unit: "MBq", Stable: []string{"S"}, Unstable: []string{"U"}}, "12.5;S;GBq", CodeUnit, 8, "the fixed unit is MBq"},
		// The state.
		{bare, "A=1.0;2", CodeState, 7, `"1" (stable) or "0" (unstable) was expected`},
		{bare, "A=1.0;", CodeEnd, 7, `"1" (stable)`},
		{bare, "A=1.0;11", CodeState, 7, `"1" (stable)`},
		{ticket, "A17 Y-90 1234.5 MBq st*5C", CodeState, 21, `"ST" (stable)`},
		{ticket, "A17 Y-90 1234.5 MBq STALE*5C", CodeState, 21, `"ST" (stable)`},
		{ticket, "A17 Y-90 1234.5 MBq *5C", CodeState, 21, `"ST" (stable)`},
		{columns, "\x02Y-90      1.500GBq ", CodeEnd, 21, "{state:1}"},
		{columns, "\x02Y-90      1.500GBq ?\x03", CodeState, 21, `"" (stable)`},
		// Other settings, other meters, damage.
		{named, "A17 F-18 1234.5 MBq ST", CodeNuclide, 5, "another nuclide than Y-90"},
		{named, "A18 Y-90 1234.5 MBq ST", CodeSerial, 1, "not the meter A17"},
		{named, "A17 Y\u201190 1234.5 MBq ST", CodeNuclide, 6, "an ASCII character"},
		{ticket, "A17 Y-90 1284.5 MBq ST*5C", CodeChecksum, 24, "is 57, and it says 5C"},
		{plainLine, strings.Repeat(" ", 250) + "1.5 MBq", CodeLong, 257, "longer than 256"},
	} {
		p := mustDescribe(t, c.d)
		r, err := p.Parse([]byte(c.line))
		var e *Error
		if !errors.As(err, &e) {
			t.Errorf("%q by %q: accepted as %+v", c.line, c.d.Line, r)
			continue
		}
		if e.Code != c.code || e.At != c.at || !strings.Contains(e.Error(), c.says) {
			t.Errorf("%q by %q:\n got %s at %d: %v\nwant %s at %d: ... %s", c.line, c.d.Line, e.Code, e.At, e, c.code, c.at, c.says)
		}
		if r != (Reading{}) {
			t.Errorf("%q: a refused line left a reading: %+v", c.line, r)
		}
	}
}

// The refusal of a number or unit leads on to that of the package quantity.
func TestErrorUnwraps(t *testing.T) {
	_, err := mustDescribe(t, plainLine).Parse([]byte("1.5 MBQ"))
	var q *quantity.Error
	if !errors.As(err, &q) || q.Code != quantity.CodeUnitCase {
		t.Errorf("%v", err)
	}
	if want := `character 5 of "1.5 MBQ": capital and small letters differ in a unit, and MBQ is none (did you mean MBq?)`; err.Error() != want {
		t.Errorf("got  %s\nwant %s", err, want)
	}
}

// No control character of a hostile line reaches a screen through an error.
func TestErrorIsPrintable(t *testing.T) {
	for b := range 256 {
		_, err := mustDescribe(t, plainLine).Parse([]byte{'1', ' ', byte(b), '\x1b', '[', '2', 'J'})
		if err == nil {
			t.Fatalf("%d accepted", b)
		}
		if strings.ContainsFunc(err.Error(), func(r rune) bool { return r < ' ' || r == 0x7f }) {
			t.Errorf("byte %02X: %q", b, err.Error())
		}
	}
}

func BenchmarkParse(b *testing.B) {
	p, line := mustDescribe(b, ticket), []byte("A17 Y-90   1234.5 MBq ST*5C")
	for b.Loop() {
		if _, err := p.Parse(line); err != nil {
			b.Fatal(err)
		}
	}
}
