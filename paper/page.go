package paper

import (
	"bytes"
	"time"

	"codeberg.org/go-pdf/fpdf"
)

// A PDF is measured in points of 1/72 inch; an inch is 25.4 mm.
const mmPerPoint = 25.4 / 72

// sheetOf is a PDF under way. All lengths are in mm from the top left corner,
// all type sizes in points.
type sheetOf struct {
	pdf *fpdf.Fpdf
	err error // the first thing that went wrong
}

// newPDF opens a document whose bytes depend on nothing but what is put in:
// the date of making comes from the caller, and catalogs are sorted.
func newPDF(title, software string, made time.Time) *sheetOf {
	pdf := fpdf.NewCustom(&fpdf.InitType{OrientationStr: "P", UnitStr: "mm"})
	pdf.SetCatalogSort(true)
	pdf.SetCreationDate(made.UTC())
	pdf.SetModificationDate(made.UTC())
	pdf.SetTitle(title, true)
	pdf.SetCreator(software, true)
	pdf.SetProducer(software, true)
	pdf.SetMargins(0, 0, 0)
	pdf.SetAutoPageBreak(false, 0)
	for f := regular; f <= mono; f++ {
		// The library writes into the bytes that it is given, so each
		// document gets its own.
		pdf.AddUTF8FontFromBytes(f.family(), "", []byte(f.ttf()))
	}
	return &sheetOf{pdf: pdf}
}

func (s *sheetOf) page(width, height float64) {
	s.pdf.AddPageFormat("P", fpdf.SizeType{Wd: width, Ht: height})
}

func (s *sheetOf) bytes() ([]byte, error) {
	if s.err != nil {
		return nil, s.err
	}
	var out bytes.Buffer
	if err := s.pdf.Output(&out); err != nil {
		return nil, &Error{Code: CodeWrite, Field: "PDF", Msg: err.Error()}
	}
	return out.Bytes(), nil
}

func (s *sheetOf) fail(err error) {
	if s.err == nil && err != nil {
		s.err = err
	}
}

func (s *sheetOf) width(f face, size float64, text string) float64 {
	s.pdf.SetFont(f.family(), "", size)
	return s.pdf.GetStringWidth(text)
}

// text puts a cleaned text with its left end and baseline at x, y.
func (s *sheetOf) text(f face, size, x, y float64, text string) {
	s.pdf.SetFont(f.family(), "", size)
	s.pdf.Text(x, y, text)
}

// ink sets the grey of text and areas: 0 is black, 255 white.
func (s *sheetOf) ink(grey int) {
	s.pdf.SetTextColor(grey, grey, grey)
	s.pdf.SetFillColor(grey, grey, grey)
}

func (s *sheetOf) area(x, y, width, height float64) {
	s.pdf.Rect(x, y, width, height, "F")
}

func (s *sheetOf) frame(x, y, width, height, thick float64) {
	s.pdf.SetLineWidth(thick)
	s.pdf.Rect(x, y, width, height, "D")
}

func (s *sheetOf) line(x1, y1, x2, y2, thick float64) {
	s.pdf.SetLineWidth(thick)
	s.pdf.Line(x1, y1, x2, y2)
}
