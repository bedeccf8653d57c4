package instrument

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// noon is an instant of a clock that only these tests move.
var noon = time.Date(2031, 5, 6, 12, 0, 0, 0, time.UTC)

// frames lists what a framer makes of chunks that arrive 1 ms apart: the text
// of a line, or the code and text of what is none.
func frames(p *Parser, chunks ...string) []string {
	var out []string
	f := &framer{p: p, gap: 2 * time.Second}
	note := func(fr frame) {
		if fr.err != nil {
			out = append(out, fr.err.Code+" "+string(fr.line))
			return
		}
		out = append(out, string(fr.line))
	}
	at := noon
	for _, c := range chunks {
		if pause, ok := strings.CutPrefix(c, "pause "); ok {
			d, err := time.ParseDuration(pause)
			if err != nil {
				panic(err)
			}
			at = at.Add(d)
			continue
		}
		at = at.Add(time.Millisecond)
		f.push([]byte(c), at, note)
	}
	f.cut(note)
	return out
}

func TestFramer(t *testing.T) {
	long := strings.Repeat("x", 8)
	for _, c := range []struct {
		name   string
		ending string
		chunks []string
		want   []string
	}{
		{"what comes first is set aside", "lf", []string{"2.5 M\n12.5 M\n"}, []string{"part 2.5 M", "12.5 M"}},
		{"even if it may be a whole line", "lf", []string{"12.5 M\n", "13 M\n"}, []string{"part 12.5 M", "13 M"}},
		{"nothing before the first ending is nothing", "lf", []string{"\n12.5 M\n"}, []string{"12.5 M"}},
		{"chunks are put together", "lf", []string{"\n1", "2.", "5 M", "\n"}, []string{"12.5 M"}},
		{"CR LF across chunks", "crlf", []string{"\r", "\n12.5 M\r", "\n"}, []string{"12.5 M"}},
		{"a lone CR or LF stays in the line", "crlf", []string{"\r\n1\r2\n3\r\r\n"}, []string{"1\r2\n3\r"}},
		{"a stray CR of a crlf meter read as lf", "lf", []string{"\n12 M\r\n"}, []string{"12 M\r"}},
		{"CR", "cr", []string{"\r12 M\r\n13 M\r"}, []string{"12 M", "\n13 M"}},
		{"any ending", "any", []string{"\n1\r2\n3\r\n4\n\r5\r"}, []string{"1", "2", "3", "4", "5"}},
		{"empty and blank lines are none", "any", []string{"\r\n\r\n   \r\n\t\n1\n"}, []string{"1"}},
		{"the longest line", "lf", []string{"\n" + long + "\n1\n"}, []string{long, "1"}},
		{"the longest line with CR LF", "crlf", []string{"\r\n" + long + "\r\n1\r\n"}, []string{long, "1"}},
		{"a byte too long, and the next line is read", "lf", []string{"\n" + long + "y\n1\n"}, []string{"long " + long, "1"}},
		{"a byte too long with CR LF", "crlf", []string{"\r\n" + long + "\ry\r\n1\r\n"}, []string{"long " + long + "\r", "1"}},
		{"a flood is told of once", "lf", []string{"\n", strings.Repeat("x", 5000), strings.Repeat("y", 5000), "z\n1\n"}, []string{"long " + long, "1"}},
		{"a flood before the first ending", "lf", []string{strings.Repeat("x", 5000), "\n1\n"}, []string{"long " + long, "1"}},
		{"a pause between lines does no harm", "lf", []string{"\n1 M\n", "pause 1h", "2 M\n"}, []string{"1 M", "2 M"}},
		{"a short pause within a line", "lf", []string{"\n1", "pause 1.9s", "2 M\n"}, []string{"12 M"}},
		{"two halves are never joined", "lf", []string{"\n1", "pause 2s", "2 M\n3 M\n"}, []string{"torn 1", "part 2 M", "3 M"}},
		{"nor two halves of two lines", "lf", []string{"\n1", "pause 1h", ".5 M\n3 M\n"}, []string{"torn 1", "part .5 M", "3 M"}},
		{"a pause in a line already refused", "lf", []string{"\n", long + "yy", "pause 1h", "z\n1\n"}, []string{"long " + long, "1"}},
		{"the end within a line", "lf", []string{"\n1 M\n2"}, []string{"1 M", "torn 2"}},
		{"the end within the first line", "lf", []string{"2"}, []string{"torn 2"}},
		{"the end within an over-long line", "lf", []string{"\n" + long + "yy"}, []string{"long " + long}},
	} {
		p := mustDescribe(t, Description{Line: "{value} {unit}", Ending: c.ending, MaxLength: 8})
		if got := frames(p, c.chunks...); fmt.Sprintf("%q", got) != fmt.Sprintf("%q", c.want) {
			t.Errorf("%s:\n got %q\nwant %q", c.name, got, c.want)
		}
	}
}

