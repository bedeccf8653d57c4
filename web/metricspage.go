package web

import (
	"crypto/subtle"
	"net/http"
	"strings"

	"vialwright/people"
)

// metricsPage gives the counters in the text form that Prometheus reads, to
// who has the token, or may see the health.
func metricsPage(q *request) error {
	token, bearer := strings.CutPrefix(q.r.Header.Get("Authorization"), "Bearer ")
	switch {
	case bearer && q.MetricsToken != "" && same(token, q.MetricsToken):
	case q.known() != people.Fresh:
		return &refusal{http.StatusUnauthorized, "Signed out", "nobody is signed in", "sign in", "/sign-in"}
	default:
		if err := people.May(q.who.Person, people.SeeHealth); err != nil {
			return err
		}
	}
	q.w.Header().Set("Content-Type", "text/plain; version=0.0.4; charset=utf-8")
	q.w.WriteHeader(http.StatusOK)
	return q.writeCounts(q.w)
}

// same compares secrets in a time that does not depend on them.
func same(a, b string) bool { return subtle.ConstantTimeCompare([]byte(a), []byte(b)) == 1 }
