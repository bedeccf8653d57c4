package instrument

import (
	"regexp"
	"strings"
	"testing"
	"time"

	"vialwright/quantity"
)

// invented are the formats that the fuzz targets read lines by.
var invented = []Description{
	ticket, columns, bare, comma, plainLine,
	{Line: "{value:8}{skip}", Unit: "MBq"},
	{Line: "{skip} {value} {unit} ({skip})"},
	{Line: "${from}{serial},{value},{unit},{state}{to}*{check}", Checksum: "crc16/modbus", Stable: []string{"S"}, Unstable: []string{"", "?"}, Serial: "A17"},
}

// FuzzLine: no line panics; and what is accepted has a canonical activity that
// reads back, digits that stand on the line in that order, and a state that
// the line says.
func FuzzLine(f *testing.F) {
	for i := range invented {
		for _, line := range []string{
			"A17 Y-90   1234.5 MBq ST*5C", "\x02Y-90      1.500GBq *\x03", "A=12.30;1", "CH 1: 12,50 MBQ", "40 µCi",
			"   12.50 x", "net 1.5e3 GBq (40.5 mCi)", "$A17,7.5,MBq,S*0000", "", "\x00\xff\x7f", "-0.1 MBq", "1 234.5 MBq",
		} {
			f.Add(byte(i), []byte(line))
		}
	}
	var parsers []*Parser
	for _, d := range invented {
		parsers = append(parsers, mustDescribe(f, d))
	}
	f.Fuzz(func(t *testing.T, which byte, line []byte) {
		i := int(which) % len(parsers)
		r, err := parsers[i].Parse(line)
		if err != nil {
			e, ok := err.(*Error)
			if !ok || e.Code == "" || e.Msg == "" || e.At < 0 || e.At > len(line)+1 || r != (Reading{}) {
				t.Fatalf("%q: %#v %+v", line, err, r)
			}
			return
		}
		back, err := quantity.ParseCanonical[quantity.Activity](r.Activity.Text)
		if err != nil || back != r.Activity {
			t.Fatalf("%q: %q reads back as %v, %v", line, r.Activity.Text, back, err)
		}
		if r.Raw != string(line) || len(line) > usualLength {
			t.Fatalf("%q: raw %q", line, r.Raw)
		}
		number, symbol := r.Activity.Split()
		mantissa, _, _ := strings.Cut(number, "e")
		if parsers[i].comma {
			mantissa = strings.Replace(mantissa, ".", ",", 1)
		}
		if !strings.Contains(string(line), mantissa) {
			t.Fatalf("%q: the number %q does not stand on the line", line, mantissa)
		}
		if u := parsers[i].unit; u != "" && symbol != u {
			t.Fatalf("%q: unit %q, fixed is %q", line, symbol, u)
		}
		checkState(t, invented[i], r)
	})
}

// checkState fails unless the line holds a text that means its state.
func checkState(t *testing.T, d Description, r Reading) {
	t.Helper()
	texts := map[State][]string{Unflagged: {""}, Stable: d.Stable, Unstable: d.Unstable}[r.State]
	if (r.State == Unflagged) != (len(d.Stable) == 0) {
		t.Fatalf("%q is %v", r.Raw, r.State)
	}
	for _, text := range texts {
		if strings.Contains(r.Raw, text) {
			return
		}
	}
	t.Fatalf("%q is %v and holds none of %q", r.Raw, r.State, texts)
}

// plainGrammar is the grammar of "{value} {unit}" as one regular expression,
// written independently of the matcher.
var plainGrammar = regexp.MustCompile(`^[ \t]*\+?((?:0|[1-9][0-9]*)(?:\.[0-9]+)?(?:[eE][+-]?[0-9]+)?)[ \t]+([^ \t]+)[ \t]*$`)