// However a stream is cut into chunks, the lines are the same.
func TestFramerIgnoresChunks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, err := Describe(Description{Line: "{value} {unit}", Ending: rapid.SampledFrom([]string{"any", "crlf", "lf", "cr"}).Draw(t, "ending"), MaxLength: 8})
		if err != nil {
			t.Fatal(err)
		}
		stream := rapid.StringOfN(rapid.SampledFrom([]rune("1x \r\n\n\r")), 0, 60, -1).Draw(t, "stream")
		var chunks []string
		for rest := stream; rest != ""; {
			n := rapid.IntRange(1, len(rest)).Draw(t, "n")
			chunks, rest = append(chunks, rest[:n]), rest[n:]
		}
		one, many := frames(p, stream), frames(p, chunks...)
		if fmt.Sprintf("%q", one) != fmt.Sprintf("%q", many) {
			t.Fatalf("%q at once: %q, in %q: %q", stream, one, chunks, many)
		}
	})
}

// A slow twin: the whole lines of a stream are what stands between two line
// endings, by the standard library's splitting.
func TestFramerAgreesWithSplit(t *testing.T) {
	p := mustDescribe(t, Description{Line: "{value} {unit}", Ending: "crlf", MaxLength: 8})
	rapid.Check(t, func(t *rapid.T) {
		stream := rapid.StringOfN(rapid.SampledFrom([]rune("12 \r\n")), 0, 60, -1).Draw(t, "stream")
		var want []string
		pieces := strings.Split(stream, "\r\n")
		for i, s := range pieces {
			if i > 0 && i < len(pieces)-1 && strings.Trim(s, " ") != "" && len(s) <= 8 {
				want = append(want, s)
			}
		}
		var got []string
		f := &framer{p: p, gap: time.Second}
		f.push([]byte(stream), noon, func(fr frame) {
			if fr.err == nil {
				got = append(got, string(fr.line))
			}
		})
		if fmt.Sprintf("%q", got) != fmt.Sprintf("%q", want) {
			t.Fatalf("%q: %q, want %q", stream, got, want)
		}
	})
}

// The rule above all others: however bytes are lost in a pause, no line is
// read that the meter did not write. A meter that sends only when asked to is
// given the pauses within lines only, which is the limit that the package
// comment states.
func TestNoLineIsMadeOfPieces(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		steady := rapid.Bool().Draw(t, "steady")
		p, err := Describe(Description{Line: "{value} {unit}", Ending: "lf", Steady: steady})
		if err != nil {
			t.Fatal(err)
		}
		written, stream := map[string]bool{}, ""
		for i := range rapid.IntRange(1, 8).Draw(t, "lines") {
			line := fmt.Sprintf("%d.%d MBq", 1000+7*i, i)
			written[line] = true
			stream += line + "\n"
		}
		stream = stream[rapid.IntRange(0, len(stream)).Draw(t, "start"):]
		f, at := &framer{p: p, gap: 2 * time.Second}, noon
		check := func(fr frame) {
			if fr.err == nil && !written[string(fr.line)] {
				t.Fatalf("%q was read", fr.line)
			}
		}
		for stream != "" {
			n := rapid.IntRange(1, len(stream)).Draw(t, "arrives")
			f.push([]byte(stream[:n]), at, check)
			between := stream[n-1] == '\n'
			stream = stream[n:]
			if !between || steady {
				stream = stream[rapid.IntRange(0, len(stream)).Draw(t, "lost"):]
			}
			at = at.Add(2*time.Second + 1)
		}
		f.cut(check)
	})
}

// A meter that sends steadily, and one that sends when asked to, after a pause
// between two lines.
func TestSteadyMeter(t *testing.T) {
	for steady, want := range map[bool]string{true: `["1 M" "part 2 M" "3 M"]`, false: `["1 M" "2 M" "3 M"]`} {
		p := mustDescribe(t, Description{Line: "{value} {unit}", Steady: steady})
		if got := fmt.Sprintf("%q", frames(p, "\n1 M\n", "pause 2s", "2 M\n3 M\n")); got != want {
			t.Errorf("steady %v: %s, want %s", steady, got, want)
		}
	}
}
