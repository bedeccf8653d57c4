package main

import (
	"bytes"
	"context"
	"encoding/json"
	"math"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"vialwright/experience/invented"
	"vialwright/store/sqlite"
)

// openCase is a vial read and nothing drawn yet; the order states no residual
// and the site no yield.
const openCase = `case: 1
zone: Atlantic/Azores
meters:
  - id: M1
    calibration-u: 2 %
    repeatability: 0.8 %
    geometry:
      shipping-vial: {factor: 1, u: 0 %, basis: label}
entries:
  - order: {id: P1, prescribed: 1.30 GBq, at: 2027-03-04T13:30}
  - receive: {vial: S1, lot: L-0311, labelled: 3.0 GBq, reference: 2027-03-04T18:00, volume: 5.0 mL}
  - read: {of: S1, meter: M1, at: 2027-03-04T11:00, gross: 3.24 GBq, background: 0.2 MBq}
`

// told runs the program and gives what it prints.
func told(t *testing.T, in string, args ...string) string {
	t.Helper()
	out, wrong, status := toldWith(in, args...)
	if status != 0 {
		t.Fatalf("%v: status %d, %s", args, status, wrong)
	}
	return out
}

// toldWith is told with whatever the status is.
func toldWith(in string, args ...string) (text, wrong string, status int) {
	var out, bad bytes.Buffer
	now := func() time.Time { return time.Date(2027, 3, 4, 10, 30, 0, 0, time.UTC) }
	status = run(args, &edge{strings.NewReader(in), &out, &bad, now})
	return out.String(), bad.String(), status
}

// A case that takes over what 200 invented cases have taught is planned
// otherwise than that of a new site, and says why. The residual that the order
// does not state moves the wanted activity to 1.30/(1 − 0.032) GBq = 1.343 GBq,
// and the draw to 3.2398 GBq·V/5 mL·0.924 = 1.343 GBq·2^(2.5/64.04).
func TestExperienceIntoAPlan(t *testing.T) {
	path := filepath.Join(t.TempDir(), "lab")
	log, err := sqlite.Create(context.Background(), path)
	if err != nil {
		t.Fatal(err)
	}
	all, err := invented.Site(200, 1, time.Date(2027, 3, 4, 11, 0, 0, 0, time.UTC), time.LoadLocation)
	if err != nil {
		t.Fatal(err)
	}
	if err := appendAll(context.Background(), log, all); err != nil {
		t.Fatal(err)
	}
	if err := log.Close(); err != nil {
		t.Fatal(err)
	}
	page := told(t, "", "experience", "--journal", path)
	for _, want := range []string{"200 finished orders, 198 draws", "100.0 ± 9.1 %", "92.4 ± 3.1 %", "P0041", "P0061"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page does not say %q:\n%s", want, page)
		}
	}
	type distributed struct{ Mean, SD float64 }
	var a struct {
		Orders int `json:"finished_orders"`
		Rows   []struct {
			Yield struct {
				Cases  int
				Before distributed `json:"before_any"`
				Now    distributed `json:"expected_now"`
			}
		}
	}
	if err := json.Unmarshal([]byte(told(t, "", "experience", "--json", "--journal", path)), &a); err != nil {
		t.Fatal(err)
	}
	if y := a.Rows[1].Yield; a.Orders != 200 || len(a.Rows) != 9 || y.Cases != 55 || math.Abs(y.Before.Mean-1) > 1e-9 || y.Now.Mean < 0.91 || y.Now.Mean > 0.93 || y.Now.SD >= y.Before.SD {
		t.Errorf("%+v", a.Rows)
	}
	fact := told(t, "", "experience", "--fact", "--journal", path)
	fresh := told(t, openCase, "reckon", "-")
	taught := told(t, openCase+fact, "reckon", "-")
	for _, want := range []string{"2.1 mL from S1", "90.3", "draw yield 100 % with u 5 %", "allows nothing for the residual"} {
		if !strings.Contains(strings.Join(strings.Fields(fresh), " "), want) {
			t.Errorf("a new site's page does not say %q:\n%s", want, fresh)
		}
	}
	for _, want := range []string{"2.2 mL from S1", "Draw yield q: 92.4 %: 92.4 ± 3.1 %, from 198 draws of this site", "without them: 100.0 ± 5.0 %", "1.282 ± 0.054 GBq", "3.2 ± 1.1 %", "[residual-experience]", "experience        draw yield"} {
		if !strings.Contains(taught, want) {
			t.Errorf("the page does not say %q:\n%s", want, taught)
		}
	}
	if !strings.Contains(told(t, openCase+fact, "reckon", "--json", "-"), `"draw_yield": 0.924`) {
		t.Error("the JSON does not hold the yield")
	}
}

// A past is for practice only.
func TestPastIsForPractice(t *testing.T) {
	for _, args := range [][]string{{"--past", "3", "--journal", "x", "--zone", "UTC"}, {"--practice", "--past", "-1"}, {"--practice", "--past", "20001"}} {
		var out, wrong bytes.Buffer
		if status := run(append([]string{"serve"}, args...), &edge{strings.NewReader(""), &out, &wrong, time.Now}); status != 2 {
			t.Errorf("%v: status %d, %s", args, status, wrong.String())
		}
	}
}
