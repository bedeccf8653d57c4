package main

import (
	"bytes"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"
)

// A browser that asks and then takes nothing holds no answer for ever; a stream, which
// has no end, goes on all the same.
func TestWriteTimeout(t *testing.T) {
	given := make(chan error, 1)
	lab := labOf(t, "11:00", doseCase)
	h := patient(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path != "/much" {
			lab.http.Config.Handler.ServeHTTP(w, r)
			return
		}
		_, err := w.Write(bytes.Repeat([]byte("x"), 64<<20)) // more than the buffers of a connection hold
		given <- err
	}))
	if h.WriteTimeout <= 0 || h.WriteTimeout > 2*time.Minute || h.ReadTimeout <= 0 || h.ReadHeaderTimeout <= 0 || h.IdleTimeout <= 0 {
		t.Errorf("there is a wait without an end: %+v", h)
	}
	h.WriteTimeout = 300 * time.Millisecond
	s := httptest.NewUnstartedServer(nil)
	s.Config = h
	s.Start()
	defer s.Close()

	c, err := net.Dial("tcp", s.Listener.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	if _, err := c.Write([]byte("GET /much HTTP/1.1\r\nHost: localhost\r\n\r\n")); err != nil {
		t.Fatal(err)
	}
	if err := <-given; err == nil {
		t.Error("64 MiB were written to who took nothing")
	}

	lab.get("NT1", "/")
	r, err := http.NewRequest(http.MethodGet, s.URL+"/events", nil)
	if err != nil {
		t.Fatal(err)
	}
	began := time.Now()
	res, err := lab.people["NT1"].Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	beat := make([]byte, 64)
	n, err := res.Body.Read(beat)
	if err != nil || !strings.Contains(string(beat[:n]), "beat") || time.Since(began) < h.WriteTimeout {
		t.Errorf("%d: after %v the stream says %q (%v)", res.StatusCode, time.Since(began), beat[:n], err)
	}
}
