package journal

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"iter"
	"strconv"
	"strings"
	"time"

	"vialwright/fact"
)

// Hash is the SHA-256 of a link of the chain.
type Hash [sha256.Size]byte

// String gives 64 lower-case hexadecimal digits.
func (h Hash) String() string { return hex.EncodeToString(h[:]) }

// Head is the newest link of a journal: how many records there are and the
// hash that covers them all. The zero Head is that of an empty journal.
type Head struct {
	Seq  uint64 // number of the newest record, 0 where there is none
	Hash Hash
}

// Link is a record in its place in the chain.
type Link struct {
	// Seq counts from 1 without gaps.
	Seq  uint64
	Hash Hash
	// Body is the digest of the record, its salt and its canonical encoding, with
	// one space between; of one that was destroyed the digest alone.
	Body string
}

// Salt is what is hashed with a record, so that the digest of one that was
// destroyed does not tell what it was to anyone who can guess.
type Salt [16]byte

// digestLen and saltLen are their lengths in hexadecimal digits; few bodies are longer
// than usualLen.
const (
	digestLen = 2 * sha256.Size
	saltLen   = 2 * len(Salt{})
	usualLen  = 1 << 10
)

// digest is that of a salted record, the part of a body behind its digest.
func digest(salted []byte) (digits [digestLen]byte) {
	d := sha256.Sum256(salted)
	hex.Encode(digits[:], d[:])
	return digits
}

// Record reads the record of a link. It refuses with a *RecordError a body that
// is not its digest with what that is the digest of.
func (l Link) Record() (Record, error) {
	wrong := func(msg string) (Record, error) {
		return Record{}, &RecordError{Code: "digest", Offset: 0, Msg: msg, Hint: "the record or its digest was changed"}
	}
	switch {
	case len(l.Body) == digestLen && isHex(l.Body):
		return Record{N: int(l.Seq), Fact: &fact.Destroyed{}}, nil
	case len(l.Body) <= digestLen+1+saltLen || l.Body[digestLen] != ' ' || !isHex(l.Body[:digestLen]):
		return wrong("it does not begin with a digest of 64 hexadecimal digits")
	}
	salted := l.Body[digestLen+1:]
	if !isHex(salted[:saltLen]) || salted[saltLen] != ' ' {
		return wrong("no salt of 32 hexadecimal digits follows the digest")
	}
	if sum := digest(append(make([]byte, 0, usualLen), salted...)); string(sum[:]) != l.Body[:digestLen] {
		return wrong("the digest is not that of the record")
	}
	r, err := Parse(salted[saltLen+1:])
	r.N = int(l.Seq)
	return r, err
}

func isHex(s string) bool {
	for _, c := range []byte(s) {
		if (c < '0' || c > '9') && (c < 'a' || c > 'f') {
			return false
		}
	}
	return true
}

// Head is the head of a journal that ends with l.
func (l Link) Head() Head { return Head{l.Seq, l.Hash} }

// next is the hash of a link after a head:
//
//	SHA-256(prev + "\n" + seq + "\n" + digest + "\n")
//	digest = SHA-256(salt + " " + record)
//
// prev is the previous hash and salt the salt in hexadecimal digits (64 zeros
// before the first), seq the decimal number of the link, digest the beginning of
// its body, in hexadecimal digits.
func next(prev Hash, seq uint64, body string) Hash {
	body = body[:min(len(body), digestLen)]
	b := hex.AppendEncode(make([]byte, 0, 3*digestLen), prev[:])
	b = strconv.AppendUint(append(b, '\n'), seq, 10)
	b = append(append(append(b, '\n'), body...), '\n')
	return sha256.Sum256(b)
}

// Seal encodes records and links them after prev, each with a salt of its own. It
// fails, and seals nothing, with the *RecordError of the first that cannot be
// written.
func Seal(prev Head, salt func() Salt, records ...Record) ([]Link, error) {
	links := make([]Link, 0, len(records))
	body := make([]byte, digestLen, usualLen/2)
	for _, r := range records {
		s := salt()
		body = append(hex.AppendEncode(append(body[:digestLen], ' '), s[:]), ' ')
		var err error
		if body, err = r.Append(body); err != nil {
			return nil, err
		}
		sum := digest(body[digestLen+1:])
		copy(body, sum[:])
		l := Link{Seq: prev.Seq + 1, Body: string(body)}
		l.Hash = next(prev.Hash, l.Seq, l.Body)
		links, prev = append(links, l), l.Head()
	}
	return links, nil
}

// String gives the line of a link in a written-out journal, without a line
// end: seq, hash, digest, salt and record with one space between.
func (l Link) String() string {
	return strconv.FormatUint(l.Seq, 10) + " " + l.Hash.String() + " " + l.Body
}

