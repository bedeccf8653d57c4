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

// WriteCounts gives the counters of the server, and what the program holds now.
func (s *Server) WriteCounts(w io.Writer) error {
	c := s.counts
	c.mu.Lock()
	defer c.mu.Unlock()
	var err error
	p := func(format string, args ...any) { _, err = fmt.Fprintf(w, format+"\n", args...) }
	gauge := func(name, help string, value any) {
		p("# HELP %s %s\n# TYPE %[1]s gauge\n%[1]s %[3]d", name, help, value)
	}
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
	gauge("vialwright_streams", "Open event streams.", s.Lab.Listeners())
	gauge("vialwright_journal_records", "Records of the journal that were verified.", s.Lab.Report().Records)
	late := 0
	if w := s.Lab.Witness(); w != nil {
		for _, place := range w.Standing() {
			if !place.Since.IsZero() {
				late++
			}
		}
	}
	gauge("vialwright_witnesses_late", "Places that take no notes of the journal's head.", late)
	broken := 0
	if s.Lab.Broken() != nil {
		broken = 1
	}
	gauge("vialwright_journal_broken", "1 where the journal does not hold.", broken)
	return err
}
