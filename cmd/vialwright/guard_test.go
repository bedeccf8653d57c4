package main

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"math/big"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// pairFor makes a certificate for some names, and gives the paths of it and its key.
func pairFor(t *testing.T, names ...string) (cert, key string) {
	t.Helper()
	k, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	now := time.Now()
	leaf := &x509.Certificate{SerialNumber: big.NewInt(1), Subject: pkix.Name{CommonName: "invented"}, DNSNames: names, NotBefore: now.Add(-time.Hour), NotAfter: now.Add(time.Hour)}
	der, err := x509.CreateCertificate(rand.Reader, leaf, leaf, &k.PublicKey, k)
	if err != nil {
		t.Fatal(err)
	}
	bits, err := x509.MarshalPKCS8PrivateKey(k)
	if err != nil {
		t.Fatal(err)
	}
	cert, key = filepath.Join(t.TempDir(), "cert.pem"), filepath.Join(t.TempDir(), "key.pem")
	for path, block := range map[string]*pem.Block{cert: {Type: "CERTIFICATE", Bytes: der}, key: {Type: "PRIVATE KEY", Bytes: bits}} {
		if err := os.WriteFile(path, pem.EncodeToMemory(block), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return cert, key
}

// The server answers to its own names alone, and where the connection is encrypted a
// browser is told never to come otherwise.
func TestGuard(t *testing.T) {
	cert, key := pairFor(t, "lab.example", "*.hospital.example")
	pair, err := (&serveCmd{CertFile: cert, KeyFile: key}).certificate()
	if err != nil {
		t.Fatal(err)
	}
	next := http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(http.StatusOK) })
	for _, c := range []struct {
		host        string
		here, named int
	}{
		{"127.0.0.1:8077", 200, 200},
		{"localhost:8077", 200, 200},
		{"[::1]:8077", 200, 200},
		{"LOCALHOST", 200, 200},
		{"lab.example:8443", 421, 200},
		{"LAB.example", 421, 200},
		{"bench.hospital.example", 421, 200},
		{"other.example", 421, 421},
		{"lab.example.other.example", 421, 421},
		{"a.b.hospital.example", 421, 421},
		{"192.0.2.1:8077", 421, 421},
		{"", 421, 421},
		{"127.0.0.1.other.example", 421, 421},
	} {
		for name, g := range map[string]struct {
			guard
			want int
		}{"plain": {guard{next: next}, c.here}, "encrypted": {guard{next, pair.Leaf}, c.named}} {
			r := httptest.NewRequest(http.MethodGet, "http://placeholder/", nil)
			r.Host = c.host
			w := httptest.NewRecorder()
			g.ServeHTTP(w, r)
			if w.Code != g.want {
				t.Errorf("%s, asked for as %q: %d, want %d", name, c.host, w.Code, g.want)
			}
			if has := w.Header().Get("Strict-Transport-Security") != ""; has != (g.leaf != nil) {
				t.Errorf("%s, asked for as %q: Strict-Transport-Security %v", name, c.host, has)
			}
		}
	}
}

// Beyond the machine itself nothing is served without a certificate.
func TestServedBeyondTheMachine(t *testing.T) {
	journal := filepath.Join(t.TempDir(), "lab")
	for _, listen := range []string{":0", "0.0.0.0:0", "[::]:0", "192.0.2.1:0", "lab.example:0", "127.0.0.1.example:0"} {
		want(t, 2, "is beyond this machine: passwords would travel in the clear", "serve", "--journal", journal, "--zone", "Atlantic/Azores", "--listen", listen)
	}
	if _, err := os.Stat(journal); err == nil {
		t.Error("a journal was made all the same")
	}
}

// The token of the metrics comes out of a file of its owner alone, and is long.
func TestTokenOfTheMetrics(t *testing.T) {
	for name, c := range map[string]struct {
		text string
		mode os.FileMode
		want string
	}{
		"good":             {"0123456789abcdef\n", 0o600, ""},
		"of a group":       {"0123456789abcdef\n", 0o640, ""},
		"readable by all":  {"0123456789abcdef\n", 0o644, "can be read or changed by others"},
		"short":            {"secret\n", 0o600, "16 characters or more"},
		"nothing but ends": {"\n\n", 0o600, "16 characters or more"},
	} {
		path := filepath.Join(t.TempDir(), "token")
		if err := os.WriteFile(path, []byte(c.text), c.mode); err != nil {
			t.Fatal(err)
		}
		if err := os.Chmod(path, c.mode); err != nil {
			t.Fatal(err)
		}
		var b opened
		err := (&serveCmd{Metrics: path}).files(&b)
		switch {
		case c.want == "" && (err != nil || b.token != "0123456789abcdef"):
			t.Errorf("%s: %q, %v", name, b.token, err)
		case c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want)):
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
	}
	if err := (&serveCmd{Metrics: "/nowhere/token"}).files(new(opened)); err == nil {
		t.Error("a token that is not there was read")
	}
}

// A message shows no character that a terminal would obey.
func TestMessagesArePlain(t *testing.T) {
	var out strings.Builder
	e := &edge{err: &out}
	e.fail(usageError("record 3: \x1b[2J\x07 stands there,\u202e and \xff"), nil)
	if got, want := out.String(), "vialwright: record 3: \\x1b[2J\\a stands there,\\u202e and \\xff\n"; got != want {
		t.Errorf("said %q, want %q", got, want)
	}
}
