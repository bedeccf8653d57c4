package board

import (
	"strconv"
	"testing"
	"time"
)

// TestFirstDue: of years of what nobody did, what is nearest to now stands on the board, and
// the rest is counted behind it; what has no time comes last.
func TestFirstDue(t *testing.T) {
	now := time.Date(2027, 3, 4, 10, 0, 0, 0, time.UTC)
	all := []Due{{Text: "waste"}}
	for year := range 12 {
		all = append(all, Due{Text: strconv.Itoa(year), At: now.AddDate(-year, 0, -1)})
	}
	all = append(all, Due{Text: "clock", At: now.Add(3 * time.Hour)}, Due{Text: "meter", At: now})
	first, rest := firstDue(all, now)
	if len(first) != 10 || len(rest) != 5 || first[0].Text != "meter" || first[1].Text != "clock" || first[2].Text != "0" || rest[4].Text != "waste" {
		t.Errorf("first %v, rest %v", first, rest)
	}
	if first, rest = firstDue(all[:3], now); len(first) != 3 || len(rest) != 0 {
		t.Errorf("of three: %d and %d", len(first), len(rest))
	}
}
