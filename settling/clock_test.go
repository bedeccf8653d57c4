package settling

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"vialwright/quantity"
)

// wordsCase is a clock of given figures: nothing is run.
func wordsCase(w Window, means ...quantity.Fraction) Clock {
	k := Clock{Result: Result{Case: Default(), Window: w}}
	k.Result.Track = []Point{{At: 0, Bed: 0}, {At: 300, Bed: 0}}
	for i, m := range means {
		k.Means = append(k.Means, DrawnPoint{quantity.Span(i) * MeansEvery, m})
	}
	return k
}

func TestWordsOfTheClock(t *testing.T) {
	thin := Window{State: Closes, Until: 6, Exit: TooThin}
	safe := wordsCase(thin, 1, 0.99, 0.95, 0.905, 0.8)
	safe.Safe, safe.Spread = 4.5, true
	none := safe
	none.Safe = -1
	buried := wordsCase(Window{State: Closes, Until: 6, Exit: BedAtTip}, 1, 1, 1, 1)
	deep := wordsCase(thin, 1, 0.99, 0.95, 0.97)
	deep.Result.Track[1].Bed = 9
	for _, c := range []struct {
		name       string
		clock      Clock
		at         quantity.Span
		word, text string
	}{
		{"best estimate", wordsCase(thin, 1, 1), 0, "Still mixed", "A draw begun within 6 s stays within 5 % of the mixed vial, by the model's best estimate."},
		{"sure", safe, 0, "Still mixed", "A draw begun within 4 s stays within 5 % of the mixed vial, with 95 % probability."},
		{"rounded down", safe, 3.6, "Still mixed", "A draw begun within 0 s stays within 5 % of the mixed vial, with 95 % probability."},
		{"before it", safe, -60, "Still mixed", "A draw begun within 4 s stays within 5 % of the mixed vial, with 95 % probability."},
		{"doubtful", safe, 5, "Resuspend again", "A draw begun now may be off by more than 5 %; the model's best estimate is 3.7 % too thin."},
		{"never safe", none, 0, "Resuspend again", "A draw begun now may be off by more than 5 %; the model's best estimate is the mixed concentration."},
		{"over", safe, 9, "Resuspend again", "The model says that a draw begun now is 9.5 % too thin."},
		{"long over", safe, 200, "Resuspend again", "The model says that a draw begun now is 20 % too thin."},
		{"beyond the run", safe, 301, "Resuspend again", "It has stood longer than the 5 min that the clock covers."},
		{"too rich", wordsCase(Window{State: Closes, Until: 2, Exit: TooRich}, 1, 1.2), 3, "Resuspend again", "The model says that a draw begun now is 20 % too rich."},
		{"bed", buried, 7, "Resuspend again", "The settled bed reaches the needle tip before a draw begun now ends: what it would hold cannot be predicted."},
		{"thin, then the bed", deep, 300, "Resuspend again", "The settled bed reaches the needle tip before a draw begun now ends: what it would hold cannot be predicted."},
		{"never open", wordsCase(Window{State: NeverOpen, Exit: TooThin}, 0.9), 0, "Keep it moving", "Even a draw begun at once is more than 5 % off the mixed vial: keep resuspending it while you draw."},
		{"stays open", wordsCase(Window{State: StaysOpen, Until: 300}, 1, 1), 240, "Still mixed", "A draw begun within 1 min stays within 5 % of the mixed vial, by the model's best estimate."},
	} {
		s := c.clock.At(c.at)
		before, left, after := s.Words()
		if got := before + left + after; got != c.text || s.Word() != c.word {
			t.Errorf("%s: %s: %s", c.name, s.Word(), got)
		}
	}
}

// TestClockAgainstTheModel: whatever the vial, the clock says "holds" only
// where a draw worked out alone is within tolerance, give or take what the
// grid does to a window (2 %) and to a mean (0.5 %).
func TestClockAgainstTheModel(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := Default()
		c.Cells, c.Points, c.Span = 200, 61, 120
		c.Volume = quantity.Volume(rapid.Float64Range(3, 8).Draw(t, "mL"))
		c.Count *= rapid.Float64Range(0.3, 1).Draw(t, "spheres")
		c.Draw.Volume = c.Volume / 5
		c.Tip = quantity.Length(rapid.Float64Range(2, 6).Draw(t, "tip"))
		k, err := NewClock(c)
		if err != nil {
			t.Fatal(err)
		}
		at := quantity.Span(rapid.Float64Range(0, 119).Draw(t, "at"))
		s := k.At(at)
		if want := at < k.Result.Window.Until; (s.Moment == Holds) != want {
			t.Fatalf("at %v it says %v, the window ends at %v", at, s.Moment, k.Result.Window.Until)
		}
		if s.Moment != Holds || at > 0.98*k.Result.Window.Until {
			return
		}
		mean, err := Drawn(c, at)
		if err != nil {
			t.Fatal(err)
		}
		if off := float64(mean) - 1; off < -0.055 || off > 0.055 {
			t.Fatalf("at %v it holds, and a draw is off by %v", at, off)
		}
	})
}

func TestClockRefuses(t *testing.T) {
	c := Default()
	c.Tip = 90
	if _, err := NewClock(c); err == nil || !strings.Contains(err.Error(), "Tip") {
		t.Errorf("%v", err)
	}
}

// What stands beside a vial half a minute after it was resuspended, and later.
func ExampleClock() {
	k, err := NewClock(Default())
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, at := range []time.Duration{30 * time.Second, 56 * time.Second, 90 * time.Second} {
		s := k.At(quantity.Span(at.Seconds()))
		before, left, after := s.Words()
		fmt.Println(s.Word() + ": " + before + left + after)
	}
	// Output:
	// Still mixed: A draw begun within 24 s stays within 5 % of the mixed vial, by the model's best estimate.
	// Resuspend again: The model says that a draw begun now is 6.0 % too thin.
	// Resuspend again: The settled bed reaches the needle tip before a draw begun now ends: what it would hold cannot be predicted.
}

func BenchmarkClock(b *testing.B) {
	for b.Loop() {
		if _, err := NewClock(Default()); err != nil {
			b.Fatal(err)
		}
	}
}

// A time is never rounded up: the window must not come out longer than it is.
func TestClockCutsToSeconds(t *testing.T) {
	for s, want := range map[quantity.Span]string{0: "0 s", 54.97: "54 s", 59.999: "59 s", 60: "1 min", 109.9: "1 min 49 s", 300: "5 min"} {
		if got := clock(s); got != want {
			t.Errorf("%v s reads %q, want %q", float64(s), got, want)
		}
	}
}
