package sqlite

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"vialwright/store"
	"vialwright/store/storetest"
)

// roleEnv makes the test binary do one thing in place of the tests.
const roleEnv = "VIALWRIGHT_SQLITE_TEST_ROLE"

// playRole runs a role, "NAME PATH", and gives the exit status.
func playRole(role string) int {
	name, path, _ := strings.Cut(role, " ")
	play, ok := map[string]func(string) error{
		"append": func(path string) error { return playAppend(path, math.MaxInt) },
		"few":    func(path string) error { return playAppend(path, 25) },
		"limit":  playLimit,
	}[name]
	if !ok {
		fmt.Fprintln(os.Stderr, "no such role:", role)
		return 2
	}
	if err := play(path); err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	return 0
}

// roleCommand is a child that plays the role on the log at path.
func roleCommand(t *testing.T, name, path string) *exec.Cmd {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.CommandContext(t.Context(), self)
	cmd.Env = append(os.Environ(), roleEnv+"="+name+" "+path)
	cmd.Stderr = os.Stderr
	return cmd
}

// batchFrom gives the batch that stands behind head: its size and the sizes
// of its bodies follow from the number alone, so that a reader knows where
// batches end.
func batchFrom(head store.Head) []store.Record {
	rng := rand.New(rand.NewPCG(head.Seq, 1))
	bodies := make([][]byte, 1+rng.IntN(5))
	for i := range bodies {
		size := 1 + rng.IntN(300)
		if rng.IntN(10) == 0 {
			size = 1 + rng.IntN(20_000) // over several pages
		}
		bodies[i] = make([]byte, size)
		for j := range bodies[i] {
			bodies[i][j] = byte(rng.Uint32())
		}
	}
	return storetest.Chain(head, bodies...)
}

// playAppend appends so many batches and prints the number of the last record
// after each. It ends without closing.
func playAppend(path string, batches int) error {
	ctx := context.Background()
	l, err := Open(ctx, path)
	if err != nil {
		return err
	}
	head, err := l.Head(ctx)
	for n := 0; n < batches && err == nil; n++ {
		batch := batchFrom(head)
		if err = l.Append(ctx, head, batch...); err == nil {
			head = batch[len(batch)-1].Head()
			_, err = fmt.Println(head.Seq)
		}
	}
	return err
}

// wantWhole wants the records to be the batches that batchFrom gives, the
// last one whole, and at least up to record number acked.
func wantWhole(t *testing.T, l *Log, acked uint64) {
	t.Helper()
	var head store.Head
	var batch []store.Record
	for r, err := range l.Read(t.Context(), 1, store.All) {
		if err != nil {
			t.Fatal(err)
		}
		if len(batch) == 0 {
			batch = batchFrom(head)
		}
		if r.Head() != batch[0].Head() || string(r.Body) != string(batch[0].Body) {
			t.Fatalf("record %d is not the one that was appended", r.Seq)
		}
		head, batch = r.Head(), batch[1:]
	}
	if len(batch) > 0 {
		t.Fatalf("the batch around record %d is torn", head.Seq)
	}
	if head.Seq < acked {
		t.Fatalf("record %d was acknowledged, the log ends at %d", acked, head.Seq)
	}
}

// TestKill: a process that is killed at any moment leaves every batch it was
// told of, whole, and no part of another; the next process goes on from
// there. The kernel keeps what a dead process wrote, so this shows atomicity
// and recovery; TestTornWAL is about the power.
func TestKill(t *testing.T) {
	if testing.Short() {
		t.Skip("-short: no process is killed")
	}
	runs := 20
	if os.Getenv("VIALWRIGHT_LONG") == "1" {
		runs = 200
	}
	l := newLog(t)
	path := l.path
	l.Close()
	rng := rand.New(rand.NewPCG(20270304, 1110))
	for run := range runs {
		acked := killAfter(t, path, 1+rng.IntN(120))
		if run%3 == 0 { // a look without recovery must see the same
			r, err := OpenReadOnly(t.Context(), path)
			if err != nil {
				t.Fatal(err)
			}
			wantWhole(t, r, acked)
			r.Close()
		}
		after, err := Open(t.Context(), path)
		if err != nil {
			t.Fatalf("run %d: %v", run, err)
		}
		wantWhole(t, after, acked)
		if run%2 == 0 { // else the next child finds what the killed one left
			after.Close()
		} else {
			closeAtEnd(t, after)
		}
	}
}

