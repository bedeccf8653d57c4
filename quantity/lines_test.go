package quantity_test

import (
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"pgregory.net/rapid"

	"vialwright/quantity"
)

func lines(text string, width int) []string {
	return quantity.Lines(text, func(l string) bool { return utf8.RuneCountInString(l) <= width })
}

func TestLines(t *testing.T) {
	for _, r := range []struct {
		text  string
		width int
		want  []string
	}{
		{"", 20, nil},
		{"one two three", 8, []string{"one two", "three"}},
		{"about 1.348 ± 0.040 GBq", 20, []string{"about", "1.348 ± 0.040 GBq"}},
		{"about 1.348 ± 0.040 GBq", 13, []string{"about 1.348", "± 0.040 GBq"}},
		{"1.348 ± 0.040 GBq", 8, []string{"1.348", "± 0.040", "GBq"}},
		{"settling since 4 min 5 s", 15, []string{"settling since", "4 min 5 s"}},
		{"the 2 hypotheses", 7, []string{"the 2", "hypothe", "ses"}},
		{"(k = 1); the 95 % interval", 12, []string{"(k = 1); the", "95 %", "interval"}},
		{"until 00:44\u00a0Fri", 10, []string{"until", "00:44\u00a0Fri"}},
		{"until 00:44\u00a0Fri", 6, []string{"until", "00:44", "Fri"}},
		{"WWWWW", 2, []string{"WW", "WW", "W"}},
		{"äöü", 0, []string{"ä", "ö", "ü"}},
	} {
		if got := lines(r.text, r.width); !slices.Equal(got, r.want) {
			t.Errorf("%q in %d: %q, want %q", r.text, r.width, got, r.want)
		}
	}
}

// TestLinesLoseNothing: the lines fit, and hold the text and nothing else.
func TestLinesLoseNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringMatching(`([A-Za-zéλ0-9.±%\x{a0}]{1,40}[ \n]{1,2}){0,12}`).Draw(t, "text")
		width := rapid.IntRange(0, 60).Draw(t, "width")
		all := lines(text, width)
		for _, l := range all {
			if n := utf8.RuneCountInString(l); n > max(1, width) || n == 0 {
				t.Fatalf("%q takes %d of %d", l, n, width)
			}
		}
		bare := func(s string) string { return strings.Join(strings.Fields(s), "") }
		if bare(strings.Join(all, "")) != bare(text) {
			t.Fatalf("%q is broken into %q", text, all)
		}
	})
}

func TestWholeMinutes(t *testing.T) {
	at := func(clock string) time.Time {
		x, err := time.Parse("15:04:05", clock)
		if err != nil {
			t.Fatal(err)
		}
		return x
	}
	for _, r := range [][4]string{
		{"06:12:03", "23:44:28", "06:13:00", "23:44:00"},
		{"06:12:00", "06:12:00", "06:12:00", "06:12:00"},
		{"06:12:01", "06:12:59", "06:13:00", "06:12:00"}, // no whole minute in it
	} {
		from, until := quantity.WholeMinutes(at(r[0]), at(r[1]))
		if !from.Equal(at(r[2])) || !until.Equal(at(r[3])) {
			t.Errorf("%s to %s: %s to %s", r[0], r[1], from.Format("15:04:05"), until.Format("15:04:05"))
		}
	}
}
