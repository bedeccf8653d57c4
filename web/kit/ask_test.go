package kit

import (
	"net/url"
	"strings"
	"testing"
)

// TestAnswered takes an answer only for what stands there, and says what was
// understood.
func TestAnswered(t *testing.T) {
	parts := []Part{{Inputs: []Input{{Name: "gross", Kind: "amount", Units: ActivityUnits}}}}
	for _, c := range []struct{ typed, unit, answer, number, takenUnit, says string }{
		{"1.3", "GBq", "", "1.3", "GBq", ""},
		{"1,3", "GBq", "", "1.3", "GBq", "1,3 GBq is taken as 1.3 GBq."},
		{"81", "GBq", "81 GBq=81 mCi", "81", "mCi", "81 GBq is taken as 81 mCi."},
		{"82", "GBq", "81 GBq=81 mCi", "82", "GBq", ""},
		{"81", "GBq", "81 GBq=81 GBq", "81", "GBq", ""},
		{"1,300", "MBq", "1,300 MBq=1300 MBq", "1300", "MBq", "1,300 MBq is taken as 1300 MBq."},
		{"1,300kBq", "", "1,300kBq=1300kBq", "1300kBq", "", "1,300kBq is taken as 1300kBq."},
	} {
		v := url.Values{"p0.gross": {c.typed}, "p0.gross.unit": {c.unit}, "p0.gross.answer": {c.answer}}
		says := strings.Join(answered(parts, v), " ")
		if v.Get("p0.gross") != c.number || v.Get("p0.gross.unit") != c.takenUnit || says != c.says {
			t.Errorf("%+v: %v, %q", c, v, says)
		}
	}
}
