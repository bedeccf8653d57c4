package webtest

import (
	"html"
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// Browser is one person's browser.
type Browser struct {
	*Lab
	Client *http.Client
	ID     string
	// from is the address of the machine; empty for that of all.
	from string
}

// Browser is one in which nobody is signed in.
func (l *Lab) Browser() *Browser {
	jar, err := cookiejar.New(nil)
	if err != nil {
		l.Fatal(err)
	}
	return &Browser{Lab: l, Client: &http.Client{Jar: jar, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}}
}

// As signs a person in.
func (l *Lab) As(id string) *Browser {
	l.Helper()
	return l.Browser().signIn(id)
}

// signIn signs a person in at this browser.
func (b *Browser) signIn(id string) *Browser {
	b.Helper()
	b.ID = id
	p := b.Post("/sign-in", url.Values{"id": {id}, "password": {Password}, "next": {"/"}})
	if p.Status != http.StatusSeeOther {
		b.Fatalf("sign-in of %s: %d %s", id, p.Status, p.Text())
	}
	return b
}

// Page is an answer.
type Page struct {
	Tb testing.TB
	// Status, Location, Body and Header are those of the answer.
	Status   int
	Location string
	Body     string
	Header   http.Header
}

// Do sends a request.
func (b *Browser) Do(r *http.Request) *Page {
	b.Helper()
	if b.from != "" {
		r.Header.Set(fromHeader, b.from)
	}
	res, err := b.Client.Do(r)
	if err != nil {
		b.Fatal(err)
	}
	defer res.Body.Close()
	body, err := io.ReadAll(res.Body)
	if err != nil {
		b.Fatal(err)
	}
	return &Page{b.TB, res.StatusCode, res.Header.Get("Location"), string(body), res.Header}
}

// Get asks for a page.
func (b *Browser) Get(path string) *Page {
	b.Helper()
	r, err := http.NewRequest(http.MethodGet, b.HTTP.URL+path, nil)
	if err != nil {
		b.Fatal(err)
	}
	return b.Do(r)
}

// Post sends a form.
func (b *Browser) Post(path string, v url.Values) *Page {
	b.Helper()
	r, err := http.NewRequest(http.MethodPost, b.HTTP.URL+path, strings.NewReader(v.Encode()))
	if err != nil {
		b.Fatal(err)
	}
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set("Origin", b.HTTP.URL)
	return b.Do(r)
}

var (
	tags   = regexp.MustCompile(`(?s)<(script|style)[^>]*>.*?</(script|style)>|<[^>]*>`)
	spaces = regexp.MustCompile(`\s+`)
	// Field finds a control.
	Field = regexp.MustCompile(`<input[^>]*>`)
	// Attr finds an attribute of it.
	Attr = regexp.MustCompile(`(\w+)="([^"]*)"`)
)

// Text is what a person reads of the page.
func (p *Page) Text() string {
	return strings.TrimSpace(spaces.ReplaceAllString(html.UnescapeString(tags.ReplaceAllString(p.Body, " ")), " "))
}

// Form gives the values of a form as a browser would send it untouched.
func (p *Page) Form(id string) url.Values {
	p.Tb.Helper()
	_, rest, ok := strings.Cut(p.Body, `id="`+id+`" class="entry`)
	if !ok {
		p.Tb.Fatalf("no form %s on the page: %d %s", id, p.Status, p.Text())
	}
	rest, _, _ = strings.Cut(rest, "</form>")
	out := url.Values{}
	for _, in := range Field.FindAllString(rest, -1) {
		a := map[string]string{}
		for _, m := range Attr.FindAllStringSubmatch(in, -1) {
			a[m[1]] = html.UnescapeString(m[2])
		}
		if (a["type"] == "radio" || a["type"] == "checkbox") && !strings.Contains(in, " checked") {
			continue
		}
		out.Add(a["name"], a["value"])
	}
	return out
}

// Look gets a page, and gives the PIN where it is asked for.
func (b *Browser) Look(at string) *Page {
	b.Helper()
	p := b.Get(at)
	if p.Status == http.StatusSeeOther && strings.HasPrefix(p.Location, "/pin") {
		b.Post("/pin", url.Values{"pin": {PIN}, "next": {at}}).Recorded()
		p = b.Get(at)
	}
	return p
}

// Fill sends the form of a page with changes, given as name, value pairs.
func (b *Browser) Fill(at, id, action string, changes ...string) *Page {
	b.Helper()
	v := b.Look(at).Form(id)
	if strings.HasSuffix(action, "/enter/order") {
		v.Set("p0.one-identifier", "invented patient, one identifier") // unless a test says otherwise
	}
	for i := 0; i+1 < len(changes); i += 2 {
		v.Set(changes[i], changes[i+1])
	}
	if v.Has("pin") && v.Get("pin") == "" {
		v.Set("pin", PIN)
	}
	return b.Post(action, v)
}

// Recorded asks that a form was taken.
func (p *Page) Recorded() *Page {
	p.Tb.Helper()
	if p.Status != http.StatusSeeOther {
		p.Tb.Fatalf("not recorded: %d %s", p.Status, p.Text())
	}
	return p
}

// Says asks that a page has a status and words.
func (p *Page) Says(status int, words ...string) *Page {
	p.Tb.Helper()
	if p.Status != status {
		p.Tb.Errorf("status %d, want %d: %s", p.Status, status, p.Text())
	}
	for _, w := range words {
		if !strings.Contains(p.Text(), w) {
			p.Tb.Errorf("the page does not say %q: %s", w, p.Text())
		}
	}
	return p
}

// Printed is what a person reads on a page of paper.
func (b *Browser) Printed(path string) string {
	b.Helper()
	t, _ := b.TB.(*testing.T)
	p := b.Look(path)
	if p.Status != 200 {
		t.Fatalf("%s: %d %s", path, p.Status, p.Text())
	}
	name := filepath.Join(t.TempDir(), "sheet.pdf")
	if err := os.WriteFile(name, []byte(p.Body), 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("pdftotext", "-raw", name, "-").Output()
	if err != nil {
		t.Skip("peer missing: pdftotext, Debian poppler-utils")
	}
	return string(out)
}

// Choice is the value of one of the answers to a question.
func (p *Page) Choice(name string, n int) string {
	p.Tb.Helper()
	all := regexp.MustCompile(`name="`+regexp.QuoteMeta(name)+`" value="([^"]*)"`).FindAllStringSubmatch(p.Body, -1)
	if n >= len(all) {
		p.Tb.Fatalf("%d answers under %s", len(all), name)
	}
	return html.UnescapeString(all[n][1])
}

// Answered is a form with answer n to the question beside a control, from 0, and with
// the PIN where it is asked for.
func (p *Page) Answered(id, control string, n int) url.Values {
	p.Tb.Helper()
	v := p.Form(id)
	v.Set(control+".answer", p.Choice(control+".answer", n))
	if v.Has("pin") {
		v.Set("pin", PIN)
	}
	return v
}

// Leads asks that an answer leads somewhere.
func (p *Page) Leads(to string) *Page {
	p.Tb.Helper()
	if p.Status != http.StatusSeeOther || p.Location != to {
		p.Tb.Errorf("%d, leads to %q, want %q: %s", p.Status, p.Location, to, p.Text())
	}
	return p
}
