package web_test

import (
	"fmt"
	"net/http"
	"net/url"
	"os"
	"slices"
	"strings"
	"testing"

	"vialwright/fact"
	"vialwright/people"
	"vialwright/web/kit"
	"vialwright/web/webtest"
)

// placed is a route with its places filled in.
func placed(r kit.Route, serial string) string {
	return strings.NewReplacer("{$}", "", "{order}", "P1", "{key}", "readiness", "{form}", "note", "{entry}", "1",
		"{id}", "T2", "{room}", "R1", "/export/{file}", "/export/case.yaml", "/labels/{file}", "/labels/"+serial+".pdf", "{file}", "P1.pdf").Replace(r.Path)
}

// TestEveryRouteForEveryRole asks each address as each role, and as nobody,
// and compares the answers with the table in testdata. An answer of 403 is a
// refusal of the person; a POST is sent without values, so that 4xx beyond it
// means that the person was let through to the form.
func TestEveryRouteForEveryRole(t *testing.T) {
	var out strings.Builder
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("release")
	var columns []string
	for _, p := range webtest.Staff {
		if p.ID != "T2" { // as T1
			columns = append(columns, p.ID)
		}
	}
	fmt.Fprintf(&out, "%-60s %-8s %s\n", "route", "nobody", strings.Join(columns, " "))
	for _, r := range s.Server.Routes {
		if r.Path == "/events" || r.Path == "/sign-out" {
			continue // asked in tests of their own
		}
		line := fmt.Sprintf("%-60s", r.Method+" "+r.Path)
		ask := func(b *webtest.Browser) string {
			at := placed(r, s.Serial)
			if r.Method == http.MethodGet {
				return allowed(b.Get(at), r)
			}
			return allowed(b.Post(at, url.Values{}), r)
		}
		line += fmt.Sprintf(" %-8s", ask(s.Browser()))
		for i, id := range columns {
			line += fmt.Sprintf(" %-*s", len(columns[i]), ask(s.AsElsewhere(id)))
		}
		out.WriteString(strings.TrimRight(line, " ") + "\n")
	}
	golden(t, "testdata/routes.txt", out.String())
}

