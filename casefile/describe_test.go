package casefile_test

import (
	"testing"

	"vialwright/casefile"
)

func TestDescribe(t *testing.T) {
	if want := string(file(t, "format.txt")); casefile.Describe() != want {
		t.Errorf("described\n%s", casefile.Describe())
	}
}
