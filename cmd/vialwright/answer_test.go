package main

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"regexp"
	"slices"
	"testing"

	"golang.org/x/tools/txtar"
)

// exampleCase is the case of testdata/reckon.txtar, so that the manual and
// this test speak of one file.
func exampleCase(t *testing.T) string {
	t.Helper()
	a, err := txtar.ParseFile("testdata/reckon.txtar")
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range a.Files {
		if f.Name == "case.yaml" {
			path := t.TempDir() + "/case.yaml"
			if err := os.WriteFile(path, f.Data, 0o600); err != nil {
				t.Fatal(err)
			}
			return path
		}
	}
	t.Fatal("testdata/reckon.txtar has no case.yaml")
	return ""
}

func answerOf(t *testing.T, args ...string) []byte {
	t.Helper()
	var out, errs bytes.Buffer
	if status := run(args, &edge{nil, &out, &errs, nil}); status != 0 {
		t.Fatalf("status %d: %s", status, errs.String())
	}
	return out.Bytes()
}

// TestAnswerKeys holds the keys, their order and their nesting to the
// published form: another program reads them.
func TestAnswerKeys(t *testing.T) {
	text := answerOf(t, "reckon", "--json", exampleCase(t))
	want := []string{
		"half_life_h",
		"vials", "id", "measured_MBq", "u_MBq", "at", "label_ratio", "remaining_MBq", "remaining_mL",
		"containers", "id", "kind", "activity_MBq", "u_MBq", "at", "volume_mL",
		"orders", "id", "wanted_MBq", "wanted_at",
		"plan", "from", "draw_mL", "draw_mL_exact", "predicted_conformance", "readings_needed",
		"dispensed_MBq", "u_MBq", "at", "ratio", "conformance", "verdict", "valid_from", "valid_until",
		"delivered_MBq", "delivered_u_MBq", "residual_fraction",
		"consistency", "chi2", "dof",
		"findings", "code", "severity", "text",
	}
	var got []string
	for _, m := range regexp.MustCompile(`(?m)^ *"(\w+)":`).FindAllSubmatch(text, -1) {
		got = append(got, string(m[1]))
	}
	// The four containers and the three findings repeat the keys of the first;
	// the last finding, of an entry of an order, has two keys more.
	c := slices.Index(got, "containers")
	got = slices.Delete(got, c+7, c+7+3*6)
	f := slices.Index(got, "findings")
	if extra := got[f+4:]; !slices.Equal(extra, []string{"code", "severity", "text", "code", "severity", "entry", "order", "text"}) {
		t.Errorf("further findings have the keys %q", extra)
	}
	got = got[:f+4]
	if !slices.Equal(got, want) {
		t.Errorf("keys\n%q, want\n%q", got, want)
	}
}

// answer is what the test below reads of an answer.
type answer struct {
	HalfLife float64 `json:"half_life_h"`
	Vials    []struct {
		Measured        float64 `json:"measured_MBq"`
		RemainingVolume float64 `json:"remaining_mL"`
		At              string  `json:"at"`
	} `json:"vials"`
	Containers []struct {
		Activity float64 `json:"activity_MBq"`
	} `json:"containers"`
	Orders []struct {
		Plan struct {
			Draw  float64 `json:"draw_mL"`
			Exact float64 `json:"draw_mL_exact"`
		} `json:"plan"`
		WantedAt         string  `json:"wanted_at"`
		Dispensed        float64 `json:"dispensed_MBq"`
		U                float64 `json:"u_MBq"`
		At               string  `json:"at"`
		Ratio            float64 `json:"ratio"`
		Conformance      float64 `json:"conformance"`
		ValidFrom        string  `json:"valid_from"`
		ValidUntil       string  `json:"valid_until"`
		Delivered        float64 `json:"delivered_MBq"`
		ResidualFraction float64 `json:"residual_fraction"`
	} `json:"orders"`
}

// TestAnswerNumbers checks the example's numbers, worked out independently to
// the digits given.
func TestAnswerNumbers(t *testing.T) {
	var a answer
	if err := json.Unmarshal(answerOf(t, "reckon", "--json", exampleCase(t)), &a); err != nil {
		t.Fatal(err)
	}
	v, o := a.Vials[0], a.Orders[0]
	for _, c := range []struct {
		what      string
		got, want float64
		tol       float64
	}{
		{"half-life", a.HalfLife, 64.0417, 0},
		{"epoch activity", v.Measured, 3003.409, 5e-4},
		{"wanted draw", o.Plan.Exact, 2.10339, 5e-6},
		{"rounded draw", o.Plan.Draw, 2.1, 0},
		{"dispensed", o.Dispensed, 1348.340, 5e-4},
		{"its uncertainty", o.U, 39.650, 5e-4},
		{"ratio", o.Ratio, 1.016441, 5e-7},
		{"conformance", o.Conformance, 0.997361, 5e-7},
		{"residual fraction", o.ResidualFraction, 0.0354968, 5e-8},
		{"delivered", o.Delivered, 1300.479, 5e-4},
		{"left in the vial", v.RemainingVolume, 2.8, 0},
	} {
		if math.Abs(c.got-c.want) > c.tol {
			t.Errorf("%s: %.10g, want %.10g", c.what, c.got, c.want)
		}
	}
	for _, c := range [][3]string{
		{"vial at", v.At, "2027-03-04T18:00:00-01:00"},
		{"wanted at", o.WantedAt, "2027-03-04T11:10:00-01:00"},
		{"dispensed at", o.At, "2027-03-04T13:30:00-01:00"},
		{"valid from", o.ValidFrom, "2027-03-04T11:10:00-01:00"},
		{"valid until", o.ValidUntil, "2027-03-05T00:44:28-01:00"},
	} {
		if c[1] != c[2] {
			t.Errorf("%s: %s, want %s", c[0], c[1], c[2])
		}
	}
	sum := 0.0
	for _, c := range a.Containers {
		sum += c.Activity
	}
	// All containers hold what was received: 3003.409 MBq at the epoch, taken
	// to the latest entry, 2.8 h before it.
	if want := v.Measured * math.Exp2(2.8/64.0417); math.Abs(sum-want) > 1e-6 {
		t.Errorf("containers hold %.6f MBq together, received %.6f", sum, want)
	}
}
