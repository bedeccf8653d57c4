package web_test

import (
	"bytes"
	"errors"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"vialwright/web"
	"vialwright/web/webtest"
)

// leaver is the other end of a browser that leaves after some bytes of the
// answer: what is written then fails, and so does a flush.
type leaver struct {
	header  http.Header
	left    int // bytes until it leaves
	headers int
}

var errLeft = errors.New("broken pipe")

func (l *leaver) Header() http.Header { return l.header }
func (l *leaver) WriteHeader(int)     { l.headers++ }
func (l *leaver) FlushError() error   { return errLeft }

func (l *leaver) Write(p []byte) (int, error) {
	if l.headers == 0 {
		l.headers++
	}
	n := min(l.left, len(p))
	if l.left -= n; n < len(p) {
		return n, errLeft
	}
	return n, nil
}

// A browser that leaves in the middle of a page gets one status and no second
// page behind the first, and is no error of the program.
func TestBrowserLeaves(t *testing.T) {
	var out bytes.Buffer
	l := webtest.New(t, func(c *web.Config) { c.Logger = slog.New(slog.NewTextHandler(&out, nil)) }).Hire()
	s := webtest.NewStory(l).Until("label")
	s.RP.Look("/")
	u, err := url.Parse(l.HTTP.URL)
	if err != nil {
		t.Fatal(err)
	}
	out.Reset()
	paths := []string{
		"/", "/day", webtest.Bench, webtest.Bench + "/step/draw", webtest.Bench + "/check", "/history", "/me", "/people", "/health",
		"/blank.pdf", "/labels/" + s.Serial + ".pdf", "/sheet/P1.pdf", "/metrics", "/events", "/sign-in", "/nothing", "/order/nothing",
	}
	for _, path := range paths {
		for _, bytes := range []int{0, 1, 100} {
			r := httptest.NewRequest(http.MethodGet, l.HTTP.URL+path, nil)
			for _, c := range s.RP.Client.Jar.Cookies(u) {
				r.AddCookie(c)
			}
			end := &leaver{header: http.Header{}, left: bytes}
			l.Server.ServeHTTP(end, r)
			if end.headers != 1 {
				t.Errorf("%s, left after %d bytes: %d statuses", path, bytes, end.headers)
			}
		}
	}
	if strings.Contains(out.String(), "level=ERROR") {
		t.Errorf("logged as an error of ours:\n%s", out.String())
	}
	if n := strings.Count(out.String(), "the browser left"); n < len(paths) {
		t.Errorf("%d of %d are said to have left", n, len(paths))
	}
}
