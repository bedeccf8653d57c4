package web

import (
	"bufio"
	"fmt"
	"net"
	"net/http/httptest"
	"net/url"
	"testing"
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
