package paper

import (
	"math"

	"github.com/boombuler/barcode/datamatrix"
)

// trefoil fills the radiation symbol about x, y with the outer radius given:
//
//	disc of radius R; three blades of 60 degrees from 1.5 R to 5 R, one of
//	them pointing straight down
//
// The proportions are those of 49 CFR part 172, appendix B (R, 1 1/2 R, 5 R),
// and of ISO 361 (value from memory, not seen).
func (s *sheetOf) trefoil(x, y, outer float64) {
	r := outer / 5
	s.ink(0)
	s.pdf.Circle(x, y, r, "F")
	for _, middle := range []float64{-90, 30, 150} { // degrees, anticlockwise from three o'clock
		s.blade(x, y, 1.5*r, 5*r, middle-30, middle+30)
	}
}

// blade fills the part of a ring between two angles.
func (s *sheetOf) blade(x, y, inner, outer, from, to float64) {
	sin, cos := math.Sincos(from * math.Pi / 180)
	s.pdf.MoveTo(x+inner*cos, y-inner*sin)
	s.pdf.ArcTo(x, y, outer, outer, 0, from, to)
	s.pdf.ArcTo(x, y, inner, inner, 0, to, from)
	s.pdf.ClosePath()
	s.pdf.DrawPath("F")
}

// dataMatrix draws a Data Matrix ECC 200 symbol (ISO/IEC 16022) of the text
// with its modules module mm wide, centred in a white square of that size, and
// fails if that does not leave the quiet zone of one module on every side.
func (s *sheetOf) dataMatrix(field, text string, x, y, size, module float64) {
	code, err := datamatrix.Encode(text)
	if err != nil {
		s.fail(&Error{Code: CodeWrite, Field: field, Msg: err.Error()})
		return
	}
	n := code.Bounds().Dx()
	if float64(n+2)*module > size {
		s.fail(&Error{Code: CodeFit, Field: field, Msg: "the bar code is larger than its place"})
		return
	}
	s.ink(255)
	s.area(x, y, size, size)
	s.ink(0)
	left, top := onDot(x+(size-float64(n)*module)/2), onDot(y+(size-float64(n)*module)/2)
	// All modules are one path, so that no seam shows between neighbours.
	for row := range n {
		for from := 0; from < n; from++ {
			to := from
			for to < n && black(code.At(to, row)) {
				to++
			}
			if to > from {
				s.rectangle(left+float64(from)*module, top+float64(row)*module, float64(to-from)*module, module)
				from = to
			}
		}
	}
	s.pdf.DrawPath("f")
}

// onDot moves a coordinate to the nearest dot of a printer with 300 dots to the
// inch, on whose grid our modules are whole too.
func onDot(x float64) float64 {
	const dot = 25.4 / 300
	return math.Round(x/dot) * dot
}

func (s *sheetOf) rectangle(x, y, width, height float64) {
	s.pdf.MoveTo(x, y)
	s.pdf.LineTo(x+width, y)
	s.pdf.LineTo(x+width, y+height)
	s.pdf.LineTo(x, y+height)
	s.pdf.ClosePath()
}

func black(c interface{ RGBA() (r, g, b, a uint32) }) bool {
	r, _, _, _ := c.RGBA()
	return r < 0x8000
}
