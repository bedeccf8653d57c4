package picture

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestWrap(t *testing.T) {
	f := face{10, false}
	for _, r := range []struct {
		text  string
		width float64
		want  []string
	}{
		{"", 100, nil},
		{"one two three", 45, []string{"one two", "three"}},
		{"1.348 ± 0.040 GBq", 60, []string{"1.348", "± 0.040", "GBq"}},
		{"about 1.348 ± 0.040 GBq", 100, []string{"about 1.348", "± 0.040 GBq"}},
		{"settling since 4 min 5 s", 75, []string{"settling since", "4 min 5 s"}},
		{"until 00:44" + string(nbsp) + "Fri" + string(nbsp) + "5" + string(nbsp) + "Mar", 90, []string{"until", "00:44" + string(nbsp) + "Fri" + string(nbsp) + "5" + string(nbsp) + "Mar"}},
		{"WWWWW", 20, []string{"WW", "WW", "W"}},
	} {
		if got := f.wrap(r.text, r.width); !slices.Equal(got, r.want) {
			t.Errorf("%q in %v: %q, want %q", r.text, r.width, got, r.want)
		}
	}
}

// TestWrapKeepsEveryLetter: the lines fit, and hold the text and nothing else.
func TestWrapKeepsEveryLetter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := face{rapid.Float64Range(14, 44).Draw(t, "size"), rapid.Bool().Draw(t, "bold")}
		text := clean(anyText().Draw(t, "text"))
		width := rapid.Float64Range(70, 600).Draw(t, "width") // the widest letter takes 62
		lines := f.wrap(text, width)
		for _, l := range lines {
			if f.width(l) > width+1e-9 {
				t.Fatalf("%q takes %.1f of %.1f", l, f.width(l), width)
			}
		}
		bare := func(s string) string { return strings.ReplaceAll(s, " ", "") }
		if bare(strings.Join(lines, "")) != bare(text) {
			t.Fatalf("%q is broken into %q", text, lines)
		}
	})
}

// TestCutNeverShortensANumber: what is left of a text that does not fit is
// whole words, so that no number is left as another one.
func TestCutNeverShortensANumber(t *testing.T) {
	f := face{10, false}
	for _, r := range []struct {
		text  string
		width float64
		want  string
	}{
		{"1.459 GBq", 100, "1.459 GBq"},
		{"1.459 GBq", 45, "1.459…"},
		{"1.459 GBq", 30, "…"},
		{"target 1.459 GBq", 60, "target…"},
		{"-1.459", 20, "…"},
		{"Donaudampfschiff", 50, "Donaud…"},
	} {
		if got := f.cut(r.text, r.width); got != r.want {
			t.Errorf("%q in %v: %q, want %q", r.text, r.width, got, r.want)
		}
	}
}

func TestClean(t *testing.T) {
	for _, r := range []struct{ text, want string }{
		{"  S1\t left \n lobe ", "S1 left lobe"},
		{"a\x00b\x1bc", "a\ufffdb\ufffdc"},
		{"\u202e0.31 mL", "\ufffd0.31 mL"},
		{"x\ufffey", "x\ufffdy"},
		{"\xff", "\ufffd"},
		{strings.Repeat("w", 100), strings.Repeat("w", 96) + "…"},
		{strings.Repeat("w", 90) + " 1.348 GBq", strings.Repeat("w", 90) + " 1.348…"},
		{strings.Repeat("w", 92) + " 1.348 GBq", strings.Repeat("w", 92) + "…"},
		{strings.Repeat("9", 100), "…"},
		{"Söhne ± µ 放", "Söhne ± µ 放"},
	} {
		if got := clean(r.text); got != r.want {
			t.Errorf("%q: %q, want %q", r.text, got, r.want)
		}
	}
}
