package journal

import (
	"fmt"
	"slices"
	"strings"
	"sync"
	"time"

	"vialwright/fact"
)

// Records are the facts of a case file as records: nobody recorded them.
func Records(facts []fact.Fact) []Record {
	out := make([]Record, len(facts))
	for i, f := range facts {
		out[i].Fact = f
	}
	return Numbered(out)
}

// Entered are facts as somebody records them at a moment, in their order, the first
// under a number.
func Entered(facts []fact.Fact, at time.Time, by string, first int) []Record {
	out := Records(facts)
	for i := range out {
		out[i].Recorded, out[i].By, out[i].N = at, by, first+i
	}
	return out
}

// Numbered gives records that have no numbers those of a case file: none for
// what stands at the top, the others from 1. Records of a site have theirs.
func Numbered(records []Record) []Record {
	if slices.ContainsFunc(records, func(r Record) bool { return r.N > 0 }) {
		return records
	}
	out := slices.Clone(records)
	n := 0
	for i := range out {
		if !fact.IsHeader(out[i].Fact) {
			n++
			out[i].N = n
		}
	}
	return out
}

// Record is a fact as it stands in a journal: when it was entered and by whom.
type Record struct {
	// Recorded is when the fact was entered, which is seldom the time it
	// speaks of; it is written in UTC.
	Recorded time.Time
	// By is who entered it.
	By string
	// Form is the mark of the form that the record was made with, at most 64
	// characters; empty for one made without. What comes with the same mark by the
	// same person is the same form, sent once more.
	Form string
	Fact fact.Fact
	// N is the number of the record in the journal, by which other entries name
	// it for ever; it is not part of the encoding.
	N int
}

// version is the version of the encoding. Nothing was released with version 1.
const version = 2

// MostBytes is the length a record can have at most, in bytes; the longest
// that can be written is far shorter.
const MostBytes = 1 << 16

// RecordError says why a record cannot be read or written. Code is stable.
type RecordError struct {
	Code string
	// Field is the path of the field in the fact, such as "before.rate[2]";
	// "recorded", "by" and "kind" are those of the record.
	Field string
	// Offset is the number of bytes before the fault, -1 when writing.
	Offset    int
	Msg, Hint string
}

// Error gives where, what is wrong and the way out.
func (e *RecordError) Error() string {
	s := "record"
	if e.Offset >= 0 {
		s = fmt.Sprintf("record, byte %d", e.Offset)
	}
	if e.Field != "" {
		s += ": " + e.Field
	}
	s += ": " + e.Msg
	if e.Hint != "" {
		s += "; " + e.Hint
	}
	return s
}

// formBefore stands before the mark of a form, where there is one.
const formBefore = `,"form":`

// wrapper gives the fields of a record around its fact, for both directions.
func (r *Record) wrapper() (recorded, by fact.Scalar) {
	return fact.UTCAt(&r.Recorded), fact.TextAt(&r.By)
}

// Marshal gives the canonical bytes of a record, without a line end. It fails
// with a *RecordError where a field that must be given is absent or holds
// what could not be read back. What is merely wrong (a syringe drawn twice
// over) is for Fold to refuse.
func (r Record) Marshal() ([]byte, error) {
	return r.Append(nil)
}

// Append is Marshal onto dst.
func (r Record) Append(dst []byte) ([]byte, error) {
	if r.Fact == nil {
		return nil, &RecordError{Code: "missing", Field: "fact", Offset: -1, Msg: "the record holds no fact"}
	}
	r.Recorded = r.Recorded.UTC()
	recorded, by := r.wrapper()
	p, _ := printers.Get().(*Printer)
	defer p.release()
	p.Buf = append(dst, `{"v":2,"recorded":`...)
	part := func(v fact.Scalar, field, next string) *fact.Refusal {
		if bad := p.scalar(v); bad != nil {
			return bad.In(field)
		}
		p.Buf = append(p.Buf, next...)
		return nil
	}
	bad := part(recorded, "recorded", `,"by":`)
	kind := `,"kind":"` + fact.Word(r.Fact) + `","fact":`
	switch {
	case bad != nil:
	case r.Form == "":
		bad = part(by, "by", kind)
	default:
		if bad = part(by, "by", `,"form":`); bad == nil {
			bad = part(fact.TextAt(&r.Form), "form", kind)
		}
	}
	if bad == nil {
		bad = p.Group(r.Fact)
	}
	if bad != nil {
		return nil, &RecordError{bad.Code, bad.Path, -1, bad.Msg, bad.Hint}
	}
	return append(p.Buf, '}'), nil
}

