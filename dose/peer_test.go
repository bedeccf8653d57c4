package dose_test

import (
	"encoding/json"
	"os"
	"os/exec"
	"testing"
	"time"

	"vialwright/dose"
)

// TestAgainstOtherProgram: random prescriptions, with a shunt by counts and background, against
// the published formulas in another language, and uncertainties by its central differences.
func TestAgainstOtherProgram(t *testing.T) {
	const python = "/usr/bin/python3"
	if _, err := os.Stat(python); err != nil && os.Getenv("CI") != "true" {
		t.Skip(err)
	}
	out, err := exec.Command(python, "testdata/dose_peer.py", "3", "200").Output()
	if err != nil {
		t.Fatal(err)
	}
	var all []struct {
		Text  string
		Shunt [2]float64
		Doses map[string][2]float64
	}
	if err := json.Unmarshal(out, &all); err != nil {
		t.Fatal(err)
	}
	for _, x := range all {
		o, err := dose.Read([]byte(x.Text), time.LoadLocation)
		if err != nil {
			t.Fatalf("%v\n%s", err, x.Text)
		}
		r, err := dose.Check(o)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "shunt", float64(o.Shunt.Value), x.Shunt[0], 1e-12)
		near(t, "u(shunt)", float64(o.Shunt.U), x.Shunt[1], 1e-7)
		for _, d := range r.Doses {
			want := x.Doses[string(d.Of)]
			near(t, string(d.Of), float64(d.Dose), want[0], 1e-12)
			near(t, "u of "+string(d.Of), float64(d.U), want[1], 1e-7)
		}
		if len(r.Doses) != len(x.Doses) {
			t.Errorf("%d doses, want %d", len(r.Doses), len(x.Doses))
		}
		if t.Failed() {
			t.Fatal(x.Text)
		}
	}
	if len(all) != 200 {
		t.Errorf("%d prescriptions were compared", len(all))
	}
}
