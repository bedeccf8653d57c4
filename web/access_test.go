package web

import (
	"fmt"
	"math"
	"net/http"
	"net/url"
	"os"
	"slices"
	"strings"
	"testing"

	"vialwright/people"
)

// placed is a route with its places filled in.
func placed(r Route, serial string) string {
	return strings.NewReplacer("{$}", "", "{order}", "P1", "{key}", "readiness", "{form}", "note", "{entry}", "1",
		"{id}", "T2", "/export/{file}", "/export/case.yaml", "/labels/{file}", "/labels/"+serial+".pdf", "{file}", "P1.pdf").Replace(r.Path)
}

// TestEveryRouteForEveryRole asks each address as each role, and as nobody,
// and compares the answers with the table in testdata. An answer of 403 is a
// refusal of the person; a POST is sent without values, so that 4xx beyond it
// means that the person was let through to the form.
func TestEveryRouteForEveryRole(t *testing.T) {
	var out strings.Builder
	s := newStory(newLab1(t, nil).hire()).until("release")
	var columns []string
	for _, p := range staff {
		if p.ID != "T2" { // as T1
			columns = append(columns, p.ID)
		}
	}
	fmt.Fprintf(&out, "%-60s %-8s %s\n", "route", "nobody", strings.Join(columns, " "))
	for _, r := range s.srv.routeTable() {
		if r.Path == "/events" || r.Path == "/sign-out" {
			continue // asked in tests of their own
		}
		line := fmt.Sprintf("%-60s", r.Method+" "+r.Path)
		ask := func(b *browser) string {
			at := placed(r, s.serial)
			if r.Method == http.MethodGet {
				return allowed(b.get(at), r)
			}
			return allowed(b.post(at, url.Values{}), r)
		}
		line += fmt.Sprintf(" %-8s", ask(s.browser()))
		for i, id := range columns {
			line += fmt.Sprintf(" %-*s", len(columns[i]), ask(s.as2(id)))
		}
		out.WriteString(strings.TrimRight(line, " ") + "\n")
	}
	golden(t, "testdata/routes.txt", out.String())
}

// as2 signs in without using up the tries of the address.
func (l *lab1) as2(id string) *browser {
	l.Helper()
	l.srv.limits = newAddresses()
	return l.as(id)
}

// allowed is yes, no, or where it leads who is not signed in.
func allowed(p *page, r Route) string {
	switch {
	case p.status == http.StatusForbidden || p.status == http.StatusUnauthorized:
		return "no"
	case p.status == http.StatusSeeOther && strings.HasPrefix(p.location, "/sign-in") && !r.Open:
		return "sign-in"
	case p.status >= 500:
		return "broken"
	}
	return "yes"
}

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

// The act of a route is the one thing that lets a person to it: whoever's role
// is not granted the act is refused, whoever's is, is not.
func TestRoutesFollowTheTableOfPeople(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("release")
	for _, r := range s.srv.routeTable() {
		if r.Open || r.Act == "" || r.Path == "/events" || r.Path == "/sign-out" || r.Method != http.MethodGet {
			continue
		}
		for _, p := range staff {
			got := s.as2(p.ID).get(placed(r, s.serial)).status
			if may := people.May(p, r.Act) == nil; may == (got == http.StatusForbidden) {
				t.Errorf("%s %s as %s: status %d, may %v", r.Method, r.Path, p.ID, got, may)
			}
		}
	}
}

// releases counts the releases in the journal.
func (s *story) releases() int {
	n := 0
	for _, r := range s.srv.lab.Last(math.MaxInt) {
		if r.Fact.Kind() == "release" {
			n++
		}
	}
	return n
}

