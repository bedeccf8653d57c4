package main

import (
	"context"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"vialwright/store/sqlite"
)

// TestPracticeMeters: a practice laboratory with a past has a year of an invented meter, and the
// command names each fault of it with its date.
func TestPracticeMeters(t *testing.T) {
	path := filepath.Join(t.TempDir(), "lab")
	log, err := sqlite.Create(context.Background(), path)
	if err != nil {
		t.Fatal(err)
	}
	at := time.Date(2027, 3, 4, 11, 0, 0, 0, time.UTC)
	if err := openPractice(context.Background(), log, &edge{now: func() time.Time { return at }}, 5); err != nil {
		t.Fatal(err)
	}
	if err := log.Close(); err != nil {
		t.Fatal(err)
	}
	out, _, status := toldWith("", "meters", "--journal", path, "--rules", "us", "--at", "2027-03-04T10:00")
	for _, want := range []string{
		"the reading of 1.344 GBq at 6 May 2026 07:30 departs by -2.22 %", "M2 on 12 Jun 2026 read 5.317 MBq",
		"with source CS1 has drifted by -2.38 % since 3 Nov 2026", "The calibration for the syringe of M2 lapsed on 29 Dec 2026",
		"OVERDUE  M2: background of the day has been due since 4 Mar 2027", "the traceable scale is 123.5 ± 2.4 % of the label-matched one",
	} {
		if !strings.Contains(out, want) {
			t.Errorf("%q is not said:\n%s", want, out)
		}
	}
	if status != 1 {
		t.Errorf("status %d", status)
	}
	if out, _, _ := toldWith("", "meters", "--journal", path, "--json"); !strings.Contains(out, `"code": "source-swapped"`) {
		t.Errorf("%.300s", out)
	}
}
