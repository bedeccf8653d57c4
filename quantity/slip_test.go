package quantity

import (
	"strings"
	"testing"
)

// TestSlipped: every slip keeps the digits; the values are the typed one times
// 1/37 and 1/27.027 (the definition of the curie, 3.7e10 Bq), or a power of ten.
func TestSlipped(t *testing.T) {
	for text, want := range map[string]string{
		"81 GBq":    "81 MBq, 81 mCi, 8.1 GBq, 810 GBq, 0.81 GBq, 8100 GBq, 81000 GBq",
		"13.10 GBq": "13.10 MBq, 13.10 mCi, 1.310 GBq, 131.0 GBq, 0.1310 GBq, 1310 GBq, 13100 GBq",
		"0.05 mCi":  "0.05 GBq, 0.05 MBq, 0.005 mCi, 0.5 mCi, 0.0005 mCi, 5 mCi, 0.00005 mCi, 50 mCi",
		"3e9 Bq":    "3e9 GBq, 3e9 MBq, 3e9 mCi",
	} {
		said, err := Parse[Activity](text)
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, s := range Slipped(said) {
			got = append(got, s.Text)
		}
		if strings.Join(got, ", ") != want {
			t.Errorf("%s: %s, want %s", text, strings.Join(got, ", "), want)
		}
	}
}
