package main

import (
	"bytes"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/emersion/go-ical"

	"vialwright/dayplan"
)

// TestCalendar reads the feed with another library than the one that wrote it, and
// holds its events against the plan.
func TestCalendar(t *testing.T) {
	data, err := os.ReadFile("../../examples/week.yaml")
	if err != nil {
		t.Fatal(err)
	}
	f, err := dayplan.Read(data, loadZone, time.Time{})
	if err != nil {
		t.Fatal(err)
	}
	p, err := dayplan.Solve(f.Day, 1<<20)
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if err := writeCalendar(&out, f, p, f.Day.Now); err != nil {
		t.Fatal(err)
	}
	for _, line := range strings.SplitAfter(out.String(), "\n") {
		if len(line) > 77 || (line != "" && !strings.HasSuffix(line, "\r\n")) {
			t.Errorf("%q is longer than 75 bytes, or does not end as RFC 5545, 3.1 has it", line)
		}
	}
	cal, err := ical.NewDecoder(&out).Decode()
	if err != nil {
		t.Fatal(err)
	}
	begins := map[string]time.Time{}
	uids := map[string]bool{}
	for _, e := range cal.Events() {
		uid, err := e.Props.Text(ical.PropUID)
		if err != nil || uid == "" || uids[uid] {
			t.Errorf("uid %q is not an event's own: %v", uid, err)
		}
		uids[uid] = true
		name, _ := e.Props.Text(ical.PropSummary)
		begins[name], err = e.DateTimeStart(time.UTC)
		if err != nil {
			t.Error(err)
		}
		if end := e.Props.Get(ical.PropDateTimeEnd); end != nil {
			if until, err := e.DateTimeEnd(time.UTC); err != nil || !until.After(begins[name]) {
				t.Errorf("%s ends %v, begins %v: %v", name, until, begins[name], err)
			}
		}
	}
	for _, r := range p.Rows {
		if got := begins["Infusion of "+r.Order]; !got.Equal(r.Infuse) {
			t.Errorf("infusion of %s at %v, want %v", r.Order, got, r.Infuse)
		}
		if got := begins["Draw for "+r.Order+" from "+r.From]; !got.Equal(r.Draw) {
			t.Errorf("draw for %s at %v, want %v", r.Order, got, r.Draw)
		}
	}
	if n := len(cal.Events()); n != 2*len(p.Rows)+3+2+2 {
		t.Errorf("%d events: those of 6 orders, 3 deliveries, 2 cut-offs and 2 tests are wanted", n)
	}
}
