package accounts_test

import (
	"bytes"
	"log/slog"
	"net/http"
	"net/url"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"vialwright/people"
	"vialwright/web"
	"vialwright/web/webtest"
)

// shared is a bench that T2 and then T1 signed in at, where T2 has a PIN of their own:
// the page is that of T1.
func shared(t *testing.T) (*webtest.Story, *webtest.Browser) {
	s := webtest.NewStory(webtest.New(t, nil).Hire()).Until("assay")
	b := s.As("T2")
	b.Post("/me/pin", url.Values{"old": {webtest.Password}, "pin": {pinOfT2}}).Recorded()
	b.Post("/sign-in", url.Values{"id": {"T1"}, "password": {webtest.Password}, "next": {"/"}}).Leads("/")
	return s, b
}

const pinOfT2 = "8315"

// jar is what the browser keeps for the server.
func jar(b *webtest.Browser) (*url.URL, map[string]string) {
	at, err := url.Parse(b.HTTP.URL)
	if err != nil {
		b.Fatal(err)
	}
	out := map[string]string{}
	for _, c := range b.Client.Jar.Cookies(at) {
		out[c.Name] = c.Value
	}
	return at, out
}

func plant(b *webtest.Browser, cookies map[string]string) {
	at, _ := jar(b)
	for name, value := range cookies {
		b.Client.Jar.SetCookies(at, []*http.Cookie{{Name: name, Value: value, Path: "/"}})
	}
}

func wrongPIN(n int) string { return []string{"1357", "2468", "9753", "8642"}[n%4] }

// A PIN is tried five times at most, in sequence or at once, wherever a page takes it.
// After that also the right one is refused, and only the password of its owner helps,
// whom nothing of it keeps from working at another bench.
func TestPINIsTriedAFewTimes(t *testing.T) {
	tries := map[string]func(b *webtest.Browser, pin string) *webtest.Page{
		"changing to another person": func(b *webtest.Browser, pin string) *webtest.Page {
			return b.Post("/change", url.Values{"who": {"T2"}, "pin": {pin}, "next": {"/"}})
		},
		"opening a locked page": func(b *webtest.Browser, pin string) *webtest.Page {
			return b.Post("/pin", url.Values{"pin": {pin}, "next": {"/"}})
		},
		"signing beside another": func(b *webtest.Browser, pin string) *webtest.Page {
			return b.Fill("/people", "person", "/people", "id", "T9", "name", "T9 Example", "role", string(people.Administrator), "role", string(people.Technologist),
				"with", "RP1", "pin2", pin)
		},
	}
	for what, try := range tries {
		t.Run(what, func(t *testing.T) {
			s, b := shared(t)
			right := pinOfT2
			switch what {
			case "opening a locked page":
				b.Post("/change", url.Values{"who": {"T2"}, "pin": {pinOfT2}, "next": {"/"}}).Leads("/")
				s.Clock.Add(16 * time.Minute)
			case "signing beside another":
				b, right = s.AsElsewhere("AD1"), webtest.PIN
			}
			var all sync.WaitGroup
			var looked atomic.Int64
			count := func(p *webtest.Page) *webtest.Page {
				if strings.Contains(strings.ToLower(p.Text()), "that is not right") {
					looked.Add(1)
				}
				return p
			}
			for n := range 16 {
				all.Go(func() {
					if p := count(try(b, wrongPIN(n))); p.Status == http.StatusSeeOther && !strings.HasPrefix(p.Location, "/sign-in") && !strings.HasPrefix(p.Location, "/pin") {
						t.Errorf("a wrong PIN leads to %q", p.Location)
					}
				})
			}
			all.Wait()
			for n := range 12 {
				s.Clock.Add(11 * time.Second)
				count(try(b, wrongPIN(n)))
			}
			if n := looked.Load(); n == 0 || n > 5 {
				t.Errorf("%d of 28 wrong PINs were looked at, want 5 at most", n)
			}
			s.Clock.Add(11 * time.Second)
			p := try(b, right)
			if p.Status == http.StatusOK || p.Location == "/" {
				t.Errorf("after more than fifty wrong ones the right PIN is taken: %d %q", p.Status, p.Location)
			}
			owner := "T2"
			if what == "signing beside another" {
				owner = "RP1"
			}
			o := s.AsElsewhere(owner)
			o.Get("/").Says(200, "Board")
		})
	}
}

