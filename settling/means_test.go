package settling_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"vialwright/quantity"
	"vialwright/settling"
)

// TestMeansAgainstDrawn: letting the suspension settle once gives what letting
// it settle again for each start gives. The steps of time lie elsewhere, which
// moves a front by less than a cell, 1/400 of the liquid.
func TestMeansAgainstDrawn(t *testing.T) {
	c := settling.Default()
	c.Span = 120
	got, err := settling.Means(c, 5)
	if err != nil {
		t.Fatal(err)
	}
	if len(got) != 25 {
		t.Fatalf("%d starts, want 25", len(got))
	}
	for _, k := range []int{0, 1, 6, 11, 12, 24} {
		want, err := settling.Drawn(c, got[k].Start)
		if err != nil {
			t.Fatal(err)
		}
		if got[k].Start != quantity.Span(5*k) || math.Abs(float64(got[k].Mean-want)) > 0.005 {
			t.Errorf("begun at %v: %v, alone %v", got[k].Start, got[k].Mean, want)
		}
	}
}

func TestMeansRefuses(t *testing.T) {
	wrong := settling.Default()
	wrong.Temperature = -3
	for _, c := range []struct {
		in    settling.Case
		step  quantity.Span
		input string
	}{
		{wrong, 5, "Temperature"},
		{settling.Default(), 0, "step"},
		{settling.Default(), 301, "step"},
	} {
		_, err := settling.Means(c.in, c.step)
		if e, ok := errors.AsType[*settling.Error](err); !ok || e.Input != c.input {
			t.Errorf("%v, want a refusal of %s", err, c.input)
		}
	}
	if err := settling.Check(wrong); err == nil {
		t.Error("water of -3 C is taken")
	}
	if err := settling.Check(settling.Default()); err != nil {
		t.Error(err)
	}
}

// TestBelow: by hand, 5 mm of an 18 mm bore are pi 81 mm2 5 mm = 1.2723 mL, and
// a cone of 3 mm holds a third of a cylinder.
func TestBelow(t *testing.T) {
	r := settling.Result{Case: settling.Default()}
	v := settling.Result{Case: settling.Default()}
	v.Case.Vessel = settling.VBottom(18, 3)
	for _, c := range []struct {
		r    settling.Result
		z    quantity.Length
		want float64
	}{{r, 0, 0}, {r, -1, 0}, {r, 5, 1.27235}, {r, 90, 5}, {v, 3, 0.25447}, {v, 5, 0.25447 + 0.50894}} {
		if got := float64(c.r.Below(c.z)); math.Abs(got-c.want) > 1e-4 {
			t.Errorf("below %v: %v mL, want %v", c.z, got, c.want)
		}
	}
}

// What a draw begun at one time or another would hold.
func ExampleMeans() {
	c := settling.Default()
	c.Span = 90
	drawn, err := settling.Means(c, 30)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, d := range drawn {
		fmt.Printf("begun after %2.0f s: %3.0f %% of the mixed concentration\n", float64(d.Start), 100*float64(d.Mean))
	}
	// Output:
	// begun after  0 s: 100 % of the mixed concentration
	// begun after 30 s: 100 % of the mixed concentration
	// begun after 60 s:  91 % of the mixed concentration
	// begun after 90 s:  91 % of the mixed concentration
}
