package paper

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"

	"vialwright/quantity"
)

// caution stands at the foot of every page.
const caution = "Not a medical device. Verify every figure independently. Local codes, the licence, the package insert and licensed practice decide."

// The page is A4, 210 mm by 297 mm; lengths in mm, type sizes in points.
const (
	pageWidth, pageHeight = 210.0, 297.0
	sideMargin            = 15.0
	textWidth             = pageWidth - 2*sideMargin
	textBottom            = pageHeight - 22.0

	textSize  = 8.5
	tableSize = 7.8
	smallSize = 7.0
	headSize  = 10.5
)

// lead is the distance between lines of a type size.
func lead(size float64) float64 { return 1.25 * size * mmPerPoint }

// flow puts a sheet on pages, from top to bottom.
type flow struct {
	*sheetOf
	sheet Sheet
	y     float64 // the top of what comes next
	pages int
	again func() // draws what is repeated at the top of a new page
}

func (f *flow) newPage() {
	f.page(pageWidth, pageHeight)
	f.pages++
	f.ink(0)
	f.y = 12
	if f.sheet.Use == ForPractice {
		f.area(0, 0, pageWidth, 9)
		f.ink(255)
		f.centred(bold, 12, pageWidth/2, 6.4, "mark", markOf(f.sheet.Clock), textWidth)
		f.ink(0)
		f.y = 15
	}
	f.y += lead(13)
	f.text(bold, 13, sideMargin, f.y-1, visible(bold, f.sheet.Title))
	f.subject()
	f.line(sideMargin, f.y+0.8, pageWidth-sideMargin, f.y+0.8, 0.4)
	f.y += 4
}

func (f *flow) subject() {
	subject := visible(mono, f.sheet.Subject)
	if subject == "" {
		box := 10 * cellWidth
		f.frame(pageWidth-sideMargin-box, f.y-6, box, boxHeight, 0.25)
		f.text(regular, textSize, pageWidth-sideMargin-box-9, f.y-1, "Case")
		return
	}
	size := 11.0
	if w := f.width(mono, size, subject); w > textWidth/2 {
		size *= textWidth / 2 / w
	}
	f.text(mono, size, pageWidth-sideMargin-f.width(mono, size, subject), f.y-1, subject)
}

func (f *flow) footers() {
	s := f.sheet
	record := "This sheet is not from a record"
	if s.Head != "" {
		record = "Record head " + s.Head[:min(len(s.Head), 24)]
	}
	left := []string{"Printed " + show(s.Made, s.Zone) + "   " + s.Software + "   " + record, s.Foot}
	for n := 1; n <= f.pages; n++ {
		// The library leaves a font out that it believes to be set. The first
		// one here is never the last one of a foot, so each page gets its own.
		f.pdf.SetPage(n)
		f.ink(0)
		y := textBottom + 4
		f.line(sideMargin, y, pageWidth-sideMargin, y, 0.2)
		f.text(bold, smallSize, sideMargin, y+lead(smallSize), caution)
		for i, text := range left {
			f.text(regular, smallSize, sideMargin, y+float64(i+2)*lead(smallSize), visible(regular, text))
		}
		number := fmt.Sprintf("page %d of %d", n, f.pages)
		f.text(bold, textSize, pageWidth-sideMargin-f.width(bold, textSize, number), y+3*lead(smallSize), number)
	}
}

// room makes sure that a height is left on the page.
func (f *flow) room(height float64) {
	if f.y+height <= textBottom {
		return
	}
	f.newPage()
	if f.again != nil {
		f.again()
	}
}

// visible is the text with everything that the face cannot print written as
// its code point, and bytes that are no text as their value.
func visible(face face, text string) string {
	var b strings.Builder
	for text = norm.NFC.String(text); text != ""; {
		r, size := utf8.DecodeRuneInString(text)
		switch _, err := clean(face, "", text[:size]); {
		case r == utf8.RuneError && size == 1:
			fmt.Fprintf(&b, "[0x%02X]", text[0])
		case unicode.IsSpace(r):
			b.WriteByte(' ')
		case err != nil:
			fmt.Fprintf(&b, "[U+%04X]", r)
		default:
			b.WriteRune(r)
		}
		text = text[size:]
	}
	return b.String()
}