// A locked page is opened by the PIN of its own person and by no other, no matter who is
// known at the bench.
func TestLockedPageIsOpenedByItsOwner(t *testing.T) {
	s, b := shared(t)
	s.Clock.Add(16 * time.Minute)
	b.Get("/pin").Says(200, "Whatever was typed and not recorded is kept for T. Example") // it may be nothing
	b.Post("/pin", url.Values{"pin": {pinOfT2}, "next": {"/"}, "who": {"T2"}, "id": {"T2"}}).Says(http.StatusForbidden, "PIN of T. Example")
	if p := b.Get("/"); !strings.HasPrefix(p.Location, "/pin?") {
		t.Errorf("the page of T1 is open to the PIN of T2: %d %q", p.Status, p.Location)
	}
	b.Post("/pin", url.Values{"pin": {webtest.PIN}, "next": {"/"}}).Leads("/")
	b.Get("/").Says(200, "T. Example")
	s.Clock.Add(11 * time.Hour) // and no PIN makes a session last longer than a shift
	b.Post("/pin", url.Values{"pin": {webtest.PIN}, "next": {"/"}}).Leads("/")
	s.Clock.Add(50 * time.Minute)
	if p := b.Post("/pin", url.Values{"pin": {webtest.PIN}, "next": {"/"}}); !strings.HasPrefix(p.Location, "/sign-in") {
		t.Errorf("twelve hours after the sign-in the PIN is asked still: %d %q", p.Status, p.Location)
	}
}

// Nobody is changed to who did not sign in at this bench, whose session was ended, or
// who was switched off; what the browser keeps of others cannot be made up.
func TestChangeToWhoIsNotHere(t *testing.T) {
	s, b := shared(t)
	change := func(who, pin string) *webtest.Page {
		return b.Post("/change", url.Values{"who": {who}, "pin": {pin}, "next": {"/"}})
	}
	change("RP1", webtest.PIN).Says(http.StatusForbidden, "Nobody with this id has signed in at this bench")
	_, kept := jar(b)
	_, elsewhere := jar(s.RP)
	for _, made := range []string{strings.Repeat("A", 43), "v." + strings.Repeat("A", 43), "v.v.v", ".", strings.Repeat("A.", 4000), elsewhere["vialwright-browser"]} {
		plant(b, map[string]string{"vialwright-others": made})
		if p := change("RP1", webtest.PIN); p.Status != http.StatusForbidden {
			t.Errorf("with %.20q kept of others: %d %q", made, p.Status, p.Location)
		}
	}
	plant(b, map[string]string{"vialwright-others": kept["vialwright-others"]})
	s.As("AD1").Fill("/people/T2", "change", "/people/T2", "active", "no").Recorded()
	change("T2", pinOfT2).Says(http.StatusForbidden, "Nobody with this id has signed in at this bench")
}

// What was copied of a browser while a page was locked opens nothing later: the PIN
// gives the session another token. And what somebody put into a browser before a
// sign-in is not what its session is known by.
func TestCopiedToken(t *testing.T) {
	s, b := shared(t)
	steal := func() *webtest.Browser {
		_, cookies := jar(b)
		thief := s.Elsewhere()
		plant(thief, cookies)
		return thief
	}
	opens := func(what string, thief *webtest.Browser) {
		t.Helper()
		if p := thief.Get("/"); p.Status == http.StatusOK {
			t.Errorf("%s: the copy is signed in: %s", what, p.Text())
		}
	}
	s.Clock.Add(16 * time.Minute)
	thief := steal()
	opens("before the PIN", thief)
	b.Post("/pin", url.Values{"pin": {webtest.PIN}, "next": {"/"}}).Leads("/")
	b.Get("/").Says(200, "T. Example")
	opens("after the PIN", thief)

	thief = steal()
	_, cookies := jar(thief)
	plant(thief, map[string]string{"vialwright": cookies["vialwright-others"], "vialwright-others": ""})
	opens("one of the others, before their PIN", thief)
	b.Post("/change", url.Values{"who": {"T2"}, "pin": {pinOfT2}, "next": {"/"}}).Leads("/")
	opens("one of the others, after their PIN", thief)
	b.Get("/").Says(200, "U. Example")

	planted := s.Elsewhere()
	plant(planted, map[string]string{"vialwright": cookies["vialwright-others"]})
	planted.Post("/sign-in", url.Values{"id": {"RP1"}, "password": {webtest.Password}, "next": {"/"}}).Leads("/")
	if _, now := jar(planted); now["vialwright"] == cookies["vialwright-others"] {
		t.Error("the session is known by what was there before the sign-in")
	}
}