// FuzzPlainLine: the matcher and a regular expression accept the same lines,
// and read the same activity.
func FuzzPlainLine(f *testing.F) {
	for _, line := range []string{"12.5 MBq", "+1e3\tGBq ", "05 MBq", "1.5e MBq", "1 234 MBq", "40 µCi", "0 Ci", "1e+05 kBq", "1E-3 mBq"} {
		f.Add(line)
	}
	p := mustDescribe(f, plainLine)
	f.Fuzz(func(t *testing.T, line string) {
		r, err := p.Parse([]byte(line))
		accepted := err == nil
		var want quantity.Stated[quantity.Activity]
		m := plainGrammar.FindStringSubmatch(line)
		possible := m != nil && len(line) <= usualLength
		if possible {
			want, err = quantity.Parse[quantity.Activity](m[1] + " " + m[2])
			possible = err == nil
		}
		if accepted != possible || r.Activity != want {
			t.Fatalf("%q: read as %v (%v), by regular expression %v (%v)", line, r.Activity, accepted, want, possible)
		}
	})
}

// FuzzDescribe: no pattern panics, and no line does by one that is accepted;
// and the unit is never one that neither the line nor the description says.
func FuzzDescribe(f *testing.F) {
	for _, d := range invented {
		f.Add(d.Line, d.Unit, d.Checksum, "S", "U", []byte("A17 Y-90   1234.5 MBq ST*5C"))
	}
	f.Fuzz(func(t *testing.T, pattern, unit, checksum, stable, unstable string, line []byte) {
		d := Description{Line: pattern, Unit: unit, Checksum: checksum}
		if stable != "" || unstable != "" {
			d.Stable, d.Unstable = []string{stable}, []string{unstable}
		}
		p, err := Describe(d)
		if err != nil {
			if e, ok := err.(*Error); !ok || e.Hint == "" || e.At > len(pattern)+1 && e.Code == CodePattern {
				t.Fatalf("%q: %#v", pattern, err)
			}
			return
		}
		r, err := p.Parse(line)
		if err != nil {
			return
		}
		if _, symbol := r.Activity.Split(); unit != "" && symbol != unit {
			t.Fatalf("%q by %q in %q: %v", line, pattern, unit, r.Activity)
		}
		if again, err := p.print(r); err == nil {
			if back, err := p.Parse(again); err != nil || back.Activity != r.Activity || back.State != r.State {
				t.Fatalf("%q printed as %q: %+v, %v", line, again, back, err)
			}
		}
	})
}

// FuzzStream: no stream panics, and no piece handed on is longer than allowed
// or holds the line ending.
func FuzzStream(f *testing.F) {
	f.Add([]byte("\r\nA17 Y-90   1234.5 MBq ST*5C\r\n"), 3)
	f.Add([]byte("\r\n\r\r\n\n12345678\r9\r\n"), 1)
	p := mustDescribe(f, Description{Line: "{value} {unit}", Ending: "crlf", MaxLength: 8})
	f.Fuzz(func(t *testing.T, stream []byte, size int) {
		fr := &framer{p: p, gap: time.Second}
		check := func(x frame) {
			if x.err == nil && (len(x.line) > 8 || len(x.line) == 0) || len(x.line) > 9 || strings.Contains(string(x.line), "\r\n") {
				t.Fatalf("%q gave %q, %v", stream, x.line, x.err)
			}
		}
		size = max(1, size)
		for i := 0; i < len(stream); i += min(size, len(stream)) {
			fr.push(stream[i:min(len(stream), i+min(size, len(stream)))], noon, check)
		}
		fr.cut(check)
	})
}

// FuzzAddress: what is accepted is written in full and read back the same.
func FuzzAddress(f *testing.F) {
	f.Add("tcp://[2001:db8::7]:4001")
	f.Add("serial:///dev/ttyUSB0?baud=9600&bits=8&parity=none&stop=1")
	f.Fuzz(func(t *testing.T, s string) {
		a, err := ParseAddress(s)
		if err != nil {
			return
		}
		if back, err := ParseAddress(a.String()); err != nil || back != a {
			t.Fatalf("%q: %v, %v", s, back, err)
		}
	})
}
