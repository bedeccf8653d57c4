package paper

import (
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/boombuler/barcode/datamatrix"
	"github.com/makiuchi-d/gozxing"
	zxdatamatrix "github.com/makiuchi-d/gozxing/datamatrix"

	"vialwright/identity"
)

// pages rasterises every page and gives the names of the files.
func pages(t *testing.T, pdf []byte, dpi int) []string {
	t.Helper()
	dir := t.TempDir()
	run(t, "poppler-utils", "pdftoppm", "-r", fmt.Sprint(dpi), "-png", file(t, pdf), filepath.Join(dir, "p"))
	names, err := filepath.Glob(filepath.Join(dir, "p*.png"))
	if err != nil || len(names) == 0 {
		t.Fatalf("no pages: %v", err)
	}
	return names
}

func load(t *testing.T, name string) image.Image {
	t.Helper()
	f, err := os.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	return img
}

// zxing reads the Data Matrix of a picture with a reader that is not ours.
func zxing(img image.Image) (string, error) {
	bitmap, err := gozxing.NewBinaryBitmapFromImage(img)
	if err != nil {
		return "", err
	}
	r, err := zxdatamatrix.NewDataMatrixReader().Decode(bitmap, map[gozxing.DecodeHintType]any{gozxing.DecodeHintType_TRY_HARDER: true})
	if err != nil {
		return "", err
	}
	return r.GetText(), nil
}

// cut is the part of a label's page around its bar code.
func cut(img image.Image, d design, top float64) image.Image {
	dot := func(mm float64) int { return int(mm * 300 / 25.4) }
	box := image.Rect(dot(d.width-margin-d.right), dot(top), dot(d.width-margin), dot(top+d.right))
	return img.(interface {
		SubImage(image.Rectangle) image.Image
	}).SubImage(box)
}

// Two independent readers, libdmtx's dmtxread on the whole page and ZXing's Go
// port on the bar code's place, find the serial on every label as a 300 dpi
// printer would print it; dmtxread without its error correction.
func TestBarCodesReadBackAt300DPI(t *testing.T) {
	labels := everyLabel(t)
	for i, name := range pages(t, printed(t, labels...), 300) {
		want := labels[i].facts.Serial.Compact()
		out := run(t, "dmtx-utils", "dmtxread", "-N", "1", "-C", "0", name)
		if out != want {
			t.Errorf("page %d: dmtxread finds %q, want %q", i+1, out, want)
		}
		d, top := designs[labels[i].facts.Container], margin
		if labels[i].practice {
			top += 1.25*(d.head+1)*mmPerPoint + 0.6
		}
		got, err := zxing(cut(load(t, name), d, top))
		if err != nil || got != want {
			t.Errorf("page %d: ZXing finds %q, %v; want %q", i+1, got, err, want)
		}
	}
}

// Serials of every make, letters only or with digits in pairs, take symbols of
// different sizes; each reads back from the drawing that the label has.
func TestBarCodesOfManySerialsReadBack(t *testing.T) {
	sizes := map[int]int{}
	for i := range 400 {
		want := identity.New([16]byte{byte(37 * i), byte(i), 3: byte(91 * i), 9: byte(i * i), 15: byte(i)}).Compact()
		code, err := datamatrix.Encode(want)
		if err != nil {
			t.Fatal(err)
		}
		n := code.Bounds().Dx()
		sizes[n]++
		const dots, quiet = 5, 1
		img := image.NewGray(image.Rect(0, 0, (n+2*quiet)*dots, (n+2*quiet)*dots))
		for y := range img.Rect.Max.Y {
			for x := range img.Rect.Max.X {
				c, r := x/dots-quiet, y/dots-quiet
				if c >= 0 && r >= 0 && c < n && r < n && black(code.At(c, r)) {
					continue
				}
				img.SetGray(x, y, color.Gray{Y: 255})
			}
		}
		if got, err := zxing(img); err != nil || got != want {
			t.Errorf("ZXing finds %q, %v; want %q", got, err, want)
		}
	}
	if len(sizes) < 2 {
		t.Errorf("only symbols of %v modules were met", sizes)
	}
}

// A bar code needs a quiet zone of one module on every side (ISO/IEC 16022), and
// modules that a 300 dpi printer draws in whole dots. A serial of 12 characters takes 12
// codewords at most, and 12 is what a symbol of 16 by 16 modules holds.
func TestBarCodeModules(t *testing.T) {
	for c, d := range designs {
		dotsPerModule := d.module * 300 / 25.4
		if d.module < 0.3 || math.Abs(dotsPerModule-math.Round(dotsPerModule)) > 1e-9 {
			t.Errorf("%s: modules of %.4f mm", c, d.module)
		}
		if 18*d.module > d.right {
			t.Errorf("%s: %.2f mm leave no quiet zone around 16 modules of %.2f mm", c, d.right, d.module)
		}
	}
}

// 49 CFR part 172, appendix B: R, 1 1/2 R and 5 R. The black area of the symbol is
//
//	π·R²·(1 + (5² - 1.5²)/2) = 12.375·π·R²
//
// half of the ring being blades. Each black dot is a square of one pixel, so the
// count errs by about half the edge's length in pixels at random: 1e-3 of
// the area here. Points well inside each part are looked at one by one.
func TestTrefoil49CFR172AppendixB(t *testing.T) {
	const outer, centre, dpi = 20.0, 25.0, 600
	s := newPDF("symbol", software, clock("11:25"))
	s.page(2*centre, 2*centre)
	s.trefoil(centre, centre, outer)
	pdf, err := s.bytes()
	if err != nil {
		t.Fatal(err)
	}
	img := load(t, pages(t, pdf, dpi)[0])
	dark := func(x, y float64) bool { // mm from the centre, y up
		r, _, _, _ := img.At(int((centre+x)*dpi/25.4), int((centre-y)*dpi/25.4)).RGBA()
		return r < 0x8000
	}
	const r = outer / 5
	for degrees := range 360 {
		a := float64(degrees) * math.Pi / 180
		// Blades from 0 to 60, 120 to 180 and 240 to 300 degrees.
		blade := degrees/60%2 == 0
		if edge := degrees % 60; edge < 2 || edge > 58 {
			continue
		}
		for radius, want := range map[float64]bool{
			0.95 * r: true, 1.05 * r: false, 1.45 * r: false, 1.55 * r: blade, 4.95 * r: blade, 5.05 * r: false,
		} {
			if dark(radius*math.Cos(a), radius*math.Sin(a)) != want {
				t.Fatalf("at %d degrees and %.2f R: want black %v", degrees, radius/r, want)
			}
		}
	}
	count := 0
	for y := img.Bounds().Min.Y; y < img.Bounds().Max.Y; y++ {
		for x := img.Bounds().Min.X; x < img.Bounds().Max.X; x++ {
			if v, _, _, _ := img.At(x, y).RGBA(); v < 0x8000 {
				count++
			}
		}
	}
	area := float64(count) * math.Pow(25.4/dpi, 2)
	if want := 12.375 * math.Pi * r * r; math.Abs(area/want-1) > 1e-3 {
		t.Errorf("black area %.3f mm², want %.3f mm²", area, want)
	}
}
