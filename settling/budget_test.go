package settling

import (
	"errors"
	"math"
	"reflect"
	"testing"
)

// Each row's part is the mean of its two changes; they add in squares; every
// input of Uncertainties has its row.
func TestBudgetedAddsUp(t *testing.T) {
	c := Default()
	c.Cells = 100
	b, err := Budgeted(c)
	if err != nil {
		t.Fatal(err)
	}
	if want := reflect.TypeFor[Uncertainties]().NumField(); len(b.Rows) != want || len(inputs) != want || len(described) != want {
		t.Errorf("%d rows of %d inputs", len(b.Rows), want)
	}
	sum := 0.0
	for _, r := range b.Rows {
		if r.U <= 0 || abs(float64(r.U1)-(abs(float64(r.High-b.Window))+abs(float64(r.Low-b.Window)))/2) > 1e-12 {
			t.Errorf("row %+v", r)
		}
		sum += float64(r.U1 * r.U1)
	}
	near(t, "combined", float64(b.U), math.Sqrt(sum), 1e-12)
	if len(b.Alternatives) != 5 {
		t.Errorf("%d alternatives", len(b.Alternatives))
	}
	c.U = Uncertainties{}
	if b, err = Budgeted(c); err != nil || b.U != 0 || len(b.Rows) != 0 {
		t.Errorf("without uncertainties: %v %v", b, err)
	}
	c.Tolerance, c.Draw, c.Tip, c.Span = 0.5, Draw{}, 15, 1
	var e *Error
	if _, err := Budgeted(c); !errors.As(err, &e) || e.Input != "Span" {
		t.Errorf("no window: %v", err)
	}
}

// Small uncertainties make the model linear: the Monte Carlo spread is then the
// budget's.
func TestMonteCarloAgainstBudget(t *testing.T) {
	c := Default()
	c.Tip, c.Cells = 8, 320 // 80 cells a trial
	c.U = Uncertainties{Temperature: 1, Density: 0.03, Exponent: 0.1, Bore: 0.01}
	windows, err := c.windows(400, 7)
	if err != nil {
		t.Fatal(err)
	}
	c.Cells = 80
	b, err := Budgeted(c)
	if err != nil {
		t.Fatal(err)
	}
	// 400 trials give a standard deviation to 3.5 %.
	mean, sd := moments(windows)
	near(t, "standard deviation", sd, float64(b.U), 0.12)
	near(t, "mean", mean, float64(b.Window), 0.02)
	s, err := MonteCarlo(c, 400, 7)
	if err != nil {
		t.Fatal(err)
	}
	if s.Trials != 400 || !(windows[0] > 0 && atLeast(windows, 0.025) < s.Safe && float64(s.Safe) < mean && mean < float64(windows[399])) {
		t.Errorf("%+v of %v to %v", s, windows[0], windows[399])
	}
}

func TestMonteCarloIsSeeded(t *testing.T) {
	c := Default()
	c.Cells, c.Classes = 80, 5
	a, err := MonteCarlo(c, 20, 3)
	if err != nil {
		t.Fatal(err)
	}
	if again, _ := MonteCarlo(c, 20, 3); again != a {
		t.Error("the same seed gave another answer")
	}
	if other, _ := MonteCarlo(c, 20, 4); other == a {
		t.Error("another seed gave the same answer")
	}
	var e *Error
	if _, err := MonteCarlo(c, 1, 3); !errors.As(err, &e) || e.Input != "trials" {
		t.Errorf("one trial: %v", err)
	}
	c.U.Density = 1000
	if _, err := MonteCarlo(c, 20, 3); !errors.As(err, &e) || e.Input != "U" {
		t.Errorf("an absurd uncertainty: %v", err)
	}
}
