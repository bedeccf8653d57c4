package preparation

import (
	"testing"

	"vialwright/fact"
)

// Every kind of entry has its step, or stands in a table of its own or in the
// record alone.
func TestEveryKindHasItsPlaceOnTheSheet(t *testing.T) {
	elsewhere := map[string]bool{
		"order": true, "receive": true, "read": true, "draw": true, "make-up": true, "infuse": true, "residual": true,
		"note": true, "correct": true, "paper": true, "cancel": true, "deviation": true, "near-miss": true, "close": true, "experience": true, "clock": true, "drill": true, "drill-answer": true, "person": true, "first-password": true,
	}
	for _, kind := range fact.EntryKinds() {
		if (paperSteps[kind] != "") == elsewhere[kind] {
			t.Errorf("%s: step %q, elsewhere %v", kind, paperSteps[kind], elsewhere[kind])
		}
	}
}
