package documents

import (
	"slices"
	"testing"

	"vialwright/fact"
	"vialwright/paper"
)

// The step under which a kind of entry is listed is one of the sheet.
func TestKindsStandUnderStepsOfTheSheet(t *testing.T) {
	listed := 0
	for _, k := range fact.Kinds() {
		if k.Sheet == "" {
			continue
		}
		listed++
		if !slices.Contains(paper.Steps(), paper.Step(k.Sheet)) {
			t.Errorf("%s stands under %q, which is no step of the sheet", k.Word(), k.Sheet)
		}
	}
	if listed < 18 {
		t.Errorf("%d kinds are listed", listed)
	}
}
