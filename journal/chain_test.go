package journal_test

import (
	"bytes"
	"errors"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"vialwright/fact"
	"vialwright/fact/facttest"
	"vialwright/journal"
)

func TestVerifyReports(t *testing.T) {
	links := facttest.Sealed(t, facttest.Worked(t))
	then := time.Date(2027, 3, 4, 11, 0, 0, 0, time.UTC)
	more, err := journal.Seal(links[len(links)-1].Head(), facttest.Salt,
		journal.Record{Recorded: then, By: "rp-1", Fact: &fact.Site{Zone: "UTC"}},
		journal.Record{Recorded: then.Add(-time.Second), By: "rp-2", Fact: &fact.Site{Zone: "UTC"}}) // who waited for their turn
	if err != nil {
		t.Fatal(err)
	}
	links = append(links, more...)
	got, err := journal.Verify(facttest.Seq(links))
	if err != nil {
		t.Fatal(err)
	}
	want := journal.Report{
		Records: 13, Backwards: 1, Head: links[12].Head(),
		First: time.Date(2027, 3, 4, 12, 0, 0, 0, time.UTC), Last: then.Add(-time.Second),
	}
	if got != want {
		t.Errorf("report %+v, want %+v", got, want)
	}
	if empty, err := journal.Verify(facttest.Seq(nil)); err != nil || empty != (journal.Report{}) {
		t.Errorf("an empty journal: %+v, %v", empty, err)
	}
}

func TestVerifyRefuses(t *testing.T) {
	links := facttest.Sealed(t, facttest.Worked(t))
	for _, c := range []struct {
		name    string
		spoil   func(t *testing.T, l []journal.Link) []journal.Link
		code    string
		message string
	}{
		{"a record taken out", func(t *testing.T, l []journal.Link) []journal.Link { return append(l[:4], l[5:]...) }, "gap", "link 5: link 6 stands where link 5 should"},
		{"the first taken off", func(t *testing.T, l []journal.Link) []journal.Link { return l[1:] }, "gap", "link 1: link 2 stands where link 1 should"},
		{"taken out and renumbered", func(t *testing.T, l []journal.Link) []journal.Link {
			l = append(l[:4], l[5:]...)
			l[4].Seq = 5
			return l
		}, "hash", "link 5: the hash is not that of the record and the link before: one of them was changed"},
		{"a digit changed", func(t *testing.T, l []journal.Link) []journal.Link {
			l[6].Body = strings.Replace(l[6].Body, "2.2 mL", "2.3 mL", 1)
			return l
		}, "record", "link 7: the record cannot be read: record, byte 0: the digest is not that of the record; "},
		{"a digit of a digest changed", func(t *testing.T, l []journal.Link) []journal.Link {
			l[6].Body = "0" + l[6].Body
			return l
		}, "hash", "link 7: the hash is not that of the record and the link before: one of them was changed"},
		{"a salt changed", func(t *testing.T, l []journal.Link) []journal.Link {
			l[6].Body = strings.Replace(l[6].Body, " 0102", " 0103", 1)
			return l
		}, "record", "link 7: the record cannot be read: record, byte 0: the digest is not that of the record; "},
		{"two exchanged", func(t *testing.T, l []journal.Link) []journal.Link {
			l[2].Body, l[3].Body = l[3].Body, l[2].Body
			return l
		}, "hash", "link 3: the hash is not that of the record and the link before: one of them was changed"},
		{"a record of before the first release", func(t *testing.T, l []journal.Link) []journal.Link {
			l[2].Body = strings.Replace(facttest.DrawBody, `"v":2`, `"v":1`, 1)
			return l
		}, "old-format", "link 3: it is a record of format 1, from before the first release, and this program reads format 2: "},
		{"what is no record, sealed", func(t *testing.T, l []journal.Link) []journal.Link {
			l[0].Body = "{}"
			l[0].Hash = hashOf(t, journal.Hash{}, "1", "{}")
			return l[:1]
		}, "record", "link 1: the record cannot be read: record, byte 0: it does not begin with a digest of 64 hexadecimal digits; "},
	} {
		t.Run(c.name, func(t *testing.T) {
			spoiled := c.spoil(t, append([]journal.Link(nil), links...))
			_, err := journal.Verify(facttest.Seq(spoiled))
			var e *journal.BrokenLink
			if !errors.As(err, &e) {
				t.Fatalf("not refused: %v", err)
			}
			if e.Code != c.code || !strings.HasPrefix(e.Error(), c.message) {
				t.Errorf("%s %s, want %s %s", e.Code, e.Error(), c.code, c.message)
			}
			var inner *journal.RecordError
			if errors.As(err, &inner) != (c.code == "record") || inner != nil && inner.Code != "digest" {
				t.Errorf("the error beneath is %v", inner)
			}
		})
	}
}