// What was left to be said to one person is not said to another who has the page next.
func TestSaidToNobodyElse(t *testing.T) {
	_, b := shared(t)
	v := b.Get(webtest.Bench).Form("reading")
	for name, value := range map[string]string{"p0.of": "S1", "p0.gross": "3,24", "p0.gross.unit": "GBq", "p0.background": "0", "p0.background.unit": "MBq"} {
		v.Set(name, value)
	}
	b.Post(webtest.Bench+"/step/reading", v).Recorded() // and the browser did not come to show the page
	b.Post("/change", url.Values{"who": {"T2"}, "pin": {pinOfT2}, "next": {"/"}}).Leads("/")
	if text := b.Get("/").Says(200, "U. Example").Text(); strings.Contains(text, "is taken as") {
		t.Errorf("T2 is told what T1 typed: %s", text)
	}
}

// A scan, also one that becomes a near miss in the record, is that of who has the page
// it was made on.
func TestScanOfAnother(t *testing.T) {
	s, b := shared(t)
	v := b.Get("/").Form("scan")
	v.Set("raw", "nothing that is known")
	b.Post("/change", url.Values{"who": {"T2"}, "pin": {pinOfT2}, "next": {"/"}}).Leads("/")
	b.Post("/scan?back=%2F", v).Says(http.StatusConflict, "This page was opened by T1")
	if all := s.Facts("near-miss"); len(all) != 0 {
		t.Errorf("%d near misses are recorded", len(all))
	}
}

// What is typed on a page that has locked meanwhile is kept for its person, under the
// form it was typed in.
func TestTypedOnALockedPage(t *testing.T) {
	s, b := shared(t)
	v := b.Get(webtest.Bench).Form("note")
	s.Clock.Add(16 * time.Minute)
	v.Set("p0.text", "the tongs lie in the second drawer")
	b.Post(webtest.Keeper(webtest.Bench+"/step/note"), v)
	if got := s.Draft("T2", webtest.Bench+"/step/note"); got != "" {
		t.Errorf("T2 is given %q", got)
	}
	if got := s.Draft("T1", webtest.Bench+"/step/note"); !strings.Contains(got, "second+drawer") {
		t.Errorf("T1 finds %q", got)
	}
}

// What is typed on a page whose person has signed out meanwhile, or somebody else taken over,
// is kept for nobody, and the answer says so instead of leading to the sign-in; on a locked
// page it is kept for its person.
func TestTypedIsKeptOrSaidNotToBe(t *testing.T) {
	s, b := shared(t)
	keeper := webtest.Keeper(webtest.Bench + "/step/note")
	v := b.Get(webtest.Bench).Form("note")
	v.Set("p0.text", "the tongs lie in the second drawer")
	s.Clock.Add(16 * time.Minute)
	b.Post(keeper, v).Says(http.StatusNoContent)
	b.Post("/change", url.Values{"who": {"T2"}, "pin": {pinOfT2}, "next": {"/"}}).Leads("/")
	b.Post(keeper, v).Says(http.StatusConflict, "This page was opened by T1")
	b.Post("/sign-out", nil)
	b.Post("/sign-out", nil)
	b.Post(keeper, v).Says(http.StatusUnauthorized, "You are signed out on this page", "Not kept What is typed here now is not kept by the program")
}

