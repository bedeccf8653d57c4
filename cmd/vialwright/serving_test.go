package main

import (
	"bufio"
	"bytes"
	"fmt"
	"html"
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os/exec"
	"regexp"
	"strings"
	"sync"
	"testing"
)

// program is a running `vialwright serve` of its own process.
type program struct {
	testing.TB
	cmd  *exec.Cmd
	url  string
	said *output
}

// output is what a program says, on both channels.
type output struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (o *output) Write(p []byte) (int, error) {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.b.Write(p)
}

func (o *output) String() string {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.b.String()
}

var opening = regexp.MustCompile(`^Open (http://\S+) in a browser`)

// serve starts the program, and comes back when it says its address. It is
// killed at the end of the test.
func serve(t testing.TB, args ...string) *program {
	t.Helper()
	args = append([]string{"serve", "--listen", "127.0.0.1:0"}, args...)
	p := &program{TB: t, cmd: exec.Command("vialwright", args...), said: &output{}}
	p.cmd.Stderr = p.said
	out, err := p.cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := p.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(p.kill)
	lines := bufio.NewReader(io.TeeReader(out, p.said))
	for p.url == "" {
		line, err := lines.ReadString('\n')
		if err != nil {
			t.Fatalf("serve ended before it was open: %v\n%s", err, p.said)
		}
		if m := opening.FindStringSubmatch(line); m != nil {
			p.url = m[1]
		}
	}
	go func() { _, _ = io.Copy(io.Discard, lines) }() // ends with the program
	return p
}

// kill ends the program at once (SIGKILL), as a power cut would. Killing it
// again does nothing.
func (p *program) kill() {
	if p.cmd.ProcessState != nil {
		return
	}
	_ = p.cmd.Process.Kill() // it may have ended
	_ = p.cmd.Wait()         // which says that it was killed
}

// person is one browser, signed in or not. It follows the program when that
// is started again, and keeps its session.
type person struct {
	testing.TB
	id     string
	client *http.Client
	at     *program
}

// signIn signs a person of the practice laboratory in.
func (p *program) signIn(id string) *person {
	p.Helper()
	jar, err := cookiejar.New(nil)
	if err != nil {
		p.Fatal(err)
	}
	b := &person{p.TB, id, &http.Client{
		Jar: jar, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse },
	}, p}
	a, err := b.send("/sign-in", url.Values{"id": {id}, "password": {practicePassword}, "next": {"/"}})
	if err != nil || a.status != http.StatusSeeOther {
		p.Fatalf("sign-in of %s: %v %v", id, a, err)
	}
	return b
}

// answer1 is what the program answered.
type answer1 struct {
	status int
	to     string
	body   string
}

func (a answer1) String() string {
	return fmt.Sprintf("%d %s %.2000s", a.status, a.to, regexp.MustCompile(`(?s)<[^>]*>|\s+`).ReplaceAllString(a.body, " "))
}

func (b *person) do(r *http.Request, err error) (answer1, error) {
	if err != nil {
		return answer1{}, err
	}
	res, err := b.client.Do(r)
	if err != nil {
		return answer1{}, err
	}
	defer res.Body.Close()
	body, err := io.ReadAll(res.Body)
	return answer1{res.StatusCode, res.Header.Get("Location"), string(body)}, err
}

func (b *person) get(path string) (answer1, error) {
	return b.do(http.NewRequest(http.MethodGet, b.at.url+path, nil))
}

func (b *person) send(path string, v url.Values) (answer1, error) {
	r, err := http.NewRequest(http.MethodPost, b.at.url+path, strings.NewReader(v.Encode()))
	if err == nil {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.Header.Set("Origin", b.at.url)
	}
	return b.do(r, err)
}

var (
	inputs = regexp.MustCompile(`<(?:input|textarea)[^>]*>`)
	attr   = regexp.MustCompile(`([\w.-]+)="([^"]*)"`)
)

// form gives the values of a form of a page as a browser would send it.
func (a answer1) form(id string) (url.Values, bool) {
	_, rest, ok := strings.Cut(a.body, `id="`+id+`" class="entry`)
	rest, _, _ = strings.Cut(rest, "</form>")
	out := url.Values{}
	for _, in := range inputs.FindAllString(rest, -1) {
		v := map[string]string{}
		for _, m := range attr.FindAllStringSubmatch(in, -1) {
			v[m[1]] = html.UnescapeString(m[2])
		}
		out.Add(v["name"], v["value"])
	}
	return out, ok
}
