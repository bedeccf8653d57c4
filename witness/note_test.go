package witness

import (
	"crypto/sha256"
	"strings"
	"testing"
	"time"

	"golang.org/x/mod/sumdb/note"
	"pgregory.net/rapid"

	"vialwright/journal"
)

// seeded gives bytes for keys that are the same at every run.
type seeded byte

func (s seeded) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = byte(s) + byte(i)
	}
	return len(p), nil
}

// keyOf gives an invented key of a site.
func keyOf(t testing.TB, seed byte, site string) (note.Signer, note.Verifier) {
	t.Helper()
	private, public, err := note.GenerateKey(seeded(seed), site)
	if err != nil {
		t.Fatal(err)
	}
	s, err := note.NewSigner(private)
	if err != nil {
		t.Fatal(err)
	}
	v, err := note.NewVerifier(public)
	if err != nil {
		t.Fatal(err)
	}
	return s, v
}

func hash(text string) journal.Hash { return sha256.Sum256([]byte(text)) }

func exampleNote() Note {
	return Note{
		Site: "hotlab", Head: journal.Head{Seq: 78, Hash: hash("78")}, First: hash("1"),
		At: time.Date(2027, 3, 4, 12, 10, 3, 0, time.UTC), Store: Store{Engine: "sqlite", Line: 4, Count: 57},
	}
}

// TestNoteIsASignedNote: the library that reads the notes of the checksum
// database reads ours, and what it gives is the text that was signed.
func TestNoteIsASignedNote(t *testing.T) {
	signer, verifier := keyOf(t, 1, "hotlab")
	data, err := Sign(exampleNote(), signer)
	if err != nil {
		t.Fatal(err)
	}
	got, err := note.Open(data, note.VerifierList(verifier))
	if err != nil || got.Text != exampleNote().Text() {
		t.Errorf("the library reads %q, %v", got.Text, err)
	}
	if n, err := Open(data, note.VerifierList(verifier)); err != nil || n != exampleNote() {
		t.Errorf("read again: %+v, %v", n, err)
	}
}

// TestNoteRefused: each refusal in its order.
func TestNoteRefused(t *testing.T) {
	signer, verifier := keyOf(t, 1, "hotlab")
	stranger, _ := keyOf(t, 2, "hotlab")
	good, err := Sign(exampleNote(), signer)
	if err != nil {
		t.Fatal(err)
	}
	unknown, err := Sign(exampleNote(), stranger)
	if err != nil {
		t.Fatal(err)
	}
	signed := func(text string) []byte {
		data, err := note.Sign(&note.Note{Text: text}, signer)
		if err != nil {
			t.Fatal(err)
		}
		return data
	}
	text := exampleNote().Text()
	for _, c := range []struct {
		name, code string
		data       []byte
	}{
		{"empty", "damaged-note", nil},
		{"too long", "damaged-note", []byte(strings.Repeat("x", MostBytes+1))},
		{"a digit changed", "damaged-note", []byte(strings.Replace(string(good), "records 78", "records 77", 1))},
		{"cut", "damaged-note", good[:len(good)-9]},
		{"a key that is not known", "unknown-key", unknown},
		{"another text", "damaged-note", signed("something else\n")},
		{"a line too many", "damaged-note", signed(text + "more 1\n")},
		{"a number in another way", "damaged-note", signed(strings.Replace(text, "records 78", "records 078", 1))},
		{"a use that is none", "damaged-note", signed(strings.Replace(text, "patients", "nobody", 1))},
		{"a time in another zone", "damaged-note", signed(strings.Replace(text, "12:10:03Z", "11:10:03-01:00", 1))},
		{"resumed by nobody", "damaged-note", signed(text + "resumed-by \nresumed-why x\n")},
		{"of another site", "other-site", signed(strings.Replace(text, "site hotlab", "site elsewhere", 1))},
	} {
		_, err := Open(c.data, note.VerifierList(verifier))
		if e, ok := err.(*Error); !ok || e.Code != c.code {
			t.Errorf("%s: %v, want %s", c.name, err, c.code)
		}
	}
	if _, err := Sign(Note{Site: "two words"}, signer); err == nil {
		t.Error("a note that cannot be read again was signed")
	}
	if _, err := Sign(exampleNote(), must(keyOf(t, 1, "other"))); err == nil {
		t.Error("a note was signed with the key of another site")
	}
}

