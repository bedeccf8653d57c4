package picture

import (
	"strings"
	"testing"
)

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
