package settling

import (
	"encoding/xml"
	"errors"
	"io"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"vialwright/quantity"
)

// pictures are cases that between them draw every part of a picture.
func pictures(t *testing.T) map[string]Result {
	t.Helper()
	out := map[string]Result{}
	for name, change := range map[string]func(*Case){
		"vial":        func(*Case) {},
		"low tip":     func(c *Case) { c.Tip = 1 },
		"no window":   func(c *Case) { c.Tip, c.Draw.Volume, c.Draw.Span = 15, 1, 60 },
		"open":        func(c *Case) { c.Span, c.Points = 20, 21 },
		"cone":        func(c *Case) { c.Vessel, c.Tip, c.Draw.Volume = VBottom(18, 10), 12, 1 },
		"lying":       func(c *Case) { c.Vessel, c.Tip, c.Draw = Syringe(12.5, Horizontal), 6.25, Draw{} },
		"needle up":   func(c *Case) { c.Vessel, c.Tip = Syringe(12.5, NeedleUp), 0 },
		"needle down": func(c *Case) { c.Vessel, c.Tip = Syringe(12.5, NeedleDown), 0 },
		"dilute":      func(c *Case) { c.Count /= 100 },
	} {
		c := Default()
		c.Cells = 100
		change(&c)
		r, err := Run(c)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		out[name] = r
	}
	return out
}

var textElement = regexp.MustCompile(`<text x="([-\d.]+)" y="([-\d.]+)" font-size="(\d+)" text-anchor="(\w+)"[^>]*>([^<]*)<`)

// Every picture is well-formed XML that needs nothing from outside, says its
// caution, holds no number that is not one, keeps all words inside and large
// enough to be read from two metres off a 24 inch screen (24 units of 1280). A
// letter is half as wide as high, on the safe side for Liberation Sans.
func TestPictureIsSound(t *testing.T) {
	for name, r := range pictures(t) {
		for theme, safe := range map[Theme]quantity.Span{Light: 0, Dark: 20} {
			svg := Picture(r, PictureOptions{Theme: theme, U: 12, Safe: safe})
			d := xml.NewDecoder(strings.NewReader(svg))
			for {
				if _, err := d.Token(); errors.Is(err, io.EOF) {
					break
				} else if err != nil {
					t.Fatalf("%s: %v", name, err)
				}
			}
			for _, bad := range []string{"NaN", "Inf", "%!", "href", "<script", "<image", "map[", "file:"} {
				if strings.Contains(svg, bad) {
					t.Errorf("%s: contains %q", name, bad)
				}
			}
			for _, want := range []string{Caution, "Time since the last agitation", "% of evenly mixed", "<title>"} {
				if !strings.Contains(svg, want) {
					t.Errorf("%s: lacks %q", name, want)
				}
			}
			for _, m := range textElement.FindAllStringSubmatch(svg, -1) {
				x, size := number(t, m[1]), number(t, m[3])
				width := 0.5 * size * float64(len([]rune(m[5])))
				left := map[string]float64{"start": x, "middle": x - width/2, "end": x - width}[m[4]]
				if y := number(t, m[2]); left < 0 || left+width > pictureWidth || y < size || y > pictureHeight-8 {
					t.Errorf("%s: %q runs out of the picture", name, m[5])
				}
				if size < 24 {
					t.Errorf("%s: %q is too small", name, m[5])
				}
			}
			if again := Picture(r, PictureOptions{Theme: theme, U: 12, Safe: safe}); again != svg {
				t.Errorf("%s: drawn twice, the pictures differ", name)
			}
		}
	}
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// The words follow the result.
func TestPictureSays(t *testing.T) {
	all := pictures(t)
	for name, want := range map[string][]string{
		"vial":      {"Begin the draw within", "After that ", "Standard uncertainty 12 s", "clear", "as mixed", "bed", "tip", "agitate again"},
		"low tip":   {"After that the packed bed reaches the tip."},
		"no window": {"Do not let it stand", "too thin"},
		"open":      {"Draw at any time to 20 s"},
		"cone":      {"Narrowing vessel"},
		"lying":     {"syringe lying, nozzle 6.25 mm up"},
		"needle up": {"needle up", "Do not let it stand"},
	} {
		svg := Picture(all[name], PictureOptions{U: 12})
		for _, w := range want {
			if !strings.Contains(svg, w) {
				t.Errorf("%s: does not say %q", name, w)
			}
		}
	}
	svg := Picture(all["vial"], PictureOptions{Safe: 28.7, U: 12})
	if !strings.Contains(svg, ">Begin the draw within 28 s<") || !strings.Contains(svg, "With 95 % probability; "+clock(all["vial"].Window.Until)) {
		t.Error("the safe time is not in the headline")
	}
	if svg := Picture(all["vial"], PictureOptions{Times: []quantity.Span{0, 30, 90, 200, 250}}); !strings.Contains(svg, ">30 s<") || !strings.Contains(svg, ">3 min 20 s<") || strings.Contains(svg, ">4 min 10 s<") {
		t.Error("the times asked for are not the ones drawn")
	}
}

// A time is never rounded up: the window must not come out longer than it is.
func TestClockCutsToSeconds(t *testing.T) {
	for s, want := range map[quantity.Span]string{0: "0 s", 54.97: "54 s", 59.999: "59 s", 60: "1 min", 109.9: "1 min 49 s", 300: "5 min"} {
		if got := clock(s); got != want {
			t.Errorf("%v s reads %q, want %q", float64(s), got, want)
		}
	}
}
