package quantity_test

import (
	"testing"

	"vialwright/quantity"
)

// TestShowU: an uncertainty that is there is never printed as none.
func TestShowU(t *testing.T) {
	for u, want := range map[quantity.Activity]string{
		0: "0 Bq", 0.00026: "below 0.0005 Bq", 0.0006: "0.0006 Bq", 12.3: "12.3 Bq", 1.5e6: "1.5 MBq",
	} {
		if got := quantity.ShowU(u); got != want {
			t.Errorf("%g Bq is printed as %q, want %q", float64(u), got, want)
		}
	}
}
