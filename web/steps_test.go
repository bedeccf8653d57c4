package web

import (
	"net/http/httptest"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"vialwright/casefile"
	"vialwright/fact"
	"vialwright/procedure"
)

// TestEveryStepHasItsForm: each step has its short word in the row of steps, a
// chapter of the story that does it, and a form that records the kinds of entry
// that the procedure says. A dose within tolerance is not adjusted: that step has
// a story of its own.
func TestEveryStepHasItsForm(t *testing.T) {
	l := newLab1(t, nil).hire()
	newStory(l).until("order")
	q := &request{Server: l.srv, r: httptest.NewRequest("GET", theBench, nil), now: l.clock.now()}
	st, err := q.reckon(q.openFile(q.now), q.now)
	if err != nil {
		t.Fatal(err)
	}
	b, ok := q.bench(st, "P1")
	if !ok {
		t.Fatal("no order P1")
	}
	needed := map[string][]string{} // the fields that a kind cannot be without
	for _, f := range allKinds(t) {
		for _, x := range fact.Fields(f) {
			if x.Must && !strings.Contains(x.Path, ".") {
				needed[f.Kind()] = append(needed[f.Kind()], x.Path)
			}
		}
	}
	var told []string
	for _, c := range chapters {
		told = append(told, c.key)
	}
	asked := map[string]bool{}
	asks := func(e *entryForm) {
		for _, p := range e.parts {
			asked[p.kind] = true
		}
	}
	short := map[string]procedure.Key{}
	for _, s := range b.prep.Steps {
		word := shortTitle[s.Key]
		if word == "" || short[word] != "" {
			t.Errorf("%s is called %q in the row of steps, like %q", s.Key, word, short[word])
		}
		short[word] = s.Key
		if !slices.Contains(told, string(s.Key)) && s.Key != procedure.Adjust {
			t.Errorf("no chapter of the story does %s", s.Key)
		}
		if stateWords[s.State] == "" {
			t.Errorf("the state %q of %s has no word", s.State, s.Key)
		}
		form := b.stepForm(s.Key)
		if form == nil {
			t.Errorf("%s has no form", s.Key)
			continue
		}
		asks(form)
		for _, p := range form.parts {
			for _, path := range needed[p.kind] {
				_, fixed := p.fixed[path]
				if !fixed && !slices.ContainsFunc(p.inputs, func(in input) bool { return in.name == path }) {
					t.Errorf("the form of %s does not ask for %s.%s, which must be given", s.Key, p.kind, path)
				}
			}
		}
		records := func(p part) bool { return slices.Contains(strings.Split(s.Records, " or "), p.kind) }
		if !slices.ContainsFunc(form.parts, records) {
			t.Errorf("the form of %s records no %s", s.Key, s.Records)
		}
	}
	for _, e := range q.dayForms(st) {
		asks(e)
	}
	for _, word := range []string{"shaken", "reading", "parts", "note", "deviation", "cancel", "give-back", "reassign", signWord, takeOverWord, figuresWord} {
		asks(b.other(word))
	}
	// What has a page of its own, or is written by the program beside another entry.
	elsewhere := map[string]string{
		"site": "the first start", "policy": "/settings", "meter": "/meters", "correct": "/entry/{n}/correct", "settling-test": "/curve", "experience": "with a vial",
		"paper": "the sheet", "near-miss": "a refusal", "override": "a hold", "clock": "the practice clock", "drill": "a drill", "drill-answer": "a drill", "person": "/people", "first-password": "/people", "return": "adjust or give-back",
	}
	for _, k := range fact.Kinds() {
		if word := k.Word(); !asked[word] && elsewhere[word] == "" {
			t.Errorf("no form records %s", word)
		}
	}
}

// allKinds are facts of all kinds.
func allKinds(t *testing.T) []fact.Fact {
	t.Helper()
	data, err := os.ReadFile("../casefile/testdata/all-kinds.yaml")
	if err != nil {
		t.Fatal(err)
	}
	file, err := casefile.Decode(data, time.LoadLocation)
	if err != nil {
		t.Fatal(err)
	}
	return file.Facts
}
