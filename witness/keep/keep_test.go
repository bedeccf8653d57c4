package keep

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"go.uber.org/goleak"
	"golang.org/x/mod/sumdb/note"

	"vialwright/fact"
	"vialwright/journal"
	"vialwright/store/postgres/pgtest"
	"vialwright/witness"
)

func TestMain(m *testing.M) {
	status := m.Run()
	pgtest.Stop()
	if err := goleak.Find(); status == 0 && err != nil {
		fmt.Fprintln(os.Stderr, err)
		status = 1
	}
	os.Exit(status)
}

type seeded byte

func (s seeded) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = byte(s) + byte(i)
	}
	return len(p), nil
}

func keyOf(t testing.TB, seed byte, site string) (note.Signer, note.Verifier) {
	t.Helper()
	private, public, err := note.GenerateKey(seeded(seed), site)
	if err != nil {
		t.Fatal(err)
	}
	s, err1 := note.NewSigner(private)
	v, err2 := note.NewVerifier(public)
	if err := errors.Join(err1, err2); err != nil {
		t.Fatal(err)
	}
	return s, v
}

// of gives a journal of so many records.
func of(records uint64) witness.Journal {
	return witness.Journal{Site: "hotlab", Records: records, Hash: func(n uint64) journal.Hash {
		return sha256.Sum256([]byte(fmt.Sprint(n)))
	}}
}

func keeper(t testing.TB, beside string, places ...string) *Keeper {
	t.Helper()
	s, v := keyOf(t, 1, "hotlab")
	k, err := New(Options{Key: s, Known: []note.Verifier{v}, Places: places, Beside: beside, Clock: time.Now})
	if err != nil {
		t.Fatal(err)
	}
	return k
}

// TestPlaces: what is put at a place is found there by the next program, and
// contradicts a shorter journal. A strip is printed and not read again.
func TestPlaces(t *testing.T) {
	for name, place := range map[string]func(t *testing.T) string{
		"folder":   func(t *testing.T) string { return t.TempDir() },
		"database": func(t *testing.T) string { return pgtest.Shared(t).Database(t) },
	} {
		t.Run(name, func(t *testing.T) {
			where, strips := place(t), t.TempDir()
			k := keeper(t, "", where, "strip:"+strips)
			if err := k.Judge(t.Context(), of(70)); err != nil {
				t.Fatal(err)
			}
			k.Taken(of(78), []journal.Record{{Fact: &fact.Release{}}})
			k.Close()
			again := keeper(t, "", where)
			defer again.Close()
			told, faults := again.Ask(t.Context())
			if len(faults) > 0 || len(told) == 0 || told[0].Note.Head != (journal.Head{Seq: 78, Hash: of(78).Hash(78)}) {
				t.Fatalf("found %+v, %v", told, faults)
			}
			var fault *witness.Fault
			if err := again.Judge(t.Context(), of(70)); !errors.As(err, &fault) || fault.Place != where && name == "folder" {
				t.Errorf("a shorter journal: %v", err)
			}
			printed, err := filepath.Glob(filepath.Join(strips, "hotlab-*.txt"))
			if err != nil || len(printed) == 0 {
				t.Fatalf("printed %v, %v", printed, err)
			}
			text, err := os.ReadFile(printed[len(printed)-1])
			if err != nil || !strings.Contains(string(text), witness.Digits(of(78).Hash(78), 24)) {
				t.Errorf("printed %q, %v", text, err)
			}
		})
	}
}

// TestResume: a journal that is contradicted goes on once somebody said so.
func TestResume(t *testing.T) {
	dir, beside := t.TempDir(), filepath.Join(t.TempDir(), "lab.head")
	k := keeper(t, beside, dir)
	if err := k.Judge(t.Context(), of(78)); err != nil {
		t.Fatal(err)
	}
	k.Taken(of(79), nil)
	k.Close()
	for _, want := range []bool{true, false} {
		k := keeper(t, beside, dir)
		defer func() {
			if f := k.Faults(); !want && (len(f) != 1 || f[0].Code != "resumed" || f[0].Stop) {
				t.Errorf("after it was let go on, it is said %+v", f)
			}
		}()
		if err := k.Judge(t.Context(), of(70)); (err != nil) != want {
			t.Errorf("stopped: %v, want %v", err, want)
		}
		k.o.Clock = func() time.Time { return time.Now().Add(time.Second) } // notes tell seconds apart
		if !want {
			k.Taken(of(71), nil)
			k.Close()
			if s := k.Standing(); s[0].Last.Head.Seq != 71 {
				t.Errorf("after it went on the newest note is of record %d, want 71", s[0].Last.Head.Seq)
			}
			return
		}
		if err := k.Resume(t.Context(), of(70), "A. Example", "the disk was replaced"); err != nil {
			t.Fatal(err)
		}
		k.Close()
	}
}

