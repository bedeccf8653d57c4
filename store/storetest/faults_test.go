package storetest

import (
	"os"
	"testing"
)

// faultEnv names the fault of the log that TestMemory runs the suite on.
const faultEnv = "STORETEST_FAULT"

// TestMemory: the suite accepts a right log.
func TestMemory(t *testing.T) { run(t, openMemory(os.Getenv(faultEnv))) }

// TestFaults: the suite catches a log that breaks any one of the promises,
// so no test in it passes whatever the log does.
func TestFaults(t *testing.T) { Faults(t, faultEnv, faults) }
