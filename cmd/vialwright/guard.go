package main

import (
	"crypto/tls"
	"crypto/x509"
	"net"
	"net/http"
	"strings"
)

// guard stands before the pages and asks of every request what no page has to know:
// that it was sent to this server by a name of its own, so that a page of a stranger
// whose name leads here by a trick of name resolution gets nothing; and, where the
// connection is encrypted, that the browser never comes without that again (RFC 6797).
type guard struct {
	next http.Handler
	// leaf is the certificate that is shown; nil where nothing is encrypted, and this
	// machine alone is served.
	leaf *x509.Certificate
}

// hstsFor is a year, the usual length (RFC 6797, 6.1.1, gives it as an example), of
// this host alone: what else runs on the names below it is not known.
const hstsFor = "max-age=31536000"

// ServeHTTP answers a request to a name that is none of this server with 421
// Misdirected Request (RFC 9110, 15.5.20).
func (g guard) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	if g.leaf != nil {
		w.Header().Set("Strict-Transport-Security", hstsFor)
	}
	if !g.ours(r.Host) {
		http.Error(w, "This server has another name. Open it by the address that it printed when it was started, or by a name in its certificate.", http.StatusMisdirectedRequest)
		return
	}
	g.next.ServeHTTP(w, r)
}

// ours tells whether the server may be asked for by a host: by the names of this
// machine for itself or, with a certificate, by the names in that.
func (g guard) ours(hostport string) bool {
	host, _, err := net.SplitHostPort(hostport)
	if err != nil {
		host = strings.TrimSuffix(strings.TrimPrefix(hostport, "["), "]")
	}
	ip := net.ParseIP(host)
	if strings.EqualFold(host, "localhost") || ip != nil && ip.IsLoopback() {
		return true
	}
	return g.leaf != nil && host != "" && g.leaf.VerifyHostname(host) == nil
}

// certificate is what the server shows; nil where it encrypts nothing.
func (c *serveCmd) certificate() (*tls.Certificate, error) {
	if c.CertFile == "" {
		return nil, nil
	}
	pair, err := tls.LoadX509KeyPair(c.CertFile, c.KeyFile)
	if err != nil {
		return nil, usageError("--cert-file %s and --key-file %s cannot be used: %v", c.CertFile, c.KeyFile, err)
	}
	return &pair, nil
}
