package vaulttest

import (
	"os"
	"os/exec"
	"strings"
	"testing"
)

// faultEnv names the fault of the vault that TestMemory runs the suite on.
const faultEnv = "VAULTTEST_FAULT"

// TestMemory: the suite accepts a right vault.
func TestMemory(t *testing.T) { run(t, openMemory(os.Getenv(faultEnv))) }

// TestFaults: the suite catches a vault that breaks any one of the promises,
// so no test in it passes whatever the vault does. Each fault is tried in a
// process of its own, where TestMemory has to fail.
func TestFaults(t *testing.T) {
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	for _, fault := range faults {
		t.Run(fault, func(t *testing.T) {
			t.Parallel()
			cmd := exec.CommandContext(t.Context(), self, "-test.run=^TestMemory$", "-test.failfast",
				"-test.timeout=2m")
			cmd.Env = append(os.Environ(), faultEnv+"="+fault)
			out, err := cmd.CombinedOutput()
			if err == nil || !strings.Contains(string(out), "--- FAIL: TestMemory/") {
				t.Errorf("the suite accepts a vault that %s (%v)\n%s", fault, err, out)
			}
		})
	}
}