// killAfter starts a child that appends, kills it once it has acknowledged so
// many batches, and gives the last number it printed.
func killAfter(t *testing.T, path string, batches int) uint64 {
	t.Helper()
	cmd := roleCommand(t, "append", path)
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	lines := bufio.NewReader(out)
	var acked uint64
	for n := 0; ; n++ {
		line, err := lines.ReadString('\n')
		if err == io.EOF { // a cut line was not acknowledged
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		if acked, err = strconv.ParseUint(strings.TrimSuffix(line, "\n"), 10, 64); err != nil {
			t.Fatal(err)
		}
		if n == batches {
			if err := cmd.Process.Kill(); err != nil {
				t.Fatal(err)
			}
		}
	}
	if err := cmd.Wait(); err == nil || cmd.ProcessState.ExitCode() == 1 {
		t.Fatalf("the child ended by itself: %v", err)
	}
	return acked
}

// TestReadOnlyCutOff: after a writer was killed, a reader sees the records of
// the -wal file and changes neither file; nor does closing it.
func TestReadOnlyCutOff(t *testing.T) {
	l := newLog(t)
	path := l.path
	l.Close()
	acked := killAfter(t, path, 10)
	files := func() [2]string {
		var content [2]string
		for i, suffix := range []string{"", "-wal"} {
			b, err := os.ReadFile(path + suffix)
			if err != nil {
				t.Fatal(err)
			}
			content[i] = string(b)
		}
		return content
	}
	before := files()
	r, err := OpenReadOnly(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	wantWhole(t, r, acked)
	if err := r.Close(); err != nil {
		t.Error(err)
	}
	if files() != before {
		t.Error("the file or its -wal file changed")
	}
}

// TestTornWAL: a power cut leaves some of the -wal file. Wherever it is cut,
// or from wherever its bytes are wrong, the log opens with whole batches, and
// with all whose last byte came before: those were synced when Append
// returned.
func TestTornWAL(t *testing.T) {
	l := newLog(t)
	type ack struct {
		size int
		seq  uint64
	}
	var acks []ack
	var head store.Head
	for head.Seq < 100 {
		batch := batchFrom(head)
		if err := l.Append(t.Context(), head, batch...); err != nil {
			t.Fatal(err)
		}
		head = batch[len(batch)-1].Head()
		acks = append(acks, ack{len(used(t, l.path)), head.Seq})
	}
	dir := t.TempDir()
	main := filepath.Join(dir, "sound")
	copyFile(t, l.path, main)
	content := used(t, l.path)

	rng := rand.New(rand.NewPCG(1, 2))
	for i := range 150 {
		cut := rng.IntN(len(content) + 1)
		if i < len(acks) {
			cut = acks[i].size // exactly at the end of a batch
		}
		torn := append([]byte(nil), content[:cut]...)
		if i%2 == 1 && cut < len(content) { // full length, the rest never written
			torn = append(torn, make([]byte, len(content)-cut)...)
		}
		var acked uint64
		for _, a := range acks {
			if a.size <= cut {
				acked = a.seq
			}
		}
		path := filepath.Join(dir, fmt.Sprint("torn", i))
		copyFile(t, main, path)
		if err := os.WriteFile(path+"-wal", torn, 0o600); err != nil {
			t.Fatal(err)
		}
		after, err := Open(t.Context(), path)
		if err != nil {
			t.Fatalf("cut at %d: %v", cut, err)
		}
		wantWhole(t, after, acked)
		if err := after.Close(); err != nil {
			t.Fatal(err)
		}
	}
}
