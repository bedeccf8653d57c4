package browsertest

import (
	"bufio"
	"context"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

const chromium = "/usr/bin/chromium"

// built is the program under test.
var built string

// browser is the context of the one browser; nil until somebody asks.
var browser = sync.OnceValues(startBrowser)

var closers []func()

func TestMain(m *testing.M) {
	os.Exit(run(m))
}

func run(m *testing.M) int {
	flag.Parse()
	if _, err := os.Stat(chromium); err != nil || testing.Short() {
		return m.Run() // each test says why it cannot run
	}
	defer func() {
		for _, end := range closers {
			end()
		}
	}()
	// A program that is built already, such as the one to be shipped.
	if built = os.Getenv("VIALWRIGHT_PROGRAM"); built != "" {
		return tried(m)
	}
	dir, err := os.MkdirTemp("", "browsertest-")
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	defer os.RemoveAll(dir)
	built = filepath.Join(dir, "vialwright")
	if out, err := exec.Command("go", "build", "-o", built, "vialwright/cmd/vialwright").CombinedOutput(); err != nil {
		fmt.Fprintf(os.Stderr, "go build: %v\n%s", err, out)
		return 1
	}
	return tried(m)
}

// tried runs the tests, and puts the pictures that they took onto sheets.
func tried(m *testing.M) int {
	code := m.Run()
	if gallery == "" {
		return code
	}
	if err := contact(gallery); err != nil {
		fmt.Fprintln(os.Stderr, "the contact sheets:", err)
		return 1
	}
	fmt.Println("the pictures are in", filepath.Join(gallery, "index.html"))
	return code
}

// needsBrowser skips a test on a machine without a Chromium.
func needsBrowser(t *testing.T) {
	t.Helper()
	if testing.Short() {
		t.Skip("-short: the browser is not asked")
	}
	if _, err := os.Stat(chromium); err == nil {
		return
	}
	if os.Getenv("CI") == "true" {
		t.Fatalf("%s is not there, and CI is true: the bench is not seen by any browser", chromium)
	}
	t.Skipf("%s is not there: the bench is not seen by any browser", chromium)
}

func startBrowser() (context.Context, error) {
	dir, err := os.MkdirTemp("", "browsertest-profile-")
	if err != nil {
		return nil, err
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:len(chromedp.DefaultExecAllocatorOptions):len(chromedp.DefaultExecAllocatorOptions)],
		chromedp.ExecPath(chromium), chromedp.NoSandbox, chromedp.DisableGPU, chromedp.NoFirstRun, chromedp.UserDataDir(dir), chromedp.WindowSize(1280, 800),
		chromedp.Flag("disable-component-update", true), chromedp.WSURLReadTimeout(time.Minute))
	alloc, endAlloc := chromedp.NewExecAllocator(context.Background(), options...)
	ctx, end := chromedp.NewContext(alloc)
	closers = append(closers, func() { end(); endAlloc(); os.RemoveAll(dir) })
	return ctx, chromedp.Do(ctx, chromedp.Navigate("about:blank"))
}

// open starts a server with an invented laboratory and further flags, and gives
// its address.
func open(t *testing.T, more ...string) string {
	t.Helper()
	address, _ := start(t, more...)
	return address
}

// start is open, and gives what stops the server before the test ends.
func start(t *testing.T, more ...string) (address string, stop func()) {
	t.Helper()
	needsBrowser(t)
	cmd := exec.Command(built, append([]string{"serve", "--practice", "--listen", "127.0.0.1:0"}, more...)...)
	cmd.Env = append(os.Environ(), "TMPDIR="+t.TempDir())
	var log strings.Builder
	cmd.Stderr = &log
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	said := bufio.NewScanner(out)
	for address == "" && said.Scan() {
		if rest, ok := strings.CutPrefix(said.Text(), "Open "); ok {
			address = strings.TrimSuffix(rest, " in a browser.")
		}
	}
	done := make(chan struct{})
	go func() { // nobody else reads it, and a full pipe would stop the server
		defer close(done)
		for said.Scan() {
		}
	}()
	stop = sync.OnceFunc(func() {
		_ = cmd.Process.Signal(syscall.SIGTERM)
		<-done
		if err := cmd.Wait(); err != nil {
			t.Errorf("the server ended with %v", err)
		}
		if t.Failed() {
			t.Logf("the server said:\n%s", log.String())
		}
	})
	t.Cleanup(stop)
	if address == "" {
		t.Fatal("the server did not say where it is")
	}
	return address, stop
}