func TestVerifyPassesOnTheErrorOfTheSequence(t *testing.T) {
	broken := errors.New("the disk is gone")
	links := facttest.Sealed(t, facttest.Worked(t))
	got, err := journal.Verify(func(yield func(journal.Link, error) bool) {
		_ = yield(links[0], nil) && yield(journal.Link{}, broken)
	})
	if err != broken || got.Records != 1 {
		t.Errorf("%+v, %v", got, err)
	}
}

// TestAnyChangeBreaksTheChain changes one byte of a written-out journal.
func TestAnyChangeBreaksTheChain(t *testing.T) {
	text := written(facttest.Sealed(t, facttest.Worked(t)))
	rapid.Check(t, func(t *rapid.T) {
		i := rapid.IntRange(0, len(text)-2).Draw(t, "place") // the last line end may go
		b := rapid.Byte().Draw(t, "byte")
		if text[i] == b {
			t.Skip("the same byte")
		}
		spoiled := []byte(text)
		spoiled[i] = b
		if _, err := verifyText(string(spoiled)); err == nil {
			t.Fatalf("byte %d changed from %q to %q is not noticed", i, text[i], b)
		}
	})
}

func written(links []journal.Link) string {
	var b strings.Builder
	for _, l := range links {
		b.WriteString(l.String() + "\n")
	}
	return b.String()
}

// verifyText verifies a written-out journal.
func verifyText(text string) (journal.Report, error) {
	return journal.Verify(func(yield func(journal.Link, error) bool) {
		for line := range strings.SplitSeq(strings.TrimSuffix(text, "\n"), "\n") {
			l, err := facttest.ParseLink(line)
			if !yield(l, err) {
				return
			}
		}
	})
}

// python runs a program of Debian's Python; the test is skipped where there is
// none, and fails where there must be.
func python(tb testing.TB, program string, stdin []byte) string {
	tb.Helper()
	if testing.Short() {
		tb.Skip("-short: the program that it is compared with is not asked")
	}
	const python3 = "/usr/bin/python3"
	absent := func(what string) {
		tb.Helper()
		if os.Getenv("CI") == "true" {
			tb.Fatal("the independent program needs " + what)
		}
		tb.Skip("no " + what + " for the independent program")
	}
	if _, err := os.Stat(python3); err != nil {
		absent(python3)
	}
	cmd := exec.Command(python3, "-c", program)
	cmd.Stdin = bytes.NewReader(stdin)
	var complaint bytes.Buffer
	cmd.Stderr = &complaint
	out, err := cmd.Output()
	if strings.Contains(complaint.String(), "ModuleNotFoundError") {
		absent("a module of Python: " + complaint.String())
	}
	if err != nil {
		tb.Fatalf("python: %v\n%s", err, complaint.String())
	}
	return string(out)
}

// hashOf is the hash of a link by the standard library of Python.
func hashOf(tb testing.TB, prev journal.Hash, seq, body string) journal.Hash {
	tb.Helper()
	out := python(tb, `import sys, hashlib; print(hashlib.sha256(sys.stdin.buffer.read()).hexdigest())`,
		[]byte(prev.String()+"\n"+seq+"\n"+body+"\n"))
	l, err := facttest.ParseLink("1 " + strings.TrimSpace(out) + " x")
	if err != nil {
		tb.Fatal(err)
	}
	return l.Hash
}

// verifier verifies a written-out journal without this program.
const verifier = `
import sys, hashlib
prev = "0" * 64
for n, line in enumerate(sys.stdin.buffer.read().splitlines(), 1):
    seq, hash, digest, *salted = line.split(b" ", 3)
    prev = hashlib.sha256(prev.encode() + b"\n%d\n" % n + digest + b"\n").hexdigest()
    assert int(seq) == n and hash.decode() == prev, n
    assert not salted or hashlib.sha256(salted[0]).hexdigest() == digest.decode(), n
print(n, prev)
`

func TestVerifiedWithoutThisProgram(t *testing.T) {
	links := facttest.Sealed(t, facttest.Decode(t, facttest.File(t, "all-kinds.yaml")).Facts)
	head := links[len(links)-1].Head()
	got := python(t, verifier, []byte(written(links)))
	if want := strconv.Itoa(len(links)) + " " + head.Hash.String() + "\n"; got != want {
		t.Errorf("python: %s, want %s", got, want)
	}
	back, err := verifyText(written(links))
	if err != nil || back.Head != head {
		t.Errorf("%+v, %v", back, err)
	}
	// What a retention has ended for is destroyed; the chain holds without it.
	links[3].Body = links[3].Body[:64]
	if got := python(t, verifier, []byte(written(links))); !strings.HasSuffix(got, head.Hash.String()+"\n") {
		t.Errorf("python: %s", got)
	}
	back, err = verifyText(written(links))
	if err != nil || back.Head != head || back.Destroyed != 1 {
		t.Errorf("%+v, %v", back, err)
	}
}