// A locked page that is fetched, or written to, as pages do it by themselves gives and
// takes nothing but the question for the PIN.
func TestLockedPageByItself(t *testing.T) {
	s, b := shared(t)
	v := b.Get(webtest.Bench).Form("note")
	v.Set("p0.text", "the tongs lie in the second drawer")
	s.Clock.Add(16 * time.Minute)
	itself := func(method, path, body string) *webtest.Page {
		r, err := http.NewRequest(method, s.HTTP.URL+path, strings.NewReader(body))
		if err != nil {
			t.Fatal(err)
		}
		r.Header.Set("X-Live", "1")
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		return b.Do(r)
	}
	for _, r := range s.Server.Routes {
		if r.Open || r.Signs {
			continue
		}
		path := strings.NewReplacer("{$}", "", "{order}", "P1", "{key}", "note", "{form}", "note", "{entry}", "14", "{id}", "T2").Replace(r.Path)
		p := itself(r.Method, path, v.Encode())
		if p.Status != http.StatusUnauthorized || r.Path != "/events" && !strings.Contains(p.Text(), "This page is locked") || strings.Count(p.Body, "</html>") > 1 {
			t.Errorf("%s %s: %d, %d pages: %.300s", r.Method, r.Path, p.Status, strings.Count(p.Body, "</html>"), p.Text())
		}
	}
	itself(http.MethodPost, webtest.Bench+"/step/note", v.Encode())
	if all := s.Facts("note"); len(all) != 0 {
		t.Errorf("%d notes were recorded on a locked page", len(all))
	}
}

// Each try that was refused is in the log with its id and the address it came from, and
// with nothing that was typed as a secret; an id that is not formed like one may be a
// password that went into the wrong field.
func TestRefusedTriesAreLogged(t *testing.T) {
	var log bytes.Buffer
	l := webtest.New(t, func(c *web.Config) { c.Setup = "K7MP"; c.Logger = slog.New(slog.NewTextHandler(&log, nil)) })
	const secret = "not the secret of anybody"
	elsewhere := l.Elsewhere()
	elsewhere.Post("/first", url.Values{"setup": {secret}, "id": {"AD1"}})
	l.Hire()
	b := l.Elsewhere()
	b.Post("/sign-in", url.Values{"id": {"RP1"}, "password": {secret}})
	b.Post("/sign-in", url.Values{"id": {secret}, "password": {secret}})
	b.Post("/sign-in", url.Values{"id": {"T2"}, "password": {webtest.Password}})
	b.Post("/sign-in", url.Values{"id": {"AD1"}, "password": {webtest.Password}})
	b.Post("/change", url.Values{"who": {"T2"}, "pin": {"1357"}})
	b.Post("/me/pin", url.Values{"old": {secret}, "pin": {"2468"}})
	b.Fill("/people", "person", "/people", "id", "T9", "name", "T9 Example", "role", "technologist", "pin", "1357")
	b.Fill("/people", "person", "/people", "id", "T9", "name", "T9 Example", "role", "technologist", "with", "RP1", "pin2", "1357")
	l.Clock.Add(16 * time.Minute)
	b.Post("/pin", url.Values{"pin": {"1357"}})
	got := log.String()
	for _, want := range []string{
		`"setup refused" id=AD1 address=192.0.2.1:`, `"sign-in refused" id=RP1 address=192.0.2.2:`, `"sign-in refused" id="not formed like an id" address=192.0.2.2:`,
		`"PIN refused" id=T2 address=192.0.2.2:`, `"change of a pin refused" id=AD1 address=192.0.2.2:`, `"signature refused" id=AD1 address=192.0.2.2:`,
		`"signature of another refused" id=RP1 address=192.0.2.2:`, `"PIN refused" id=AD1 address=192.0.2.2:`,
	} {
		if !strings.Contains(got, want) {
			t.Errorf("the log does not say %s:\n%s", want, got)
		}
	}
	for _, word := range []string{secret, webtest.Password, "1357", "2468"} {
		if strings.Contains(got, word) {
			t.Errorf("the log holds %q", word)
		}
	}
}
