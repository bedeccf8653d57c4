package sqlite

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// TestSyncBeforeAck watches the system calls of a process that appends: when
// it acknowledges a batch, every write to the -wal file has been synced, and
// the directory that names the file too.
func TestSyncBeforeAck(t *testing.T) {
	strace, err := exec.LookPath("strace")
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("strace is not installed")
		}
		t.Skip("strace is not installed (Debian: strace)")
	}
	l := newLog(t)
	l.Close()
	trace := filepath.Join(t.TempDir(), "trace")
	cmd := roleCommand(t, "few", l.path)
	cmd.Args = append([]string{strace, "-f", "-y", "-s", "1", "-o", trace, "-e", "trace=write,pwrite64,fsync,fdatasync", "--"}, cmd.Path)
	cmd.Path = strace
	if out, err := cmd.Output(); err != nil {
		if content, _ := os.ReadFile(trace); len(content) == 0 {
			t.Skipf("this system does not let one process trace another: %v", err)
		}
		t.Fatalf("%v: %s", err, out)
	}
	content, err := os.ReadFile(trace)
	if err != nil {
		t.Fatal(err)
	}
	checkTrace(t, string(content), l.path)
}

// checkTrace goes through the calls in order. A line is "PID call(FD<FILE>,
// ...) = RESULT". A call that others interrupt is cut in two: a write counts
// when it begins, a sync when it has ended well.
func checkTrace(t *testing.T, trace, path string) {
	t.Helper()
	wal, dir := "<"+path+"-wal>", "<"+filepath.Dir(path)+">"
	unsynced, named, acks, syncs := false, false, 0, 0
	begun := map[string]string{} // the unfinished call of each PID
	for line := range strings.Lines(trace) {
		pid, call, _ := strings.Cut(strings.TrimSpace(line), " ")
		call = strings.TrimSpace(call)
		resumed := strings.HasPrefix(call, "<... ")
		switch {
		case resumed:
			call = begun[pid] + call
		case strings.HasSuffix(call, "<unfinished ...>"):
			begun[pid] = call
		}
		synced := strings.HasSuffix(call, "= 0") && (strings.HasPrefix(call, "fdatasync(") || strings.HasPrefix(call, "fsync("))
		switch {
		case synced && strings.Contains(call, wal):
			unsynced = false
			syncs++
		case synced && strings.Contains(call, dir):
			named = true
		case !resumed && strings.HasPrefix(call, "pwrite64(") && strings.Contains(call, wal):
			unsynced = true
		case !resumed && strings.HasPrefix(call, "write(1<"):
			acks++
			if unsynced || !named {
				t.Fatalf("batch %d was acknowledged before it was synced (file %t, directory %t)", acks, !unsynced, named)
			}
		}
	}
	if acks < 25 || syncs < 25 { // a call that a signal interrupts is made again
		t.Fatalf("%d acknowledgements and %d syncs of 25 batches were seen", acks, syncs)
	}
}
