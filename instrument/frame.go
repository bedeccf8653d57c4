package instrument

import "time"

// framer cuts a stream of bytes into lines. It never joins two pieces that may
// belong to different lines: what was there before the first line ending, and
// what follows an interruption, is set aside up to the next line ending.
type framer struct {
	p    *Parser
	gap  time.Duration // the longest silence within a line
	mode mode
	buf  []byte // the line so far, at most p.max+1 bytes
	prev byte
	last time.Time
}

// mode is what is known of the bytes that arrive.
type mode int

const (
	part  mode = iota // the line's beginning was not seen
	whole             // it was
	drop              // the line was refused already; wait for its end
)

// frame is a line, or the reason why there is none.
type frame struct {
	line []byte // valid until the next frame
	err  *Error // nil for a whole line
}

// push takes bytes that arrived at one instant and hands on what they end.
// Lines that are empty are no lines.
func (f *framer) push(chunk []byte, at time.Time, emit func(frame)) {
	if f.mode == whole && at.Sub(f.last) > f.gap {
		f.interrupt(emit)
	}
	f.last = at
	for _, b := range chunk {
		ends := f.ends(b)
		f.prev = b
		if ends {
			f.finish(emit)
			continue
		}
		f.add(b, emit)
	}
}

// interrupt deals with a pause: a line under way is torn; and where lines come
// steadily, bytes may have been lost between two lines too.
func (f *framer) interrupt(emit func(frame)) {
	if len(f.buf) > 0 {
		f.refuse(CodeTorn, "the line was interrupted for longer than "+f.gap.String(), "two halves are never joined; the rest of it is set aside", emit)
		f.mode = part
	}
	if f.p.steady {
		f.mode = part
	}
}

func (f *framer) ends(b byte) bool {
	switch f.p.ending {
	case endCRLF:
		return b == '\n' && f.prev == '\r'
	case endLF:
		return b == '\n'
	case endCR:
		return b == '\r'
	}
	return b == '\n' || b == '\r'
}

// add keeps a byte of the line, and refuses the line as soon as it is too
// long. With CR LF one byte more is kept: it may be the CR.
func (f *framer) add(b byte, emit func(frame)) {
	if f.mode == drop {
		return
	}
	if len(f.buf) < f.p.max || len(f.buf) == f.p.max && b == '\r' && f.p.ending == endCRLF {
		f.buf = append(f.buf, b)
		return
	}
	emit(frame{line: f.buf, err: f.p.tooLong(f.buf)})
	f.buf, f.mode = f.buf[:0], drop
}

func (f *framer) finish(emit func(frame)) {
	if f.p.ending == endCRLF && len(f.buf) > 0 {
		f.buf = f.buf[:len(f.buf)-1]
	}
	switch {
	case f.mode == drop || len(f.buf) == blanks(f.buf):
	case f.mode == part:
		f.refuse(CodePart, "the beginning of this line was not seen", "it is set aside, and the next one is read", emit)
	default:
		emit(frame{line: f.buf})
	}
	f.buf, f.mode = f.buf[:0], whole
}

// cut hands on the rest of a stream that ended within a line.
func (f *framer) cut(emit func(frame)) {
	if f.mode != drop && len(f.buf) > blanks(f.buf) {
		f.refuse(CodeTorn, "the connection ended within the line", "the line is set aside; read again", emit)
	}
}

// refuse hands on the bytes so far as no line.
func (f *framer) refuse(code, msg, hint string, emit func(frame)) {
	emit(frame{line: f.buf, err: refuse(code, string(f.buf), 0, msg, hint)})
	f.buf = f.buf[:0]
}
