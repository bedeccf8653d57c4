package view_test

import (
	"testing"

	"vialwright/web/view"
)

// TestBadgesDiffer: the orders of one morning cannot be taken for one another,
// also by who sees no colour, and an order keeps its badge.
func TestBadgesDiffer(t *testing.T) {
	const orders = 2000
	for n := 1; n <= orders; n++ {
		a, next := view.BadgeOf(n), view.BadgeOf(n+1)
		if a.Letter == next.Letter || a.Shape == next.Shape || a.Glyph == next.Glyph || a.Tint == next.Tint {
			t.Fatalf("orders %d and %d look alike: %v, %v", n, n+1, a, next)
		}
		for m := n + 1; m < n+23; m++ {
			if b := view.BadgeOf(m); b.Letter == a.Letter {
				t.Fatalf("orders %d and %d have the letter %s", n, m, a.Letter)
			}
		}
		if a != view.BadgeOf(n) {
			t.Fatalf("order %d has two badges", n)
		}
	}
}
