package pgtest

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"net/url"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
)

// programs are where initdb and postgres lie.
type programs struct{ initdb, postgres string }

// findPrograms looks where Debian puts them, the latest version first, and on
// the PATH.
func findPrograms() (programs, error) {
	dirs, _ := filepath.Glob("/usr/lib/postgresql/*/bin") // fails for a bad pattern only
	slices.SortFunc(dirs, func(a, b string) int { return version(b) - version(a) })
	for _, dir := range dirs {
		p := programs{filepath.Join(dir, "initdb"), filepath.Join(dir, "postgres")}
		if exists(p.initdb) && exists(p.postgres) {
			return p, nil
		}
	}
	initdb, err1 := exec.LookPath("initdb")
	postgres, err2 := exec.LookPath("postgres")
	if err1 != nil || err2 != nil {
		return programs{}, errors.New("initdb and postgres are not installed (Debian: postgresql)")
	}
	return programs{initdb, postgres}, nil
}

// version is the 15 of /usr/lib/postgresql/15/bin, 0 when it is no number.
func version(dir string) int {
	n, _ := strconv.Atoi(filepath.Base(filepath.Dir(dir)))
	return n
}

func exists(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}

// cluster is a directory with the data of one server, its socket and its log.
type cluster struct {
	programs
	dir   string
	owner *user.User // nil: the user who runs the test

	process *os.Process
	ended   chan error // gets the one result of the process, then closed
}

// newCluster makes the data. They need not be synced: no test is interested
// in a power cut before it begins.
func newCluster(p programs) (*cluster, error) {
	c, err := newDirectory(p)
	if err != nil {
		return nil, err
	}
	return c, c.make(exec.Command(p.initdb, "-D", c.data(), "-U", "postgres", "-A", "trust", "-E", "UTF8",
		"--locale=C", "--no-sync", "--no-instructions"))
}

// standby is a copy of the data of a server that does not run, to follow it.
func (c *cluster) standby() (*cluster, error) {
	s, err := newDirectory(c.programs)
	if err != nil {
		return nil, err
	}
	if err := s.make(exec.Command("cp", "-a", c.data(), s.data())); err != nil {
		return nil, err
	}
	return s, os.WriteFile(filepath.Join(s.data(), "standby.signal"), nil, 0o644)
}

// newDirectory makes a directory for a server.
func newDirectory(p programs) (*cluster, error) {
	c := &cluster{programs: p}
	if os.Getuid() == 0 {
		owner, err := user.Lookup("postgres")
		if err != nil {
			return nil, fmt.Errorf("PostgreSQL does not run as root, and the user postgres is missing: %w", err)
		}
		c.owner = owner
	}
	dir, err := os.MkdirTemp("", "vialwright-pg-") // short: a socket's name has 107 bytes
	if err != nil {
		return nil, err
	}
	c.dir = dir
	return c, c.chown(dir)
}

// make runs what makes the data, and removes the directory should that fail.
func (c *cluster) make(cmd *exec.Cmd) error {
	if err := c.asOwner(cmd); err != nil {
		return err
	}
	if out, err := cmd.CombinedOutput(); err != nil {
		c.remove()
		return fmt.Errorf("%s: %w\n%s", filepath.Base(cmd.Path), err, out)
	}
	return nil
}

func (c *cluster) data() string { return filepath.Join(c.dir, "data") }

func (c *cluster) chown(path string) error {
	uid, gid, err := c.ids()
	if c.owner == nil || err != nil {
		return err
	}
	return os.Chown(path, uid, gid)
}

func (c *cluster) ids() (uid, gid int, err error) {
	if c.owner == nil {
		return os.Getuid(), os.Getgid(), nil
	}
	uid, err1 := strconv.Atoi(c.owner.Uid)
	gid, err2 := strconv.Atoi(c.owner.Gid)
	return uid, gid, errors.Join(err1, err2)
}

// asOwner lets a command run as the owner, in the directory, with messages in
// English.
func (c *cluster) asOwner(cmd *exec.Cmd) error {
	uid, gid, err := c.ids()
	if err != nil {
		return err
	}
	cmd.Dir = c.dir
	cmd.Env = append(os.Environ(), "LC_ALL=C", "TZ=UTC")
	cmd.SysProcAttr = attributes(uid, gid, c.owner != nil)
	return nil
}

func (c *cluster) address() *url.URL {
	query := url.Values{"host": {c.dir}, "sslmode": {"disable"}}
	return &url.URL{Scheme: "postgres", User: url.User("postgres"), Path: "/postgres", RawQuery: query.Encode()}
}

// tries is how often a server is started that finds the memory of a killed
// one still in use; each try takes it tens of milliseconds.
const tries = 500

// run starts the server and waits until it takes connections.
func (c *cluster) run(settings ...string) error {
	var err error
	for range tries {
		var output string
		output, err = c.runOnce(settings)
		if err == nil {
			return nil
		}
		if !strings.Contains(output, "still in use") && !strings.Contains(output, "lock file") {
			return fmt.Errorf("postgres: %w\n%s", err, output)
		}
	}
	return err
}

// runOnce gives what the server said if it ended before it was ready.
func (c *cluster) runOnce(settings []string) (string, error) {
	args := []string{"-D", c.data(), "-k", c.dir, "-h", ""}
	for _, s := range slices.Concat([]string{"shared_buffers=16MB", "logging_collector=off"}, settings) {
		args = append(args, "-c", s)
	}
	cmd := exec.Command(c.postgres, args...)
	if err := c.asOwner(cmd); err != nil {
		return "", err
	}
	log, err := cmd.StderrPipe()
	if err != nil {
		return "", err
	}
	c.ended = make(chan error, 1)
	if err := c.spawn(cmd); err != nil {
		return "", err
	}
	lines := bufio.NewReader(log)
	var said strings.Builder
	for {
		line, err := lines.ReadString('\n')
		said.WriteString(line)
		if strings.Contains(line, "ready to accept ") {
			go func() { // a server stops when its log is not read
				_, _ = io.Copy(io.Discard, lines)
				_ = log.Close()
			}()
			return "", nil
		}
		if err != nil {
			_ = log.Close()
			return said.String(), errors.Join(errors.New("it ended before it was ready"), <-c.ended)
		}
	}
}

// spawn starts the process from a thread that lives as long as the process,
// since the kernel ends the process with the thread (see attributes).
func (c *cluster) spawn(cmd *exec.Cmd) error {
	started, ended := make(chan error), c.ended
	go func() {
		runtime.LockOSThread()
		defer runtime.UnlockOSThread()
		defer close(ended)
		err := cmd.Start()
		started <- err
		if err != nil {
			return
		}
		state, err := cmd.Process.Wait() // cmd.Wait would close the log under its reader
		if err == nil && !state.Success() {
			err = errors.New(state.String())
		}
		ended <- err
	}()
	if err := <-started; err != nil {
		return err
	}
	c.process = cmd.Process
	return nil
}

// kill ends the first process without a warning.
func (c *cluster) kill() error {
	if err := c.process.Kill(); err != nil {
		return err
	}
	<-c.ended
	return nil
}

// halt ends the server in an orderly way, cutting its connections.
func (c *cluster) halt() error {
	if err := c.process.Signal(os.Interrupt); err != nil {
		return err
	}
	return <-c.ended
}

// remove ends the server at once, if it runs, and removes the directory.
func (c *cluster) remove() {
	if c.process != nil {
		_ = c.process.Signal(quit) // it may have ended
		<-c.ended
	}
	_ = os.RemoveAll(c.dir)
}
