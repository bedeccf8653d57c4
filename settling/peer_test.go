package settling

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
)

// peer runs a script of testdata with Debian's Python, which carries numpy,
// scipy and iapws, and gives the numbers it prints, by line. Without them the
// test is skipped, but fails where CI=true.
func peer(t *testing.T, script string, args ...float64) [][]float64 {
	t.Helper()
	if testing.Short() {
		t.Skip("-short: the program that it is compared with is not asked")
	}
	if why := absent(); why != "" {
		if os.Getenv("CI") == "true" {
			t.Fatal(why)
		}
		t.Skip(why)
	}
	list := []string{filepath.Join("testdata", script)}
	for _, a := range args {
		list = append(list, strconv.FormatFloat(a, 'g', -1, 64))
	}
	out, err := exec.Command(python, list...).Output()
	if err != nil {
		t.Fatalf("%s: %v", script, err)
	}
	var rows [][]float64
	for line := range strings.Lines(string(out)) {
		var row []float64
		for _, f := range strings.Fields(line) {
			x, err := strconv.ParseFloat(f, 64)
			if err != nil {
				t.Fatalf("%s printed %q", script, line)
			}
			row = append(row, x)
		}
		rows = append(rows, row)
	}
	return rows
}

const python = "/usr/bin/python3"

// absent says what the peers lack, once.
var absent = sync.OnceValue(func() string {
	out, err := exec.Command(python, "-c", "import numpy, scipy, iapws").CombinedOutput()
	if err == nil {
		return ""
	}
	return fmt.Sprintf("the independent check needs %s with numpy, scipy and iapws: %v %s", python, err, out)
})

// near fails unless got lies within tol of want, relative.
func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(got >= want-tol*abs(want) && got <= want+tol*abs(want)) {
		t.Errorf("%s = %.9g, want %.9g (relative tolerance %g)", what, got, want, tol)
	}
}

func abs(x float64) float64 { return max(x, -x) }
