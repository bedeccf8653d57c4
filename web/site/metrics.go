package site

import (
	"crypto/subtle"
	"net/http"
	"strings"

	"vialwright/people"
	"vialwright/web/kit"
)

// metricsPage gives the counters in the text form that Prometheus reads, to
// who has the token, or may see the health.
func metricsPage(q *request) error {
	token, bearer := strings.CutPrefix(q.R.Header.Get("Authorization"), "Bearer ")
	switch {
	case bearer && q.MetricsToken != "" && subtle.ConstantTimeCompare([]byte(token), []byte(q.MetricsToken)) == 1:
	case q.Known() != people.Fresh:
		return &kit.Refusal{Status: http.StatusUnauthorized, Heading: "Signed out", Text: "nobody is signed in", Hint: "sign in", Back: "/sign-in"}
	default:
		if err := people.May(q.Who.Person, people.SeeHealth); err != nil {
			return err
		}
	}
	q.W.Header().Set("Content-Type", "text/plain; version=0.0.4; charset=utf-8")
	q.W.WriteHeader(http.StatusOK)
	return q.WriteCounts(q.W)
}
