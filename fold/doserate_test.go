package fold_test

import (
	"fmt"
	"os"
	"strings"
	"testing"
)

// TestBackgroundHasItsOwnStep: of one rate and its background each brings its own step over
// the root of 12, worked out by hand; 1/√12 is 0.2886751. A background that is written as a bare 0 has
// no digits to show its step, and takes the finer of the two.
func TestBackgroundHasItsOwnStep(t *testing.T) {
	text, err := os.ReadFile("../examples/one-patient.yaml")
	if err != nil {
		t.Fatal(err)
	}
	before, after, _ := strings.Cut(string(text), "rate: [182 uSv/h, 180 uSv/h, 184 uSv/h, 182 uSv/h], background: 0.2 uSv/h")
	for _, x := range []struct {
		rate, background string
		net, u           float64
	}{
		{"182 uSv/h", "0.2 uSv/h", 181.8, 0.2901149}, // 0.2886751·√(1 + 0.01)
		{"182.0 uSv/h", "0.2 uSv/h", 181.8, 0.0408248},
		{"182.0 uSv/h", "2 uSv/h", 180, 0.2901149},
		{"182.00 uSv/h", "2 uSv/h", 180, 0.2886896}, // 0.2886751·√(1 + 0.0001)
		{"182 uSv/h", "0 uSv/h", 182, 0.4082483},
		{"182.0 uSv/h", "0 uSv/h", 182, 0.0408248},
		{"182 uSv/h", "0.0 uSv/h", 182, 0.2901149},
		{"18.2 mrem/h", "0.2 uSv/h", 181.8, 0.2901149},
	} {
		c := foldText(t, before+fmt.Sprintf("rate: [%s], background: %s", x.rate, x.background)+after)
		net, u := c.Residuals[0].Before.Mean()
		near(t, x.rate+" less "+x.background, float64(net), x.net, 1e-9)
		near(t, "its u", float64(u), x.u, 1e-6)
	}
}