// wrap breaks a text into lines no wider than width, at its own line ends too.
func (f *flow) wrap(face face, size float64, text string, width float64) []string {
	var out []string
	for _, paragraph := range strings.Split(text, "\n") {
		lines := quantity.Lines(visible(face, paragraph), func(line string) bool { return f.width(face, size, line) <= width })
		if lines == nil {
			lines = []string{""}
		}
		out = append(out, lines...)
	}
	return out
}

func (f *flow) section(s Section) {
	if s.NewPage {
		f.newPage()
	}
	under := 0.0
	switch {
	case len(s.Rows) > 0:
		under = max(0, f.tall(s.Rows[0])-11) // what 16 leaves below the heading
	case len(s.Tables) > 0:
		under = f.first(s.Tables[0])
	}
	f.room(lead(headSize) + 16 + under) // not a heading alone at the foot
	f.y += 2.5
	f.ink(225)
	f.area(sideMargin, f.y, textWidth, lead(headSize)+0.6)
	f.ink(0)
	f.text(bold, headSize, sideMargin+1, f.y+lead(headSize)-0.8, visible(bold, s.Heading))
	f.y += lead(headSize) + 1.6
	for _, r := range s.Rows {
		f.row(r)
	}
	for _, t := range s.Tables {
		f.table(t)
	}
	for _, n := range s.Notes {
		f.lines(regular, textSize, sideMargin, textWidth, n)
	}
	if len(s.Rows)+len(s.Tables)+len(s.Notes) == 0 {
		f.lines(regular, textSize, sideMargin, textWidth, "Nothing recorded.")
	}
}

func (f *flow) lines(face face, size, x, width float64, text string) {
	for _, l := range f.wrap(face, size, text, width) {
		f.room(lead(size))
		f.text(face, size, x, f.y+0.8*lead(size), l)
		f.y += lead(size)
	}
}

// The columns of a row: label, value, older unit or instant.
const (
	labelWidth = 52.0
	valueWidth = 48.0
	valueAt    = sideMargin + labelWidth + 2
	alsoAt     = valueAt + valueWidth + 2
	alsoWidth  = pageWidth - sideMargin - alsoAt
)

func (f *flow) row(r Row) {
	if len(r.Blanks) > 0 {
		f.blanks(r)
		return
	}
	width := valueWidth
	if r.Beside() == "" {
		width += 2 + alsoWidth
	}
	f.room(f.tall(r)) // a value and its working on one page
	f.beside(textSize, []cell{
		{regular, sideMargin, labelWidth, r.Label}, {bold, valueAt, width, r.Said()}, {regular, alsoAt, alsoWidth, r.Beside()},
	})
	if r.How != "" {
		f.lines(regular, smallSize, valueAt, pageWidth-sideMargin-valueAt, r.How)
	}
	if r.Corrected != "" {
		f.lines(bold, smallSize, valueAt, pageWidth-sideMargin-valueAt, r.Corrected)
	}
	f.y += 0.4
}

// tall is the room that a row asks for: a value of one line with its working, 40 at most.
func (f *flow) tall(r Row) float64 {
	how := len(f.wrap(regular, smallSize, r.How, pageWidth-sideMargin-valueAt)) + len(f.wrap(bold, smallSize, r.Corrected, pageWidth-sideMargin-valueAt))
	return min(lead(textSize)+float64(how)*lead(smallSize), 40)
}

// cell is a text in a column.
type cell struct {
	face     face
	x, width float64
	text     string
}

// beside prints cells side by side; a very long one goes on over the page.
func (f *flow) beside(size float64, cells []cell) {
	var lines [][]string
	tallest := 0
	for _, c := range cells {
		l := f.wrap(c.face, size, c.text, c.width)
		lines = append(lines, l)
		tallest = max(tallest, len(l))
	}
	step := lead(size)
	f.room(min(float64(tallest)*step, 40))
	for i := range tallest {
		f.room(step)
		for j, c := range cells {
			if i < len(lines[j]) {
				f.text(c.face, size, c.x, f.y+0.8*step, lines[j][i])
			}
		}
		f.y += step
	}
}

