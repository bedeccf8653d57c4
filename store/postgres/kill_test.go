package postgres

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"sync/atomic"
	"testing"

	"vialwright/store"
	"vialwright/store/postgres/pgtest"
	"vialwright/store/storetest"
)

// roleEnv makes the test binary append in place of the tests.
const roleEnv = "VIALWRIGHT_POSTGRES_TEST_ROLE"

// playRole appends to the log at an address for ever, and gives the exit
// status should that fail.
func playRole(address string) int {
	ctx := context.Background()
	l, err := Open(ctx, address)
	if err == nil {
		err = appendBatches(ctx, l, func(seq uint64) { fmt.Println(seq) })
	}
	fmt.Fprintln(os.Stderr, err)
	return 1
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

// appendBatches appends one batch after another and tells the number of the
// last record after each, until an error.
func appendBatches(ctx context.Context, l *Log, told func(uint64)) error {
	head, err := l.Head(ctx)
	for err == nil {
		batch := batchFrom(head)
		if err = l.Append(ctx, head, batch...); err == nil {
			head = batch[len(batch)-1].Head()
			told(head.Seq)
		}
	}
	return err
}

// wantWhole wants the records from number from on to be the batches that
// batchFrom gives behind head, the last one whole, and at least up to record
// number acked. It gives the head.
func wantWhole(t *testing.T, l *Log, head store.Head, acked uint64) store.Head {
	t.Helper()
	var batch []store.Record
	for r, err := range l.Read(t.Context(), head.Seq+1, store.All) {
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
	return head
}

func killRuns() int {
	if os.Getenv("VIALWRIGHT_LONG") == "1" {
		return 200
	}
	return 10
}

// TestKillClient: a bench that is killed at any moment leaves every batch it
// was told of, whole, and no part of another; the next one goes on from there
// without waiting for it.
func TestKillClient(t *testing.T) {
	l, address := makeLog(t)
	rng := rand.New(rand.NewPCG(20270304, 1110))
	var head store.Head
	for run := range killRuns() {
		acked := killAfter(t, address, 1+rng.IntN(60))
		after := l // a handle that was open before, or a new one
		if run%2 == 0 {
			after = open(t, address)
		}
		// What the dead one had under way is decided by the time that
		// an append behind it is.
		if err := after.Append(t.Context(), store.Head{Seq: 1 << 40}, storetest.Chain(store.Head{Seq: 1 << 40}, []byte("late"))...); store.CodeOf(err) != store.CodeConflict {
			t.Fatalf("run %d: %v", run, err)
		}
		head = wantWhole(t, after, head, acked)
		batch := batchFrom(head)
		if err := after.Append(t.Context(), head, batch...); err != nil {
			t.Fatalf("run %d: %v", run, err)
		}
		if after != l {
			after.Close()
		}
	}
}

// killAfter starts a child that appends, kills it once it has acknowledged so
// many batches, and gives the last number it printed.
func killAfter(t *testing.T, address string, batches int) uint64 {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.CommandContext(t.Context(), self)
	cmd.Env = append(os.Environ(), roleEnv+"="+address)
	cmd.Stderr = os.Stderr
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

// TestKillServer: a server whose first process is killed at any moment has,
// once it was started again, every batch that was acknowledged, whole, and no
// part of another. An append that was under way failed or is unsure, and the
// same handle goes on. The kernel keeps what a dead process wrote: this shows
// recovery, and TestSync that the write-ahead log is flushed.
func TestKillServer(t *testing.T) {
	server := pgtest.Start(t)
	address := server.Database(t)
	l, err := Create(t.Context(), address)
	if err != nil {
		t.Fatal(err)
	}
	closeAtEnd(t, l)
	rng := rand.New(rand.NewPCG(20270304, 1111))
	var head store.Head
	for run := range killRuns() {
		var acked atomic.Uint64
		target := head.Seq + uint64(rng.IntN(200))
		reached, ended := make(chan struct{}), make(chan error)
		go func() {
			told := false
			ended <- appendBatches(t.Context(), l, func(seq uint64) {
				acked.Store(seq)
				if seq > target && !told {
					told = true
					close(reached)
				}
			})
		}()
		<-reached
		server.Kill(t)
		if err := <-ended; store.CodeOf(err) != store.CodeUnsure && store.CodeOf(err) != store.CodeFailed {
			t.Fatalf("run %d: %v", run, err)
		}
		server.Restart(t)
		head = wantWhole(t, l, head, acked.Load())
	}
}

// TestSync: each append flushes the write-ahead log before it returns. The
// server counts the flushes of every process (PostgreSQL documentation, "The
// Cumulative Statistics System"; pg_stat_wal up to version 17, pg_stat_io from
// 18); its own writer may take one over now and then. With synchronous_commit
// off, which Open does not allow, there are next to none.
func TestSync(t *testing.T) {
	l, _ := makeLog(t)
	const appends = 40
	flushed := "SELECT wal_sync FROM pg_stat_wal"
	if v := l.writers.idle[0].PgConn().ParameterStatus("server_version"); !strings.HasPrefix(v, "15") && !strings.HasPrefix(v, "16") && !strings.HasPrefix(v, "17") {
		flushed = "SELECT sum(fsyncs)::bigint FROM pg_stat_io WHERE object = 'wal'"
	}
	flushes := func(commit string) int64 {
		conn := l.writers.idle[0]
		mustExec(t, conn, "SET synchronous_commit = "+commit)
		count := func() (n int64) {
			if _, err := conn.Exec(t.Context(), "SELECT pg_stat_force_next_flush()"); err != nil {
				t.Fatal(err)
			}
			if err := conn.QueryRow(t.Context(), flushed).Scan(&n); err != nil {
				t.Fatal(err)
			}
			return n
		}
		before := count()
		for range appends {
			appendBodies(t, l, "body")
		}
		return count() - before
	}
	appendBodies(t, l, "first")
	on, off := flushes("on"), flushes("off")
	if on < appends*3/4 || off > appends/4 {
		t.Errorf("%d flushes for %d appends, %d without synchronous_commit", on, appends, off)
	}
}

// TestRestart: a handle outlives an orderly restart of the server, for reading
// and for appending; while the server is down it says so.
func TestRestart(t *testing.T) {
	server := pgtest.Start(t)
	l, err := Create(t.Context(), server.Database(t))
	if err != nil {
		t.Fatal(err)
	}
	closeAtEnd(t, l)
	want := appendBodies(t, l, "one")
	server.Halt(t)
	if _, err := l.Head(t.Context()); store.CodeOf(err) != store.CodeFailed {
		t.Errorf("Head: %v", err)
	}
	if _, err := readAll(t.Context(), l); store.CodeOf(err) != store.CodeFailed {
		t.Errorf("Read: %v", err)
	}
	next := storetest.Chain(want[0].Head(), []byte("two"))
	if err := l.Append(t.Context(), want[0].Head(), next...); store.CodeOf(err) != store.CodeFailed {
		t.Errorf("Append: %v", err)
	}
	server.Restart(t)
	for _, use := range []func() error{
		func() error { _, err := l.Head(t.Context()); return err },
		func() error { _, err := readAll(t.Context(), l); return err },
		func() error {
			return l.Append(t.Context(), next[0].Head(), storetest.Chain(next[0].Head(), []byte("more"))...)
		},
	} {
		next = appendBodies(t, l, "a connection of each kind is free now")
		server.Halt(t)
		server.Restart(t)
		if err := use(); err != nil {
			t.Error(err)
		}
	}
}
