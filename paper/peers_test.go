package paper

import (
	"bytes"
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// run runs an independent program of Debian and gives what it writes. The
// test is skipped where the program is absent, and fails where CI=true.
func run(t *testing.T, debian, name string, args ...string) string {
	t.Helper()
	if _, err := exec.LookPath(name); err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("CI=true needs %s, Debian %s", name, debian)
		}
		t.Skipf("peer missing: %s, Debian %s", name, debian)
	}
	cmd := exec.Command(name, args...)
	var out, failed bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &failed
	if err := cmd.Run(); err != nil {
		t.Fatalf("%s: %v\n%s%s", name, err, out.String(), failed.String())
	}
	return out.String()
}

// file writes a PDF where the programs can read it.
func file(t *testing.T, pdf []byte) string {
	t.Helper()
	name := filepath.Join(t.TempDir(), "out.pdf")
	if err := os.WriteFile(name, pdf, 0o600); err != nil {
		t.Fatal(err)
	}
	return name
}

// words is the text of a PDF as poppler finds it, in the order of drawing, with
// a form feed after every page.
func words(t *testing.T, pdf []byte) string {
	t.Helper()
	return run(t, "poppler-utils", "pdftotext", "-raw", file(t, pdf), "-")
}

// sound checks a PDF with programs that are not ours: qpdf finds no fault in
// it, and poppler finds all its fonts embedded, as subsets with a map to Unicode.
func sound(t *testing.T, pdf []byte) {
	t.Helper()
	name := file(t, pdf)
	if out := run(t, "qpdf", "qpdf", "--check", name); !strings.Contains(out, "No syntax or stream encoding errors found") {
		t.Errorf("qpdf --check: %s", out)
	}
	lines := strings.Split(strings.TrimSpace(run(t, "poppler-utils", "pdffonts", name)), "\n")
	if len(lines) < 3 {
		t.Fatalf("pdffonts names no font:\n%s", strings.Join(lines, "\n"))
	}
	for _, l := range lines[2:] {
		// name, type (two words), encoding, emb, sub, uni, object (two words)
		f := strings.Fields(l)
		if len(f) != 9 || f[4] != "yes" || f[6] != "yes" {
			t.Errorf("font not embedded, or without Unicode: %s", l)
		}
	}
}

var update = flag.Bool("update", false, "write the golden files of this package")

// golden compares with a file of testdata.
func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(string(want), got); d != "" {
		t.Errorf("%s (-want +got):\n%s", path, d)
	}
}