// A dose that nobody else has checked is not released: not by any role, not
// through any address that takes a form, not with the values of a release that
// would be right after the check.
func TestNoReleaseWithoutSecondCheck(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("baseline")
	f := mustCase(s)
	serial := s.srv.newSerialForTest()
	tried := 0
	for _, p := range slices.Backward(staff) { // the administrator, who resets a password, last
		b := s.as2(p.ID)
		for _, r := range s.srv.routeTable() {
			if r.Method != http.MethodPost || slices.Contains([]string{"/sign-out", "/sign-in", "/first", "/theme", "/draft"}, r.Path) {
				continue
			}
			for _, key := range []string{"release", "label", "hand-over", "second-check", "note", "lift-no-second-check"} {
				at := strings.NewReplacer("{key}", key, "{form}", key).Replace(r.Path)
				v := url.Values{
					"nonce": {fmt.Sprint(tried)}, "head": {decimal(f.Newest)}, "pin": {pin}, "p0.serial": {serial}, "p0.for": {"P1"}, "p0.kind": {"release"},
					"p0.reason": {"x"}, "p0.text": {"x"}, "p0.with.release.serial": {serial}, "p0.with.release.for": {"P1"}, "p0.with.release.at": {"2027-03-04T11:50"},
				}
				b.post(placed(Route{Path: at}, serial), v)
				tried++
				if cf := mustCase(s); cf.Newest != f.Newest {
					f = cf // a note or the like was taken; go on behind it
				}
			}
		}
	}
	if n := s.releases(); n != 0 {
		t.Fatalf("%d releases were recorded without a second check", n)
	}
	if tried < 300 {
		t.Errorf("only %d tries", tried)
	}
}

// The check by who did the work is no second check; the check of another is,
// until something is recorded after it.
func TestSecondCheckIsByAnother(t *testing.T) {
	s := newStory(newLab1(t, nil).hire()).until("baseline")
	s.clock.set("11:40")
	own := s.t1.look(theBench + "/check")
	own.says(200, "would check their own work")
	s.check()
	s.label()
	s.clock.set("11:47")
	s.t1.fill(theBench, "reading", theBench+"/step/reading", "p0.of", "A1", "p0.gross", "1.33", "p0.gross.unit", "GBq", "p0.background", "0.2", "p0.background.unit", "MBq").recorded()
	v := url.Values{"nonce": {"n"}, "head": {decimal(mustCase(s).Newest)}, "pin": {pin}, "p0.serial": {s.serial}}
	s.rp.look("/")
	p := s.rp.post(theBench+"/step/release", v)
	if p.status != http.StatusForbidden || s.releases() != 0 {
		t.Errorf("a stale check let the dose go: %d %s", p.status, p.text())
	}
}

// mustCase is everything that was recorded.
// mustCase is everything that was recorded.
// mustCase is everything that was recorded.
// mustCase is everything that was recorded.
func mustCase(s *story) *file {
	all := s.srv.lab.Last(math.MaxInt)
	return &file{Records: all, Newest: uint64(len(all))}
}

// Who may do the second check sees no figure of the dose anywhere, from the
// draw on: not of a dose that is as it should be, nor of one that is held.
func TestBlind(t *testing.T) {
	t.Run("due", func(t *testing.T) {
		s := newStory(newLab1(t, nil).hire()).until("baseline")
		s.clock.set("11:40")
		s.seesNothing()
		s.t1.look(theBench).says(200, "1.329")
	})
	t.Run("early", func(t *testing.T) { newStory(newLab1(t, nil).hire()).until("remainder").seesNothing() })
	t.Run("held", func(t *testing.T) {
		s := newStory(newLab1(t, nil).hire()).until("draw")
		s.step(s.t1, "remainder", "p0.gross", "2.10", "p0.gross.unit", "GBq", "p0.background", "0.2", "p0.background.unit", "MBq").recorded()
		s.seesNothing()
	})
}

func (s *story) seesNothing() {
	s.Helper()
	t := s.TB
	for _, path := range []string{
		"/", "/day", theBench, theBench + "/step/release", theBench + "/step/draw", "/history",
		"/sheet/P1.pdf", entry(9), entry(10),
	} {
		p := s.mp.look(path)
		for _, figure := range []string{"1.329", "1.33", "1.87", "3.24", "35.9", "2.2 mL", "99.", "2.1 GBq", "2.10 GBq", "1.10", "outside tolerance", "1.30 GBq"} {
			if strings.Contains(p.text(), figure) {
				t.Errorf("%s shows %s to who may check: %s", path, figure, p.text())
			}
		}
	}
}
