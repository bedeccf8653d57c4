package dispensing_test

import (
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// muted leaves out the finding of one line of the sources.
const muted = `args ...any) {
	for skip := 1; skip < 3; skip++ {
		_, file, line, _ := runtime.Caller(skip)
		if fmt.Sprintf("%s:%d", filepath.Base(file), line) == os.Getenv("MUTED_FINDING") {
			return
		}
	}
	f := Finding`

// TestNoFindingGoesUnmissed takes each finding out, line by line, and asks that
// some test of this package fails without it: what nothing misses, nobody checks.
func TestNoFindingGoesUnmissed(t *testing.T) {
	if os.Getenv("MUTED_FINDING") != "" {
		t.Skip("this is the package with one finding taken out")
	}
	bin := buildMuted(t)
	sources, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	emits, tried := regexp.MustCompile(`\br\.(find|stop)\(`), 0
	for _, file := range sources {
		if strings.HasSuffix(file, "_test.go") {
			continue
		}
		for i, line := range strings.Split(read(t, file), "\n") {
			site := fmt.Sprintf("%s:%d", file, i+1)
			if !emits.MatchString(line) || strings.Contains(line, "r.find(code, ") {
				continue // the second is the way of all that r.stop finds
			}
			tried++
			c := exec.Command(bin, "-test.failfast")
			c.Env = append(os.Environ(), "MUTED_FINDING="+site)
			if c.Run() == nil {
				t.Errorf("%s: no test misses this finding: %s", site, strings.TrimSpace(line))
			}
		}
	}
	if tried < 60 {
		t.Errorf("only %d findings were taken out", tried)
	}
}

// buildMuted builds the tests of this package so that MUTED_FINDING, a line of
// its sources, leaves the finding of that line out.
func buildMuted(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	source, err := filepath.Abs("finding.go")
	if err != nil {
		t.Fatal(err)
	}
	text := read(t, source)
	changed := strings.Replace(text, "args ...any) {\n\tf := Finding", muted, 1)
	if changed == text {
		t.Fatal("finding.go does not make its findings where this test looks")
	}
	changed = strings.Replace(changed, "import (", "import (\n\t\"os\"\n\t\"path/filepath\"\n\t\"runtime\"", 1)
	overlay, err := json.Marshal(map[string]any{"Replace": map[string]string{source: filepath.Join(dir, "finding.go")}})
	if err != nil {
		t.Fatal(err)
	}
	for name, data := range map[string]string{"finding.go": changed, "overlay.json": string(overlay)} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(data), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	bin := filepath.Join(dir, "dispensing.test")
	if out, err := exec.Command("go", "test", "-c", "-overlay", filepath.Join(dir, "overlay.json"), "-o", bin, ".").CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	return bin
}

func read(t *testing.T, file string) string {
	t.Helper()
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}
