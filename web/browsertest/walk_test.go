package browsertest

import "testing"

// TestKeyboard is a whole preparation without a click, with the completion of the
// order by the rule profile that the site has named.
func TestKeyboard(t *testing.T) {
	y := begin(t, keys{}, "--rules", "us")
	y.whole(stop{"residual", (*day).complete})
}

// whole goes through the steps, and does something more after some of them.
func (y *day) whole(more ...stop) {
	y.t.Helper()
	for _, s := range theDay {
		s.do(y)
		for _, m := range more {
			if m.key == s.key {
				m.do(y)
			}
		}
		if y.t.Failed() {
			y.t.Fatalf("at the step %s", s.key)
		}
	}
	d := y.releaser()
	d.goTo(y.bench)
	if got := d.text("h1"); got != "Everything is done" {
		y.t.Errorf("at the end the bench says %q", got)
	}
	d.says("#outcome", "within tolerance")
	d.says("#outcome", "Delivered")
	const open = `[...document.querySelectorAll("#steps li:not(.done):not(.skipped) .name")].map(e => e.textContent)`
	if left := ask[[]string](d, open); len(left) > 0 {
		y.t.Errorf("at the end %q are not done", left)
	}
}

// TestTouch is a whole preparation with a finger on a screen.
func TestTouch(t *testing.T) {
	y := begin(t, touch{})
	y.whole()
}