// printers are kept for their stacks, as scanners are.
var printers = sync.Pool{New: func() any { return new(Printer) }}

func (p *Printer) release() {
	clear(p.stack[:cap(p.stack)]) // it points into the fact
	p.Buf, p.stack = nil, p.stack[:0]
	printers.Put(p)
}

// Encode gives the canonical JSON of a fact alone, without who recorded it and when.
func Encode(f fact.Fact) ([]byte, error) {
	var p Printer
	if bad := p.Group(f); bad != nil {
		return nil, bad
	}
	return p.Buf, nil
}

// Parse reads the canonical bytes of a record. What it reads, Marshal writes
// again with the same bytes; anything else is refused with a *RecordError.
func Parse(body string) (Record, error) {
	s, _ := scanners.Get().(*scanner)
	s.src, s.pos, s.stack = body, 0, s.stack[:0]
	r, bad := s.record()
	at := s.pos
	s.src = ""
	clear(s.stack[:cap(s.stack)]) // it points into the fact
	scanners.Put(s)
	if bad != nil {
		return Record{}, &RecordError{bad.Code, bad.Path, at, bad.Msg, bad.Hint}
	}
	return r, nil
}

// scanners are kept for their stacks, which are larger than most facts.
var scanners = sync.Pool{New: func() any { return new(scanner) }}

func (s *scanner) record() (r Record, bad *fact.Refusal) {
	if len(s.src) > MostBytes {
		return r, stop("too-long", "it is longer than %d bytes", MostBytes)
	}
	if bad = s.version(); bad != nil {
		return r, bad
	}
	recorded, by := r.wrapper()
	for _, part := range [...]struct {
		before, field string
		v             fact.Scalar
	}{{`,"recorded":`, "recorded", recorded}, {`,"by":`, "by", by}} {
		if bad = s.literal(part.before); bad != nil {
			return r, bad
		}
		if bad = s.scalar(part.v); bad != nil {
			return r, bad.In(part.field)
		}
	}
	if strings.HasPrefix(s.src[s.pos:], formBefore) {
		s.pos += len(formBefore)
		if bad = s.scalar(fact.TextAt(&r.Form)); bad != nil {
			return r, bad.In("form")
		}
	}
	if r.Fact, bad = s.Fact(); bad != nil {
		return r, bad
	}
	if s.pos != len(s.src) {
		return r, stop("not-canonical", "there is more text after the record")
	}
	return r, nil
}

// version reads the beginning of a record.
func (s *scanner) version() *fact.Refusal {
	if bad := s.literal(`{"v":`); bad != nil {
		return bad
	}
	start := s.pos
	v, bad := s.bare()
	if bad != nil {
		return bad
	}
	if v != "2" {
		s.pos = start
		return &fact.Refusal{Code: "unknown-version", Msg: fmt.Sprintf("the record has version %s; this program reads version %d", v, version), Hint: "use a newer release"}
	}
	return nil
}

// Fact reads the kind and the fact to the end of the record.
func (s *scanner) Fact() (fact.Fact, *fact.Refusal) {
	if bad := s.literal(`,"kind":`); bad != nil {
		return nil, bad
	}
	start := s.pos
	kind, bad := s.str()
	if bad != nil {
		return nil, bad.In("kind")
	}
	f := fact.Blank(kind)
	if f == nil {
		s.pos = start
		return nil, (&fact.Refusal{Code: "unknown-kind", Msg: "there is no kind of fact called " + fact.Quote(kind), Hint: "use a newer release"}).In("kind")
	}
	if bad := s.literal(`,"fact":`); bad != nil {
		return nil, bad
	}
	if bad := s.Group(f); bad != nil {
		return nil, bad
	}
	return f, s.literal("}")
}
