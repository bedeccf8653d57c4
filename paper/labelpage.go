package paper

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"vialwright/quantity"
)

// The words that every label bears. The first three lines are those of 10 CFR
// 20.1904(a).
const (
	cautionOne   = "CAUTION"
	cautionTwo   = "RADIOACTIVE"
	cautionThree = "MATERIAL"
	practiceMark = "PRACTICE - NOT FOR PATIENT USE"
	useLine      = "Check patient and order. Resuspend."
)

// design is the layout of one size of label: three columns, with the symbol
// on the left, the words in the middle and the bar code on the right. Lengths
// are in mm, type sizes in points.
type design struct {
	width, height float64
	left, right   float64 // widths of the outer columns
	module        float64 // of the bar code; whole dots of a 300 dpi printer
	act           float64 // activity
	head          float64 // material, patient, order
	body          float64 // everything else
	fine          float64 // the line of use
	caution       float64
	least         float64 // what a row shrinks to and no further
	serial        float64
	stacked       bool // the two units of activity one above the other
}

// margin is kept free all round, for printers that do not reach the edge.
const margin = 1.5

// dots is a length in dots of a printer with 300 to the inch.
func dots(n float64) float64 { return n * 25.4 / 300 }

var designs = map[Container]design{
	Syringe: {
		width: 80, height: 38, left: 17, right: 13, module: dots(6),
		act: 14, head: 8, body: 7, fine: 6, caution: 6.5, serial: 8, least: 5,
	},
	AdministrationVial: {
		width: 76, height: 38, left: 15, right: 12, module: dots(5),
		act: 11.5, head: 7.5, body: 6.5, fine: 5.5, caution: 6, serial: 7.5, least: 5,
	},
	Shield: {
		width: 110, height: 62, left: 23, right: 20, module: dots(9),
		act: 20, head: 11, body: 8.5, fine: 7.5, caution: 9.5, serial: 12, least: 6.5, stacked: true,
	},
	Box: {
		width: 120, height: 80, left: 25, right: 22, module: dots(10),
		act: 26, head: 12, body: 9, fine: 8, caution: 10, serial: 13, least: 6.5, stacked: true,
	},
}

// smallest is the least type size on a label, in points.
const smallest = 5

// part is one fact of a row.
type part struct{ field, text string }

// row is one line of the middle column. It shrinks if it has to, to the least
// size of the design.
type row struct {
	face  face
	size  float64
	parts []part
}

func (s *sheetOf) label(l Label) {
	d := designs[l.facts.Container]
	s.page(d.width, d.height)
	top := margin
	if l.practice {
		top += s.practiceBand(d, l.facts.Clock)
	}
	s.leftColumn(d, l.facts, top)
	s.rightColumn(d, l.facts, top)
	s.middleColumn(d, l.rows(d), top)
}

// markOf is the mark of practice, with what is said of a clock that was put
// forward.
func markOf(clock string) string {
	if clock == "" {
		return practiceMark
	}
	return practiceMark + ", " + clock
}

// practiceBand draws the mark over the whole width and gives its height.
func (s *sheetOf) practiceBand(d design, clock string) float64 {
	size := d.head + 1
	height := 1.25 * size * mmPerPoint
	s.ink(0)
	s.area(0, 0, d.width, margin+height)
	s.ink(255)
	s.centred(bold, size, d.width/2, margin+0.95*size*mmPerPoint, "mark", markOf(clock), d.width-2*margin)
	s.ink(0)
	return height + 0.6
}

func (s *sheetOf) leftColumn(d design, f Facts, top float64) {
	line := 1.15 * d.caution * mmPerPoint
	bottom := d.height - margin
	words := 3 * line
	name := 1.2 * smallestOr(d.body-1) * mmPerPoint
	radius := min(d.left, bottom-top-words-name-1) / 2
	x := margin + d.left/2
	s.trefoil(x, top+radius, radius)
	y := top + 2*radius + 1
	for _, w := range []string{cautionOne, cautionTwo, cautionThree} {
		y += line
		s.centred(bold, d.caution, x, y-0.25*d.caution*mmPerPoint, "caution", w, d.left)
	}
	s.centred(regular, smallestOr(d.body-1), x, bottom-0.2*name, "container", string(f.Container), d.left)
}

// rightColumn draws the bar code, the serial under it, and which copy it
// is, where it is not the first.
func (s *sheetOf) rightColumn(d design, f Facts, top float64) {
	left := d.width - margin - d.right
	s.dataMatrix("serial", f.Serial.Compact(), left, top, d.right, d.module)
	line := 1.15 * d.serial * mmPerPoint
	y := top + d.right + 0.3
	for _, four := range strings.Split(f.Serial.String(), "-") {
		y += line
		s.centred(mono, d.serial, left+d.right/2, y-0.25*d.serial*mmPerPoint, "serial", four, d.right)
	}
	if f.Reprint == 0 {
		return
	}
	size := d.body
	height := 1.3 * size * mmPerPoint
	bottom := d.height - margin
	s.ink(0)
	s.area(left, bottom-height, d.right, height)
	s.ink(255)
	s.centred(bold, size, left+d.right/2, bottom-0.32*height, "reprint", "COPY "+strconv.Itoa(f.Reprint+1), d.right-0.6)
	s.ink(0)
}

