package kit

import (
	"fmt"
	"io"
	"maps"
	"slices"
	"strconv"
	"sync"
	"time"
)

// metrics are what a program that watches is told, in the text form of
// Prometheus (exposition format 0.0.4). Labels are patterns of addresses,
// never the addresses, so that no id of an order gets out.
type metrics struct {
	mu           sync.Mutex
	requests     map[string]uint64 // by the labels, ready written
	bucketCounts []uint64          // requests that took no longer than each of spans
	slow         uint64            // those that took longer than all
	sum          time.Duration
}

// bucketBounds are the upper ends of the classes of time taken.
var bucketBounds = []time.Duration{time.Millisecond, 5 * time.Millisecond, 20 * time.Millisecond, 100 * time.Millisecond, 500 * time.Millisecond, 2 * time.Second}

func newMetrics() *metrics {
	return &metrics{requests: map[string]uint64{}, bucketCounts: make([]uint64, len(bucketBounds))}
}

// observe counts an answered request. A stream lasts as long as its page, and
// says nothing of the time an answer takes.
func (c *metrics) observe(r Route, status int, took time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.requests[fmt.Sprintf("method=%q,route=%q,status=\"%d\"", r.Method, r.Path, status)]++
	if r.Path == "/events" {
		return
	}
	c.sum += took
	for i, most := range bucketBounds {
		if took <= most {
			c.bucketCounts[i]++
			return
		}
	}
	c.slow++
}

// WriteCounts gives the counters of the server.
func (s *Server) WriteCounts(w io.Writer) error { return s.counts.write(w, s) }

// write gives the counters and what the program holds now.
func (c *metrics) write(w io.Writer, s *Server) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	p := func(format string, args ...any) { fmt.Fprintf(w, format+"\n", args...) }
	p("# HELP vialwright_requests_total Requests answered, by pattern of the address and status.\n# TYPE vialwright_requests_total counter")
	for _, labels := range slices.Sorted(maps.Keys(c.requests)) {
		p("vialwright_requests_total{%s} %d", labels, c.requests[labels])
	}
	p("# HELP vialwright_request_seconds Time to answer a request; streams are left out.\n# TYPE vialwright_request_seconds histogram")
	n := uint64(0)
	for i, most := range bucketBounds {
		n += c.bucketCounts[i]
		p("vialwright_request_seconds_bucket{le=\"%s\"} %d", strconv.FormatFloat(most.Seconds(), 'g', -1, 64), n)
	}
	n += c.slow
	p("vialwright_request_seconds_bucket{le=\"+Inf\"} %d", n)
	p("vialwright_request_seconds_sum %g\nvialwright_request_seconds_count %d", c.sum.Seconds(), n)
	p("# HELP vialwright_streams Open event streams.\n# TYPE vialwright_streams gauge\nvialwright_streams %d", s.Lab.Listeners())
	p("# HELP vialwright_journal_records Records of the journal that were verified.\n# TYPE vialwright_journal_records gauge")
	p("vialwright_journal_records %d", s.Lab.Report().Records)
	late := 0
	if w := s.Lab.Witness(); w != nil {
		for _, place := range w.Standing() {
			if !place.Since.IsZero() {
				late++
			}
		}
	}
	p("# HELP vialwright_witnesses_late Places that take no notes of the journal's head.\n# TYPE vialwright_witnesses_late gauge\nvialwright_witnesses_late %d", late)
	broken := 0
	if s.Lab.Broken() != nil {
		broken = 1
	}
	p("# HELP vialwright_journal_broken 1 where the journal does not hold.\n# TYPE vialwright_journal_broken gauge")
	_, err := fmt.Fprintf(w, "vialwright_journal_broken %d\n", broken)
	return err
}