// full is a place that takes nothing while it is full, or hangs.
type full struct {
	mu    sync.Mutex
	why   error
	hangs bool
	got   []uint64
}

func (*full) name() string { return "full" }
func (*full) close()       {}
func (f *full) put(ctx context.Context, n witness.Note, _ []byte) error {
	f.mu.Lock()
	hangs, why := f.hangs, f.why
	f.mu.Unlock()
	if hangs {
		<-ctx.Done()
		return ctx.Err()
	}
	if why == nil {
		f.mu.Lock()
		defer f.mu.Unlock()
		f.got = append(f.got, n.Head.Seq)
	}
	return why
}

func (f *full) set(why error, hangs bool) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.why, f.hangs = why, hangs
}
func (*full) notes(context.Context, string, int) ([][]byte, error) { return nil, nil }

// TestPlaceIsFull: a place that is full, gone or hangs holds up nobody. It says
// since when, gets every note once it takes them again, and none is lost.
func TestPlaceIsFull(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		dir := t.TempDir()
		k := keeper(t, "", dir)
		bad := &full{why: errors.New("no space left on device")}
		k.posts = append(k.posts, newPost(bad, time.Now))
		if err := k.Judge(t.Context(), of(10)); err != nil {
			t.Fatal(err)
		}
		since := time.Now()
		synctest.Wait()
		k.Taken(of(11), []journal.Record{{Fact: &fact.Close{}}})
		synctest.Wait()
		s := k.Standing()
		if s[0].Last.Head.Seq != 11 || !s[0].Since.IsZero() {
			t.Errorf("the place beside it: %+v", s[0])
		}
		if !s[1].Since.Equal(since) || !strings.Contains(s[1].Why, "no space") || s[1].Waiting != 2 {
			t.Errorf("a full place: %+v, since %v", s[1], since)
		}
		bad.set(nil, true)
		<-timer(90 * time.Second)
		k.Taken(of(12), nil) // an entry waits for nothing
		if s := k.Standing()[1]; !s.Since.Equal(since) || s.Why == "" {
			t.Errorf("a place that hangs: %+v", s)
		}
		bad.set(nil, false)
		<-timer(hour)
		synctest.Wait()
		if s := k.Standing()[1]; !s.Since.IsZero() || s.Waiting != 0 || s.Last.Head.Seq != 12 {
			t.Errorf("a place that takes notes again: %+v", s)
		}
		if !slices.Equal(bad.got, []uint64{10, 11, 12}) {
			t.Errorf("it got %v", bad.got)
		}
		for i, c := range []struct {
			f    fact.Fact
			want uint64
		}{{&fact.Deviation{}, 12}, {&fact.Release{}, 14}, {&fact.Read{}, 14}, {&fact.Close{}, 16}} {
			k.Taken(of(13+uint64(i)), []journal.Record{{Fact: c.f}})
			synctest.Wait()
			if got := k.Standing()[0].Last.Head.Seq; got != c.want {
				t.Errorf("after an entry %s the newest note is of record %d, want %d", fact.Word(c.f), got, c.want)
			}
		}
		k.Close()
	})
}

func timer(d time.Duration) <-chan time.Time { return time.NewTimer(d).C }

// TestGone: a folder that is gone is said and does not stop; nothing is written
// where it would be mounted.
func TestGone(t *testing.T) {
	gone := filepath.Join(t.TempDir(), "mount")
	k := keeper(t, "", gone)
	defer k.Close()
	if err := k.Judge(t.Context(), of(10)); err != nil {
		t.Errorf("stopped: %v", err)
	}
	if f := k.Faults(); len(f) != 1 || f[0].Code != "unreachable" || f[0].Stop {
		t.Errorf("said %+v", f)
	}
	if _, err := os.Stat(gone); err == nil {
		t.Error("the folder was made")
	}
}

// TestUnnoted: a head that cannot be noted beside the journal is said, once, and does
// not stop.
func TestUnnoted(t *testing.T) {
	k := keeper(t, filepath.Join(t.TempDir(), "gone", "journal.head"))
	defer k.Close()
	if err := k.Judge(t.Context(), of(10)); err != nil {
		t.Errorf("stopped: %v", err)
	}
	if f := k.Faults(); len(f) != 1 || f[0].Code != "unnoted" || f[0].Stop {
		t.Errorf("said %+v", f)
	}
}

