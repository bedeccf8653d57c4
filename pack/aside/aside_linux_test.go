package aside_test

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"os/signal"
	"strconv"
	"strings"
	"syscall"
	"testing"

	"vialwright/pack"
	"vialwright/pack/aside"
)

// child says what this process is to do when it was started by a test.
const child = "VIALWRIGHT_ASIDE_CHILD"

func TestMain(m *testing.M) {
	play, dir, _ := strings.Cut(os.Getenv(child), " ")
	switch play {
	case "killed":
		write(aside.New(dir, func(err error) { panic(err) }), 1<<20)
		fmt.Println("written")
		select {}
	case "full":
		signal.Ignore(syscall.SIGXFSZ)
		if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &syscall.Rlimit{Cur: 5 << 20, Max: 5 << 20}); err != nil {
			panic(err)
		}
		r := aside.New(dir, func(err error) { fmt.Println("warned:", err) })
		c := write(r, 3<<20)
		fmt.Println(r.Size(), "bytes aside")
		same(c, 3<<20)
	default:
		os.Exit(m.Run())
	}
}

// write puts numbers into a column that lies in a room.
func write(r *aside.Room, n int) *pack.Column[uint32] {
	c := &pack.Column[uint32]{Room: r}
	for i := range n {
		c.Append(uint32(i))
	}
	return c
}

// same panics where a column does not hold what write wrote.
func same(c *pack.Column[uint32], n int) {
	for i := range n {
		if *c.At(i) != uint32(i) {
			panic(fmt.Sprint(i, " is ", *c.At(i)))
		}
	}
}

func start(t *testing.T, play, dir string) *exec.Cmd {
	t.Helper()
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.CommandContext(t.Context(), exe)
	cmd.Env = append(os.Environ(), child+"="+play+" "+dir)
	return cmd
}

// TestNothingRemains: the file has no name while the program lives, and is gone after it was killed.
func TestNothingRemains(t *testing.T) {
	dir := t.TempDir()
	cmd := start(t, "killed", dir)
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	line := make([]byte, len("written"))
	if _, err := out.Read(line); err != nil || string(line) != "written" {
		t.Fatalf("%q: %v", line, err)
	}
	open := fmt.Sprintf("/proc/%d/fd", cmd.Process.Pid)
	size := int64(0)
	fds, err := os.ReadDir(open)
	if err != nil {
		t.Fatal(err)
	}
	for _, fd := range fds {
		to, _ := os.Readlink(open + "/" + fd.Name())
		if info, err := os.Stat(open + "/" + fd.Name()); err == nil && strings.HasPrefix(to, dir) {
			size = info.Size()
		}
	}
	for range 2 {
		if names, err := os.ReadDir(dir); err != nil || len(names) > 0 {
			t.Fatalf("%v is in the folder: %v", names, err)
		}
		_ = cmd.Process.Kill()
		_ = cmd.Wait()
	}
	if size < 4<<20 {
		t.Errorf("%d bytes were in the file of the program, want 4 MiB at least", size)
	}
}

// TestFullDisk: what the disk has no room for is held in the memory of the program, with a word
// why; nothing is lost, and nothing that was given has no place on the disk.
func TestFullDisk(t *testing.T) {
	out, err := start(t, "full", t.TempDir()).CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	if n := bytes.Count(out, []byte("warned:")); n != 1 || !bytes.Contains(out, []byte("fallocate: file too large")) || !bytes.Contains(out, []byte("4194304 bytes aside")) {
		t.Errorf("%s", out)
	}
}

// TestSpared: on a disk that is nearly full, room is left for the journal; nothing is lost.
func TestSpared(t *testing.T) {
	dir := t.TempDir()
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, "size=80m"); err != nil {
		t.Skipf("a small disk is made by root alone: %v", err)
	}
	t.Cleanup(func() { _ = syscall.Unmount(dir, syscall.MNT_DETACH) })
	var warned []string
	r := aside.New(dir, func(err error) { warned = append(warned, err.Error()) })
	defer r.Close()
	const n = 8 << 20
	same(write(r, n), n)
	var disk syscall.Statfs_t
	if err := syscall.Statfs(dir, &disk); err != nil {
		t.Fatal(err)
	}
	if free := disk.Bavail * uint64(disk.Bsize); free != 64<<20 || r.Size() != 16<<20 {
		t.Errorf("%d bytes are left, and %d are in the file", free, r.Size())
	}
	if len(warned) != 1 || !strings.Contains(warned[0], "67 MB are free, and 67 MB are left to the journal") {
		t.Errorf("%q", warned)
	}
}

// TestLetGo: what was let go is no longer resident, and is as it was when somebody looks.
func TestLetGo(t *testing.T) {
	r := aside.New(t.TempDir(), func(err error) { t.Error(err) })
	const n = 8 << 20
	c := write(r, n)
	before := resident(t)
	r.LetGo()
	if after := resident(t); before-after < 30<<10 {
		t.Errorf("of %d kB %d kB stay, want 32 MiB less", before, after)
	}
	*c.At(5) = 5
	same(c, n)
	other := r.Another()
	if &other.Piece()[0] == &r.Piece()[0] {
		t.Error("two rooms give the same piece")
	}
	for _, r := range []pack.Room{r, other} {
		if err := r.Close(); err != nil {
			t.Error(err)
		}
		if r.Piece() != nil {
			t.Error("a closed room gives a piece")
		}
	}
}

// resident is the memory of this process, in kB.
func resident(t *testing.T) int {
	text, err := os.ReadFile("/proc/self/status")
	if err != nil {
		t.Fatal(err)
	}
	_, rest, _ := strings.Cut(string(text), "VmRSS:")
	kb, err := strconv.Atoi(strings.Fields(rest)[0])
	if err != nil {
		t.Fatal(err)
	}
	return kb
}