// table prints a table; its heads are repeated on every page.
func (f *flow) table(t Table) {
	f.y += 1
	heads := func() {
		f.beside(tableSize, columns(t, bold, t.Heads))
		f.line(sideMargin, f.y+0.2, pageWidth-sideMargin, f.y+0.2, 0.2)
		f.y += 0.8
	}
	f.room(2*lead(tableSize) + f.first(t))
	heads()
	f.again = heads
	for _, c := range t.Cells {
		if len(c) > len(t.Heads) {
			f.fail(&Error{Code: CodeInvalid, Field: "table", Msg: "a row has more cells than the table has heads"})
		}
		f.beside(tableSize, columns(t, regular, c))
		f.y += 0.5
	}
	f.again = nil
	f.y += 1
}

// first is the height that the first row of a table needs beneath its heads, so
// that these never stand alone at the foot of a page.
func (f *flow) first(t Table) float64 {
	tallest := 2
	if len(t.Cells) > 0 {
		for _, c := range columns(t, regular, t.Cells[0]) {
			tallest = max(tallest, len(f.wrap(c.face, tableSize, c.text, c.width)))
		}
	}
	return min(float64(tallest)*lead(tableSize), 40)
}

func columns(t Table, face face, texts []string) []cell {
	widths := t.Widths
	if len(widths) != len(t.Heads) {
		widths = nil
		for range t.Heads {
			widths = append(widths, 1)
		}
	}
	total := 0.0
	for _, w := range widths {
		total += w
	}
	var out []cell
	x := sideMargin
	for i, w := range widths {
		w *= textWidth / total
		if i < len(texts) {
			out = append(out, cell{face, x, w - 1.5, texts[i]})
		}
		x += w
	}
	return out
}

// Boxes to write in, in mm.
const (
	cellWidth = 5.0
	boxHeight = 6.6
)

// placed is a blank at its place in a row of boxes.
type placed struct {
	Blank
	x, y float64 // y from the top of the row
}

// place lays boxes out beside one another, and below where they do not fit;
// boxes that belong together go to the next line together.
func (f *flow) place(blanks []Blank) (out []placed, height float64) {
	x, y := valueAt, 0.0
	for i, b := range blanks {
		if !b.With && x > valueAt && x+f.groupWidth(blanks[i:]) > pageWidth-sideMargin {
			x, y = valueAt, y+boxHeight+1.4
		}
		out = append(out, placed{b, x, y})
		x += f.blankWidth(b) + blankGap
	}
	if x-blankGap > pageWidth-sideMargin {
		f.fail(&Error{Code: CodeFit, Field: "boxes", Msg: "the boxes are wider than the page"})
	}
	return out, y + boxHeight + 1.4
}

// blankGap is the room between boxes.
const blankGap = 2.5

func (f *flow) blankWidth(b Blank) float64 {
	return f.width(regular, textSize, visible(regular, b.Before)) + float64(b.Cells)*cellWidth + f.width(bold, textSize, visible(bold, b.After)) + 2
}

func (f *flow) groupWidth(blanks []Blank) float64 {
	width := f.blankWidth(blanks[0])
	for _, b := range blanks[1:] {
		if !b.With {
			break
		}
		width += blankGap + f.blankWidth(b)
	}
	return width
}

func (f *flow) blanks(r Row) {
	boxes, height := f.place(r.Blanks)
	label := f.wrap(regular, textSize, r.Label, labelWidth)
	height = max(height, float64(len(label))*lead(textSize)+2.5)
	f.room(height)
	for i, l := range label {
		f.text(regular, textSize, sideMargin, f.y+4.6+float64(i)*lead(textSize), l)
	}
	for _, b := range boxes {
		x, y := b.x, f.y+b.y
		if before := visible(regular, b.Before); before != "" {
			f.text(regular, textSize, x, y+4.6, before)
			x += f.width(regular, textSize, before) + 1
		}
		if b.Cells > 0 {
			f.frame(x, y, float64(b.Cells)*cellWidth, boxHeight, 0.25)
			x += float64(b.Cells)*cellWidth + 1
		}
		f.text(bold, textSize, x, y+4.6, visible(bold, b.After))
	}
	f.y += height
	if r.How != "" {
		f.lines(regular, smallSize, valueAt, pageWidth-sideMargin-valueAt, r.How)
		f.y++
	}
}