// silent is a place that does not come back, as a folder of a machine that is gone.
type silent struct {
	place
	back chan struct{}
}

func (silent) name() string { return "silent" }
func (s silent) notes(context.Context, string, int) ([][]byte, error) {
	<-s.back
	return nil, nil
}

// TestSilent: a place that does not answer is said, and takes nothing from what those
// beside it have: each was asked, and had answered long before.
func TestSilent(t *testing.T) {
	dir := t.TempDir()
	k := keeper(t, "", dir)
	if err := k.Resume(t.Context(), of(70), "A. Example", "the disk was replaced"); err != nil {
		t.Fatal(err)
	}
	k.Close()
	for range 20 { // of two answers that are there, either might be taken
		synctest.Test(t, func(t *testing.T) {
			gone := silent{strip{}, make(chan struct{})}
			k := keeper(t, "", dir)
			k.posts = append([]*post{newPost(gone, time.Now)}, k.posts...)
			told, faults := k.Ask(t.Context())
			if len(told) != 1 || len(faults) != 1 || faults[0].Code != "unreachable" || faults[0].Place != "silent" {
				t.Errorf("told %d notes, and %+v", len(told), faults)
			}
			close(gone.back)
			k.Close()
		})
	}
}

// TestStrangers: notes that prove nothing are named, and stop nobody.
func TestStrangers(t *testing.T) {
	dir := t.TempDir()
	if err := os.Mkdir(filepath.Join(dir, "hotlab"), 0o700); err != nil {
		t.Fatal(err)
	}
	ours, _ := keyOf(t, 1, "hotlab")
	stranger, _ := keyOf(t, 2, "hotlab")
	n := witness.Note{Site: "hotlab", Head: journal.Head{Seq: 99}, At: time.Now().UTC().Truncate(time.Second)}
	forged, err1 := witness.Sign(n, stranger)
	good, err2 := witness.Sign(n, ours)
	if err := errors.Join(err1, err2); err != nil {
		t.Fatal(err)
	}
	for name, data := range map[string][]byte{"1.note": forged, "2.note": []byte(strings.Replace(string(good), "99", "98", 1)), "3.note": nil, "4.other": nil} {
		if err := os.WriteFile(filepath.Join(dir, "hotlab", name), data, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	k := keeper(t, "", dir)
	defer k.Close()
	told, faults := k.Ask(t.Context())
	var codes []string
	for _, f := range faults {
		codes = append(codes, f.Code)
	}
	if len(told) != 0 || !slices.Equal(codes, []string{"damaged-note", "unknown-key"}) {
		t.Errorf("told %v, faults %v", told, codes)
	}
	if err := k.Judge(t.Context(), of(10)); err != nil {
		t.Errorf("stopped by a stranger: %v", err)
	}
}

// TestEveryBitBeside: with any one bit changed, the head beside a journal is passed
// over with a word, or is what it was; it is never another one.
func TestEveryBitBeside(t *testing.T) {
	path := filepath.Join(t.TempDir(), "lab.head")
	b := &beside{path: path}
	want := witness.Note{Site: "journal", Head: journal.Head{Seq: 12345, Hash: of(0).Hash(1)}, At: time.Unix(1.8e9, 0).UTC()}
	if err := b.write(want); err != nil {
		t.Fatal(err)
	}
	want.Head.Seq = 9 // a shorter text over a longer one
	if err := b.write(want); err != nil {
		t.Fatal(err)
	}
	b.close()
	good, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if n, found, err := b.read(); n != want || !found || err != nil {
		t.Fatalf("read %+v, %v, %v", n, found, err)
	}
	for i := range len(good) * 8 {
		bad := slices.Clone(good)
		bad[i/8] ^= 1 << (i % 8)
		if err := os.WriteFile(path, bad, 0o600); err != nil {
			t.Fatal(err)
		}
		if n, found, err := b.read(); found && n != want || !found && err == nil {
			t.Errorf("bit %d: %+v, %v, %v", i, n, found, err)
		}
	}
	for i := range good { // cut short, as by a power cut
		if err := os.WriteFile(path, good[:i], 0o600); err != nil {
			t.Fatal(err)
		}
		if n, found, err := b.read(); found && n != want || !found && err == nil {
			t.Errorf("cut to %d bytes: %+v, %v, %v", i, n, found, err)
		}
	}
}