func (s *sheetOf) middleColumn(d design, rows []row, top float64) {
	left := margin + d.left + 1.5
	width := d.width - margin - d.right - 1.5 - left
	need := 0.0
	for _, r := range rows {
		need += r.size * mmPerPoint
	}
	gap := (d.height - margin - top - need) / float64(len(rows))
	if gap < 0.05*d.body*mmPerPoint {
		s.fail(&Error{Code: CodeFit, Field: "label", Msg: "the rows are higher than the label"})
	}
	y := top
	for _, r := range rows {
		y += gap/2 + 0.8*r.size*mmPerPoint
		s.fitted(r, left, y, width, d.least)
		y += 0.2*r.size*mmPerPoint + gap/2
	}
}

// fitted draws a row no wider than width, shrunk if needed; at less than the
// least size it fails and names the longest fact of the row.
func (s *sheetOf) fitted(r row, x, y, width, least float64) {
	var texts []string
	longest := r.parts[0]
	for i, p := range r.parts {
		clean, err := clean(r.face, p.field, p.text)
		if err != nil {
			s.fail(err)
			return
		}
		texts = append(texts, clean)
		if i > 0 && s.width(r.face, 1, clean) > s.width(r.face, 1, longest.text) {
			longest = p
		}
	}
	text := strings.Join(texts, "   ")
	size := r.size
	if w := s.width(r.face, size, text); w > width {
		size *= width / w
	}
	if size < least {
		s.fail(&Error{
			Code: CodeFit, Field: longest.field, Msg: fmt.Sprintf("%q does not fit on this label", longest.text),
			Hint: "shorten it in the order, or print a larger label",
		})
		return
	}
	s.text(r.face, size, x, y, text)
}

// centred draws a text about x, shrunk to width; the texts are our own, the
// serial's and the counts'.
func (s *sheetOf) centred(f face, size, x, y float64, field, text string, width float64) {
	text, err := clean(f, field, text)
	if err != nil {
		s.fail(err)
		return
	}
	w := s.width(f, size, text)
	if w > width {
		size, w = size*width/w, width
	}
	if size < smallest {
		s.fail(&Error{Code: CodeFit, Field: field, Msg: fmt.Sprintf("%q does not fit on this label", text)})
		return
	}
	s.text(f, size, x-w/2, y, text)
}

func smallestOr(size float64) float64 { return max(size, smallest) }

// rows are the facts in the order in which they are read.
func (l Label) rows(d design) []row {
	f := l.facts
	first, second := quantity.BothDigits(f.Activity, max(3, f.Digits), ActivityUnit(f.Activity), "mCi")
	both := []part{{"activity", first}, {"activity", "=  " + second}}
	from, until := window(f.ValidFrom, f.ValidUntil, f.Zone)
	rows := []row{{bold, d.head, []part{{"material", f.Material}}}}
	if d.stacked {
		rows = append(rows, row{bold, d.act, both[:1]}, row{bold, d.act, both[1:]})
	} else {
		rows = append(rows, row{bold, d.act, both})
	}
	order := []part{{"order", "Order " + f.Order}, {"order version", "version " + f.Version}}
	dose := []part{{"sub-dose", fmt.Sprintf("Dose %d of %d", f.SubDose, f.SubDoses)}, {"territory", f.Territory}}
	rows = append(rows,
		row{bold, d.body, []part{{"activity time", "at " + show(f.At, f.Zone)}}},
		row{mono, d.head, []part{{"patient", strings.Join(f.Patient, "  ")}}},
		row{bold, d.head, order},
	)
	if d.stacked {
		rows = append(rows, row{bold, d.head, dose[:1]}, row{bold, d.head, dose[1:]})
	} else {
		rows = append(rows, row{bold, d.head, dose})
	}
	valid, way := []part{{"valid from", "Valid from " + from}}, part{"way", f.Way}
	if f.Container != AdministrationVial { // no height is left for one more row
		valid = append(valid, way)
	}
	rows = append(rows,
		row{regular, d.body, valid},
		row{regular, d.body, []part{{"valid until", "until " + until}}},
		row{regular, d.body, []part{{"volume", "Volume " + quantity.FormatDigits(f.Volume, 3, "mL")}, {"lot", "Lot " + f.Lot}}},
		row{regular, d.fine, []part{{"half-life", "T½ " + quantity.FormatDigits(f.HalfLife, 6, "h")}, {"use", useLine}}},
	)
	if f.Container == AdministrationVial {
		rows = slices.Insert(rows, len(rows)-1, row{bold, d.body, []part{way}})
	}
	return rows
}

// ActivityUnit is the unit that suits an activity on a label: GBq or MBq.
func ActivityUnit(a quantity.Activity) string {
	if a >= quantity.GigaBecquerel {
		return "GBq"
	}
	return "MBq"
}

func show(t time.Time, zone *time.Location) string { return quantity.ShowTime(t.In(zone)) }

// window is a span of time as printed, in whole minutes. The offset is left off
// the start if the end has the same.
func window(from, until time.Time, zone *time.Location) (start, end string) {
	first, last := quantity.WholeMinutes(from, until)
	start, end = show(first, zone), show(last, zone)
	if head, offset, _ := strings.Cut(start, " ("); strings.HasSuffix(end, " ("+offset) {
		start = head
	}
	return start, end
}
