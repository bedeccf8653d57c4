package web

import (
	"strings"
	"testing"
)

// What the step that is due puts right stands on no notice of its page, and
// stays on every other.
func TestWhatTheStepPutsRight(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("receipt")
	const unassayed = "is not determined by readings"
	if strings.Contains(s.stands("Measure the vial").text(), unassayed) {
		t.Error("the assay is asked for, and its want is warned of beside it")
	}
	s.t1.look(theBench+"/step/draw").says(200, unassayed)
	s.assay()
	s.draw()
	const unread = "has not been assayed"
	if strings.Contains(s.stands("Measure what is left").text(), unread) {
		t.Error("the reading is asked for, and its want is a stop beside it")
	}
	s.t1.look(theBench+"/step/make-up").says(200, unread)
}
