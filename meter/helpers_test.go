package meter

import (
	"encoding/json"
	"errors"
	"math"
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"

	"vialwright/nuclide"
	"vialwright/quantity"
)

// near fails unless got lies within tolerance of want.
func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.10g, want %.10g to within %.3g (off by %.3g)", what, got, want, tolerance, got-want)
	}
}

func ok[T any](value T, err error) func(t testing.TB) T {
	return func(t testing.TB) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return value
	}
}

// refused fails unless err is an Error with this code, a sentence and a hint.
func refused(t *testing.T, what string, err error, code string) {
	t.Helper()
	var e *Error
	if !errors.As(err, &e) || e.Code != code || e.Text == "" || e.Hint == "" {
		t.Errorf("%s: %v, want %s", what, err, code)
	}
}

var start = time.Date(2027, 3, 1, 8, 0, 0, 0, time.UTC)

func after(hours float64) time.Time {
	return start.Add(time.Duration(hours * float64(time.Hour)))
}

func halfLife(hours float64) nuclide.HalfLife {
	return nuclide.HalfLife{Value: quantity.Span(hours) * quantity.Hour, Source: "given by the example"}
}

// peer runs the script of testdata in the system's Python. Without it or its
// packages the test is skipped, except where CI=true.
func peer(t *testing.T, request, answer any) {
	t.Helper()
	peerBy(t, "charts_peer.py", request, answer)
}

func peerBy(t *testing.T, script string, request, answer any) {
	t.Helper()
	if testing.Short() {
		t.Skip("-short: the program that it is compared with is not asked")
	}
	const python = "/usr/bin/python3"
	if out, err := exec.Command(python, "-c", "import numpy, scipy").CombinedOutput(); err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("the peer needs %s with numpy and scipy: %v %s", python, err, out)
		}
		t.Skipf("no peer: %s with numpy and scipy is not installed", python)
	}
	in, err := json.Marshal(request)
	if err != nil {
		t.Fatal(err)
	}
	var stderr strings.Builder
	cmd := exec.Command(python, "testdata/"+script)
	cmd.Stdin, cmd.Stderr = strings.NewReader(string(in)), &stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%v\n%s", err, stderr.String())
	}
	if err := json.Unmarshal(out, answer); err != nil {
		t.Fatalf("the peer answered %.200q: %v", out, err)
	}
}
