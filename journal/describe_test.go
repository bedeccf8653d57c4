package journal_test

import (
	"testing"

	"vialwright/journal"
)

func TestDescribe(t *testing.T) {
	if want := string(file(t, "format.txt")); journal.Describe() != want {
		t.Errorf("described\n%s", journal.Describe())
	}
}