func must(s note.Signer, _ note.Verifier) note.Signer { return s }

// TestEveryBitOfANote: a note with any one bit changed is refused, or says the
// same.
func TestEveryBitOfANote(t *testing.T) {
	signer, verifier := keyOf(t, 1, "hotlab")
	good, err := Sign(exampleNote(), signer)
	if err != nil {
		t.Fatal(err)
	}
	for i := range len(good) * 8 {
		bad := []byte(string(good))
		bad[i/8] ^= 1 << (i % 8)
		if n, err := Open(bad, note.VerifierList(verifier)); err == nil {
			t.Errorf("bit %d was changed, and the note is read as %+v", i, n)
		}
	}
}

// FuzzOpen: what is read as a note is written again with the same lines.
func FuzzOpen(f *testing.F) {
	signer, verifier := keyOf(f, 1, "hotlab")
	good, err := Sign(exampleNote(), signer)
	if err != nil {
		f.Fatal(err)
	}
	resumed := exampleNote()
	resumed.ResumedBy, resumed.ResumedWhy = "A. Example", "the disk was replaced"
	for _, s := range []string{string(good), exampleNote().Text(), resumed.Text(), "", title} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if n, err := Open([]byte(text), note.VerifierList(verifier)); err == nil && n != exampleNote() {
			t.Errorf("a forged note was read: %+v", n)
		}
		if n, err := Parse(text); err == nil && n.Text() != text {
			t.Errorf("%q is written again as %q", text, n.Text())
		}
	})
}

// TestNoteIsReadAsWritten: any note that can be signed is read again as it was.
func TestNoteIsReadAsWritten(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := Note{
			Site:     rapid.StringMatching(`[A-Za-z0-9][A-Za-z0-9._-]{0,31}`).Draw(t, "site"),
			Practice: rapid.Bool().Draw(t, "practice"),
			Head:     journal.Head{Seq: rapid.Uint64Range(0, 1<<63-1).Draw(t, "records"), Hash: hash(rapid.String().Draw(t, "hash"))},
			First:    hash(rapid.String().Draw(t, "first")),
			At:       time.Unix(rapid.Int64Range(0, 4102444800).Draw(t, "at"), 0).UTC(),
			Store:    Store{rapid.SampledFrom([]string{"", "sqlite", "postgres"}).Draw(t, "engine"), rapid.StringMatching(`[0-9]{0,20}`).Draw(t, "id"), rapid.Uint64().Draw(t, "line"), rapid.Uint64().Draw(t, "count")},
		}
		if got, err := Parse(n.Text()); err != nil || got != n {
			t.Fatalf("%+v is read as %+v, %v", n, got, err)
		}
	})
}

// TestCheckCharacter: the worked examples of the documentation of python-stdnum
// for the systems MOD 11,10 and MOD 37,36 of ISO/IEC 7064.
func TestCheckCharacter(t *testing.T) {
	const letters = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
	if got := check("79462", "0123456789"); got != '3' {
		t.Errorf("MOD 11,10: %c, want 3", got)
	}
	if got := check("A12425GABC1234002", letters); got != 'M' {
		t.Errorf("MOD 37,36: %c, want M", got)
	}
}

// TestDigits: what is printed is read again, however it is typed, and one wrong
// digit is found.
func TestDigits(t *testing.T) {
	h := hash("78")
	for _, n := range []int{12, 24, 64} {
		printed := Digits(h, n)
		for _, typed := range []string{printed, strings.ToUpper(printed), strings.ReplaceAll(printed, " ", ""), printed[:len(printed)-2], " " + printed} {
			if got, err := ReadDigits(typed); err != nil || got != h.String()[:n] {
				t.Errorf("%q is read as %q, %v", typed, got, err)
			}
		}
		for i, c := range []byte(printed) {
			for _, d := range []byte(hexDigits) {
				if wrong := printed[:i] + string(d) + printed[i+1:]; c != ' ' && c != '-' && c != d {
					if got, err := ReadDigits(wrong); err == nil {
						t.Fatalf("%q, printed as %q, is read as %q", wrong, printed, got)
					}
				}
			}
		}
	}
	for _, bad := range []string{"", "1234567", "12345678x", strings.Repeat("0", 65), "123456789-", "00000000-zz"} {
		if got, err := ReadDigits(bad); err == nil {
			t.Errorf("%q is read as %q", bad, got)
		}
	}
}
