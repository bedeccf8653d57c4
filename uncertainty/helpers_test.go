package uncertainty

import (
	"encoding/json"
	"errors"
	"math"
	"os"
	"os/exec"
	"strings"
	"testing"
)

// near fails unless got lies within tolerance of want.
func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.10g, want %.10g to within %.3g (off by %.3g)", what, got, want, tolerance, got-want)
	}
}

// alike fails unless got and want agree to a relative tolerance.
func alike(t *testing.T, what string, got, want, relative float64) {
	t.Helper()
	near(t, what, got, want, relative*math.Abs(want))
}

// refused fails unless err is an Error with this code, a sentence and a hint.
func refused(t *testing.T, what string, err error, code string) {
	t.Helper()
	var e *Error
	switch {
	case !errors.As(err, &e):
		t.Errorf("%s: error %v, want one with code %q", what, err, code)
	case e.Code != code:
		t.Errorf("%s: code %q (%v), want %q", what, e.Code, e, code)
	case e.Text == "" || e.Hint == "" || !strings.Contains(e.Error(), e.Hint):
		t.Errorf("%s: %q without a sentence or a hint", what, e.Error())
	}
}

// must passes a value on and fails the test on an error.
func must[T any](value T, err error) func(t *testing.T) T {
	return func(t *testing.T) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return value
	}
}

// peer runs a script of testdata in the system's Python with a request on its
// standard input and reads its answer, both JSON. Without the Python or its
// packages the test is skipped, except where CI=true: there they must be present.
func peer(t *testing.T, script, packages string, request, answer any) {
	t.Helper()
	if testing.Short() {
		t.Skip("-short: the program that it is compared with is not asked")
	}
	const python = "/usr/bin/python3"
	if out, err := exec.Command(python, "-c", "import "+packages).CombinedOutput(); err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("the peer needs %s with %s: %v %s", python, packages, err, out)
		}
		t.Skipf("no peer: %s with %s is not installed", python, packages)
	}
	in, err := json.Marshal(request)
	if err != nil {
		t.Fatal(err)
	}
	var stderr strings.Builder
	cmd := exec.Command(python, "testdata/"+script)
	cmd.Stdin = strings.NewReader(string(in))
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%s: %v\n%s", script, err, stderr.String())
	}
	if err := json.Unmarshal(out, answer); err != nil {
		t.Fatalf("%s answered %.200q: %v", script, out, err)
	}
}

// fn is the number y = f(x_1 ... x_n) from its value and its partial derivatives
// (JCGM 100:2008 5.1.2), for examples with a function that the arithmetic lacks.
func fn(value float64, partials []float64, x ...Number) Number {
	var parts []part
	for i := range x {
		if x[i].err != nil {
			return x[i]
		}
		parts = combine(parts, 1, x[i].parts, partials[i])
	}
	return done(value, parts)
}

// cov is the covariance of two results (JCGM 100:2008 F.1.2.3, eq. (F.2)), and corr
// their correlation coefficient (5.2.2, eq. (14)), for examples that print them.
func cov(a, b Number) float64 {
	if a.err != nil || b.err != nil {
		return math.NaN()
	}
	sum := 0.0
	for _, p := range a.parts {
		if j := place(b.parts, p.from, 0); j >= 0 {
			sum += p.c * b.parts[j].c
		}
	}
	return sum
}

func corr(a, b Number) float64 {
	if a.U() == 0 || b.U() == 0 {
		return 0
	}
	return cov(a, b) / a.U() / b.U()
}

// Exp gives e to the power a.
func (a Number) Exp() Number {
	e := math.Exp(a.value)
	return scaled(a, e, e)
}

// Log gives the natural logarithm.
func (a Number) Log() Number { return scaled(a, math.Log(a.value), 1/a.value) }

// Interval gives value -+ expanded uncertainty.
func (a Number) Interval(p float64) (low, high float64) {
	_, w := a.Coverage(p)
	return a.value - w, a.value + w
}
