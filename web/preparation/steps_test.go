package preparation_test

import (
	"net/http"
	"net/http/httptest"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"vialwright/casefile"
	"vialwright/fact"
	"vialwright/procedure"
	"vialwright/web/kit"
	"vialwright/web/preparation"
	"vialwright/web/webtest"
)

// TestEveryStepHasItsForm: each step has a chapter of the story that does it, and
// a form that records the kinds of entry
// that the procedure says. A dose within tolerance is not adjusted: that step has
// a story of its own.
func TestEveryStepHasItsForm(t *testing.T) {
	l := webtest.New(t, nil).Hire()
	webtest.NewStory(l).Until("order")
	q := request(l)
	st := l.Reckoned(q.OpenFile(q.Now))
	needed := map[string][]string{} // the fields that a kind cannot be without
	for _, f := range allKinds(t) {
		for _, x := range fact.Fields(f) {
			if x.Must && !strings.Contains(x.Path, ".") {
				needed[fact.Word(f)] = append(needed[fact.Word(f)], x.Path)
			}
		}
	}
	var told []string
	for _, c := range webtest.Chapters {
		told = append(told, c.Key)
	}
	for _, s := range st.Preparation("P1").Steps {
		if !slices.Contains(told, string(s.Key)) && s.Key != procedure.Adjust {
			t.Errorf("no chapter of the story does %s", s.Key)
		}
		if preparation.StateWord(s.State) == "" {
			t.Errorf("the state %q of %s has no word", s.State, s.Key)
		}
		form := preparation.StepForm(q, st, "P1", s.Key)
		if form == nil {
			t.Errorf("%s has no form", s.Key)
			continue
		}
		for _, p := range form.Parts {
			for _, path := range needed[p.Kind] {
				_, fixed := p.Fixed[path]
				if !fixed && !slices.ContainsFunc(p.Inputs, func(in kit.Input) bool { return in.Name == path }) {
					t.Errorf("the form of %s does not ask for %s.%s, which must be given", s.Key, p.Kind, path)
				}
			}
		}
		records := func(p kit.Part) bool { return slices.Contains(strings.Split(s.Records, " or "), p.Kind) }
		if !slices.ContainsFunc(form.Parts, records) {
			t.Errorf("the form of %s records no %s", s.Key, s.Records)
		}
	}
}

// allKinds are facts of all kinds.
func allKinds(t *testing.T) []fact.Fact {
	t.Helper()
	data, err := os.ReadFile("../../casefile/testdata/all-kinds.yaml")
	if err != nil {
		t.Fatal(err)
	}
	file, err := casefile.Decode(data, time.LoadLocation)
	if err != nil {
		t.Fatal(err)
	}
	return file.Facts
}

// request is one of nobody, at the time of the scenario.
func request(l *webtest.Lab) *kit.Request {
	return &kit.Request{Server: l.Server.Server, R: httptest.NewRequest(http.MethodGet, "/", nil), Now: l.Clock.Now()}
}

// TestChangePersonIsTheButton: a step of somebody else has one button, the change of
// person, which would else stand behind what the dose is warned of.
func TestChangePersonIsTheButton(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("label")
	for _, at := range []string{webtest.Bench, webtest.Bench + "/step/release"} {
		if p := s.T1.Look(at); !strings.Contains(p.Body, `<a class="button main" href="/change">Change person</a>`) {
			t.Errorf("%s has no button for the change of person", at)
		}
	}
}
