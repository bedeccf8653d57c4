package vaulttest

import (
	"os"
	"testing"

	"vialwright/store/storetest"
)

// faultEnv names the fault of the vault that TestMemory runs the suite on.
const faultEnv = "VAULTTEST_FAULT"

// TestMemory: the suite accepts a right vault.
func TestMemory(t *testing.T) { run(t, openMemory(os.Getenv(faultEnv))) }

// TestFaults: the suite catches a vault that breaks any one of the promises,
// so no test in it passes whatever the vault does.
func TestFaults(t *testing.T) { storetest.Faults(t, faultEnv, faults) }
