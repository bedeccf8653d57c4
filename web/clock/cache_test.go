package clock

import (
	"fmt"
	"reflect"
	"testing"

	"vialwright/settling"
)

// TestCacheOfTheClock: what is kept is what a fresh run gives, it is worked out
// once, and no more is kept than a day needs.
func TestCacheOfTheClock(t *testing.T) {
	c := settling.Default()
	c.Cells, c.Points, c.Span = 60, 31, 120
	s := NewCache(20)
	defer s.Close()
	for i := range 2 {
		c.Draw.Volume += 0.1
		want, err := settling.NewClock(c)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := s.get(c); err != nil {
			t.Fatal(err)
		}
		s.busy.Wait()
		got, err := s.get(c)
		if err != nil || !got.Spread {
			t.Fatalf("run %d: %v, %v", i, got.Spread, err)
		}
		spread, err := settling.MonteCarlo(c, 20, settlingSeed)
		if err != nil {
			t.Fatal(err)
		}
		if want.Safe, want.Spread = spread.Safe, true; !reflect.DeepEqual(got, want) {
			t.Errorf("run %d: kept is another than fresh", i)
		}
	}
	if s.known.Len() != 2 {
		t.Errorf("%d vials are kept, want 2", s.known.Len())
	}
	first := s.vial("1")
	if s.vial("1") != first {
		t.Error("a vial is not found again")
	}
	for i := range 3 * mostSettled {
		s.vial(fmt.Sprint("later ", i))
	}
	if s.known.Len() != mostSettled || s.known.Contains("1") {
		t.Errorf("%d are kept, want %d of the last", s.known.Len(), mostSettled)
	}
	c.Tip = 90
	for range 2 {
		if _, err := s.get(c); err == nil {
			t.Error("a needle above the surface is taken")
		}
	}
}
