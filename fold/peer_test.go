package fold_test

import (
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"testing"
	"time"

	"vialwright/dispensing"
	"vialwright/fact/facttest"
	"vialwright/fold"
)

// TestBooksAgainstNumpy: random case files against an independent program: readings by a meter
// that is calibrated anew between them, with factors by kind of container and by fill.
func TestBooksAgainstNumpy(t *testing.T) {
	if testing.Short() {
		t.Skip("-short: the program that it is compared with is not asked")
	}
	const python = "/usr/bin/python3"
	if err := exec.Command(python, "-c", "import numpy").Run(); err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("the peer needs python3 with numpy: %v", err)
		}
		t.Skipf("the peer needs python3 with numpy: %v", err)
	}
	out, err := exec.Command(python, "testdata/books_peer.py", "7", "60").Output()
	if err != nil {
		t.Fatal(err)
	}
	var all []struct {
		Text     string
		Chi2     float64
		Contents map[string][2]float64
	}
	if err := json.Unmarshal(out, &all); err != nil {
		t.Fatal(err)
	}
	start, checked := time.Date(2027, 3, 4, 6, 0, 0, 0, time.UTC), 0
	for _, x := range all {
		c, err := fold.File(facttest.Decode(t, []byte(x.Text)))
		if err != nil {
			t.Fatalf("%v\n%s", err, x.Text)
		}
		r := dispensing.Reckon(c, time.Time{})
		for _, k := range r.Containers {
			want, ok := x.Contents[k.Container.ID]
			if !ok {
				continue
			}
			left := math.Exp2(-k.At.Sub(start).Hours() / 64.0417)
			near(t, k.Container.ID, float64(k.Activity), want[0]*left, 1e-9)
			near(t, "u of "+k.Container.ID, float64(k.U), want[1]*left, 1e-6)
			checked++
		}
		if math.Abs(r.Consistency.Chi2-x.Chi2) > 1e-6*x.Chi2+1e-9 {
			t.Errorf("chi-square is %g, want %g", r.Consistency.Chi2, x.Chi2)
		}
		if t.Failed() {
			t.Fatal(x.Text)
		}
	}
	if len(all) != 60 || checked < 150 {
		t.Errorf("%d files and %d contents were compared", len(all), checked)
	}
}
