package kit

import "testing"

// TestIDs: an id is chosen as it is written on the vial, and a word is said in words.
func TestIDs(t *testing.T) {
	if got := IDs("D28-S1")[0].Text; got != "D28-S1" {
		t.Errorf("the id D28-S1 is offered as %q", got)
	}
	if got := Choices("pet-ct")[0].Text; got != "pet ct" {
		t.Errorf("the word pet-ct is said as %q", got)
	}
}