// Withheld is the link without what it says: its digest alone, so that the chain still
// holds, as that of a record whose content was destroyed.
func (l Link) Withheld() Link {
	l.Body = l.Body[:min(digestLen, len(l.Body))]
	return l
}

// Report says what a journal that was verified holds.
type Report struct {
	Records uint64 // sound records
	// Destroyed are those of them whose content is no longer there.
	Destroyed uint64
	// First and Last are the recorded times of the first and the last record.
	First, Last time.Time
	// Backwards counts the records whose recorded time lies more than a minute before that
	// of the record above: the clock of the machine was put back. Less is usual where
	// two benches record at once, since each takes its time before its turn.
	Backwards uint64
	// Head covers the whole journal. A journal that was cut short at the end
	// is a sound shorter one: only comparing Head with one kept elsewhere
	// shows that.
	Head Head
}

// BrokenLink is the first link that does not hold. Code is stable.
type BrokenLink struct {
	Seq  uint64 // number that the link should have
	Code string
	Msg  string
	// Record says what is wrong with the body, nil where it can be read.
	Record *RecordError
}

// Error names the link.
func (e *BrokenLink) Error() string {
	s := fmt.Sprintf("link %d: %s", e.Seq, e.Msg)
	if e.Record != nil {
		s += ": " + e.Record.Error()
	}
	return s
}

// Unwrap gives what is wrong with the body.
func (e *BrokenLink) Unwrap() error {
	if e.Record == nil {
		return nil
	}
	return e.Record
}

// Verifier checks a journal link by link. The zero Verifier stands before the
// first link.
type Verifier struct {
	report Report
}

// VerifierBehind stands behind a head that was verified before.
func VerifierBehind(h Head) Verifier {
	return Verifier{report: Report{Records: h.Seq, Head: h}}
}

// VerifierAt stands behind the links of a report, all of which were verified before.
func VerifierAt(r Report) Verifier { return Verifier{report: r} }

// Report says what the links added so far hold.
func (v *Verifier) Report() Report { return v.report }

// Add checks the next link and gives its record. It refuses, in this order, a
// number that is not the next, a record of the old format, a hash that is not that of the link, and a body
// that is no record, each with a *BrokenLink; a link refused is not counted.
func (v *Verifier) Add(l Link) (Record, error) {
	r := &v.report
	if err := v.follows(l); err != nil {
		return Record{}, err
	}
	rec, err := l.Record()
	if err != nil {
		return Record{}, &BrokenLink{l.Seq, "record", "the record cannot be read", err.(*RecordError)}
	}
	_, destroyed := rec.Fact.(*fact.Destroyed)
	switch {
	case destroyed:
		r.Destroyed++
		rec.Recorded = r.Last
	case r.Records == 0:
		r.First = rec.Recorded
	case r.Last.Sub(rec.Recorded) > time.Minute:
		r.Backwards++
	}
	r.Records++
	r.Last, r.Head = rec.Recorded, l.Head()
	return rec, nil
}

// Pass checks that a link is the next, without looking into its record, which was
// verified before. It refuses as Add does, but for the body.
func (v *Verifier) Pass(l Link) error {
	if err := v.follows(l); err != nil {
		return err
	}
	v.report.Records++
	v.report.Head = l.Head()
	return nil
}

// follows asks whether a link is the next.
func (v *Verifier) follows(l Link) error {
	head := v.report.Head
	seq := head.Seq + 1
	switch {
	case l.Seq != seq:
		return &BrokenLink{Seq: seq, Code: "gap", Msg: fmt.Sprintf("link %d stands where link %d should", l.Seq, seq)}
	case strings.HasPrefix(l.Body, `{"v":1,`):
		return &BrokenLink{Seq: seq, Code: "old-format", Msg: "it is a record of format 1, from before the first release, and this program reads format 2: export its cases as case files with the program that wrote it, and import those into a new journal"}
	case next(head.Hash, l.Seq, l.Body) != l.Hash:
		return &BrokenLink{Seq: seq, Code: "hash", Msg: "the hash is not that of the record and the link before: one of them was changed"}
	}
	return nil
}

// Verify goes through a journal from its first link. It stops at the first
// fault with the *BrokenLink of Verifier.Add, or with the error of the
// sequence itself; the report then covers what came before.
func Verify(links iter.Seq2[Link, error]) (Report, error) {
	var v Verifier
	for l, err := range links {
		if err == nil {
			_, err = v.Add(l)
		}
		if err != nil {
			return v.Report(), err
		}
	}
	return v.Report(), nil
}