// golden compares with a file, which UPDATE=1 writes.
func golden(t *testing.T, name, got string) {
	t.Helper()
	if os.Getenv("UPDATE") == "1" {
		if err := os.WriteFile(name, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("%s differs; look at each change, then UPDATE=1:\n%s", name, got)
	}
}

// allowed is yes, no, or where it leads who is not signed in.
func allowed(p *webtest.Page, r kit.Route) string {
	switch {
	case p.Status == http.StatusForbidden || p.Status == http.StatusUnauthorized:
		return "no"
	case p.Status == http.StatusSeeOther && strings.HasPrefix(p.Location, "/sign-in") && !r.Open:
		return "sign-in"
	case p.Status >= 500:
		return "broken"
	}
	return "yes"
}

// The act of a route is the one thing that lets a person to it: whose role
// is not granted the act is refused, whose is, is not.
func TestRoutesFollowTheTableOfPeople(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("release")
	for _, r := range s.Server.Routes {
		if r.Open || r.Act == "" || r.Path == "/events" || r.Path == "/sign-out" || r.Method != http.MethodGet {
			continue
		}
		for _, p := range webtest.Staff {
			got := s.AsElsewhere(p.ID).Get(placed(r, s.Serial)).Status
			if may := people.May(p, r.Act) == nil; may == (got == http.StatusForbidden) {
				t.Errorf("%s %s as %s: status %d, may %v", r.Method, r.Path, p.ID, got, may)
			}
		}
	}
}

// A dose that nobody else has checked is not released: not by any role, not
// through any address that takes a form, not with the values of a release that
// would be right after the check.
func TestNoReleaseWithoutSecondCheck(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("baseline")
	f := webtest.Case(s)
	serial := webtest.AnotherSerial()
	tried := 0
	for _, p := range slices.Backward(webtest.Staff) { // the administrator, who resets a password, last
		b := s.AsElsewhere(p.ID)
		for _, r := range s.Server.Routes {
			if r.Method != http.MethodPost || slices.Contains([]string{"/sign-out", "/sign-in", "/first", "/theme", "/draft"}, r.Path) {
				continue
			}
			for _, key := range []string{"release", "label", "hand-over", "second-check", "note", "lift-no-second-check"} {
				at := strings.NewReplacer("{key}", key, "{form}", key).Replace(r.Path)
				v := url.Values{
					"nonce": {fmt.Sprint(tried)}, "head": {webtest.Decimal(f.Newest)}, "pin": {webtest.PIN}, "p0.serial": {serial}, "p0.for": {"P1"}, "p0.kind": {"release"},
					"p0.reason": {"x"}, "p0.text": {"x"}, "p0.with.release.serial": {serial}, "p0.with.release.for": {"P1"}, "p0.with.release.at": {"2027-03-04T11:50"},
				}
				b.Post(placed(kit.Route{Path: at}, serial), v)
				tried++
				if cf := webtest.Case(s); cf.Newest != f.Newest {
					f = cf // a note or the like was taken; go on behind it
				}
			}
		}
	}
	if n := len(s.Facts("release")); n != 0 {
		t.Fatalf("%d releases were recorded without a second check", n)
	}
	if tried < 300 {
		t.Errorf("only %d tries", tried)
	}
}

// The check by who did the work is no second check; the check of another is,
// until something is recorded after it.
func TestSecondCheckIsByAnother(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("baseline")
	s.Clock.Set("11:40")
	own := s.T1.Look(webtest.Bench + "/check")
	own.Says(200, "would check their own work")
	s.Go("second-check", "label")
	s.Clock.Set("11:47")
	s.T1.Fill(webtest.Bench, "reading", webtest.Bench+"/step/reading", "p0.of", "A1", "p0.gross", "1.33", "p0.gross.unit", "GBq", "p0.background", "0.2", "p0.background.unit", "MBq").Recorded()
	v := url.Values{"nonce": {"n"}, "head": {webtest.Decimal(webtest.Case(s).Newest)}, "pin": {webtest.PIN}, "p0.serial": {s.Serial}}
	s.RP.Look("/")
	p := s.RP.Post(webtest.Bench+"/step/release", v)
	if p.Status != http.StatusForbidden || len(s.Facts("release")) != 0 {
		t.Errorf("a stale check let the dose go: %d %s", p.Status, p.Text())
	}
}

// Who may do the second check sees no figure of the dose anywhere, from the
// draw on: not of a dose that is as it should be, nor of one that is held.
func TestBlind(t *testing.T) {
	t.Run("due", func(t *testing.T) {
		s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("baseline")
		s.Clock.Set("11:40")
		seesNothing(s)
		s.T1.Look(webtest.Bench).Says(200, "1.329")
	})
	t.Run("early", func(t *testing.T) { seesNothing(webtest.NewStory(webtest.New(t, nil).Hire()).Until("remainder")) })
	t.Run("held", func(t *testing.T) {
		s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("draw")
		p := s.Step(s.T1, "remainder", "p0.gross", "2.10", "p0.gross.unit", "GBq", "p0.background", "0.2", "p0.background.unit", "MBq")
		s.T1.Post(webtest.Bench+"/step/remainder", p.Answered("step", "p0.gross", 0)).Recorded()
		seesNothing(s)
	})
}

func seesNothing(s *webtest.Story) {
	s.Helper()
	t := s.TB
	for _, path := range []string{
		"/", "/day", webtest.Bench, webtest.Bench + "/step/release", webtest.Bench + "/step/draw", "/history",
		"/sheet/P1.pdf", webtest.Entry(9), webtest.Entry(10),
	} {
		p := s.MP.Look(path)
		for _, figure := range []string{"1.329", "1.33", "1.87", "3.24", "35.9", "2.2 mL", "99.", "2.1 GBq", "2.10 GBq", "1.10", "outside tolerance", "1.30 GBq"} {
			if strings.Contains(p.Text(), figure) {
				t.Errorf("%s shows %s to who may check: %s", path, figure, p.Text())
			}
		}
	}
}

// TestEveryFormForEveryRole sends the form of each kind of entry, at each address that
// takes the forms of several, as each role: who is not granted the act of the kind is
// refused, who is granted it and that of the address is not.
func TestEveryFormForEveryRole(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("release")
	taken := map[string]int{}
	for _, p := range webtest.Staff {
		b := s.AsElsewhere(p.ID)
		for _, r := range s.Server.Routes {
			if r.Method != http.MethodPost || !slices.Contains([]string{"/hot-lab/enter/{form}", "/instruments/enter/{kind}", "/day/enter/{form}"}, r.Path) {
				continue
			}
			for _, k := range fact.Kinds() {
				at := strings.NewReplacer("{form}", k.Word(), "{kind}", k.Word()).Replace(r.Path)
				got := b.Post(at, url.Values{}).Status
				refused, may := got == http.StatusForbidden, people.May(p, k.Act) == nil
				if refused && may && people.May(p, r.Act) == nil || !refused && !may && got != http.StatusNotFound || got >= 500 {
					t.Errorf("POST %s as %s: status %d, may %v", at, p.ID, got, may)
				}
				if !refused && got != http.StatusNotFound {
					taken[r.Path]++
				}
			}
		}
	}
	if taken["/hot-lab/enter/{form}"] < 50 || taken["/instruments/enter/{kind}"] < 3 || taken["/day/enter/{form}"] < 10 {
		t.Errorf("forms that were taken: %v", taken)
	}
}
