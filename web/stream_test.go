package web

import (
	"bufio"
	"fmt"
	"net"
	"net/http"
	"net/http/httptest"
	"net/url"
	"runtime"
	"strings"
	"testing"
	"time"
)

// rawEvents opens the stream of all cases for a person on a connection of its
// own, reads the head of the answer, and nothing more.
func rawEvents(t *testing.T, b *browser, server *httptest.Server) {
	t.Helper()
	u, err := url.Parse(b.http.URL)
	if err != nil {
		t.Fatal(err)
	}
	conn, err := net.Dial("tcp", server.Listener.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { conn.Close() })
	fmt.Fprintf(conn, "GET /events HTTP/1.1\r\nHost: here\r\n")
	for _, c := range b.client.Jar.Cookies(u) {
		fmt.Fprintf(conn, "Cookie: %s=%s\r\n", c.Name, c.Value)
	}
	fmt.Fprint(conn, "Connection: close\r\n\r\n")
	lines := bufio.NewReader(conn)
	for line := ""; line != "\r\n"; {
		if line, err = lines.ReadString('\n'); err != nil {
			t.Fatal(err)
		}
	}
}

// behind is how far the slowest listener is behind.
func (h *hub) behind() (most int) {
	h.mu.Lock()
	defer h.mu.Unlock()
	for l := range h.all {
		most = max(most, len(l.events))
	}
	return most
}

// A browser that takes nothing any more, such as that of a telephone out of
// reach, is let go: its stream ends, and with it what it held. Others go on.
func TestStalledReader(t *testing.T) {
	l := newLab1(t, nil).hire()
	b := l.as("T1")
	l.srv.stall = 50 * time.Millisecond
	closed := make(chan struct{})
	server := httptest.NewUnstartedServer(l.srv)
	server.Config.ConnState = func(_ net.Conn, s http.ConnState) {
		if s == http.StateClosed {
			close(closed)
		}
	}
	server.Start()
	defer server.Close()
	rawEvents(t, b, server)
	e := event{name: strings.Repeat("x", 1<<14)} // the buffers of the network hold millions of bytes
	for h := l.srv.lab.hub; h.count() > 0; {
		if h.behind() > waiting/2 {
			runtime.Gosched() // never so far that the hub lets it go
			continue
		}
		e.seq++
		h.publish(e)
	}
	<-closed
}
