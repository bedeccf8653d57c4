package storetest

import (
	"os"
	"os/exec"
	"strings"
	"testing"
)

// Faults runs the TestMemory of the package once with each fault, named in an environment
// variable, in a process of its own, where it has to fail: no test of a suite passes
// whatever is tested.
func Faults(t *testing.T, env string, faults []string) {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	for _, fault := range faults {
		t.Run(fault, func(t *testing.T) {
			t.Parallel()
			cmd := exec.CommandContext(t.Context(), self, "-test.run=^TestMemory$", "-test.failfast",
				"-test.timeout=2m")
			cmd.Env = append(os.Environ(), env+"="+fault)
			out, err := cmd.CombinedOutput()
			if err == nil || !strings.Contains(string(out), "--- FAIL: TestMemory/") {
				t.Errorf("the suite accepts what %s (%v)\n%s", fault, err, out)
			}
		})
	}
}
