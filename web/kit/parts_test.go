package kit

import (
	"net/url"
	"reflect"
	"testing"
)

// TestIDs: an id is chosen as it is written on the vial, and a word is said in words.
func TestIDs(t *testing.T) {
	if got := IDs("D28-S1")[0].Text; got != "D28-S1" {
		t.Errorf("the id D28-S1 is offered as %q", got)
	}
	if got := Choices("pet-ct")[0].Text; got != "pet ct" {
		t.Errorf("the word pet-ct is said as %q", got)
	}
}

// TestCorrectedList: numbers of a list that is corrected may have spaces between them, as those
// of the bench; a decimal comma and the words of other lists stay what they are.
func TestCorrectedList(t *testing.T) {
	p := Part{Inputs: []Input{{Name: "rate", Kind: "list"}}}
	for typed, want := range map[string][]string{
		"182 uSv/h, 18 uSv/h": {"182 uSv/h", "18 uSv/h"},
		"182 uSv/h 18 uSv/h":  {"182 uSv/h", "18 uSv/h"},
		"182; 180;184 181":    {"182", "180", "184", "181"},
		"5,4 5,2 uSv/h":       {"5,4", "5,2 uSv/h"},
		"nurse, technologist": {"nurse", "technologist"},
		"right lobe":          {"right lobe"},
	} {
		if got := p.Texts(0, url.Values{"p0.rate": {typed}}, Faults{})["rate"]; !reflect.DeepEqual(got, want) {
			t.Errorf("%q is %q, want %q", typed, got, want)
		}
	}
}
