package casefile_test

import (
	"testing"

	"vialwright/casefile"
	"vialwright/fact/facttest"
)

func TestDescribe(t *testing.T) {
	if want := string(facttest.File(t, "format.txt")); casefile.Describe() != want {
		t.Errorf("described\n%s", casefile.Describe())
	}
}
