package people

import (
	"testing"
	"time"

	"pgregory.net/rapid"
)

func TestRecall(t *testing.T) {
	day := 24 * time.Hour
	at := func(d time.Duration) time.Time { return morning.Add(d) }
	deeds := []Deed{
		{Draw, "T1", at(-2 * day)},
		{Draw, "T1", at(-400 * day)},
		{Draw, "T1", at(-365 * day)},
		{Draw, "T1", at(-365*day + 1)},
		{Draw, "T2", at(-day)},
		{Assay, "T1", at(-day)},
		{Draw, "T1", at(1)},
		{Draw, "T2", at(0)},
	}
	for _, c := range []struct {
		by   string
		act  Act
		want Recency
	}{
		{"T1", Draw, Recency{at(-2 * day), 4, 2}},
		{"T2", Draw, Recency{at(0), 2, 2}},
		{"T1", Assay, Recency{at(-day), 1, 1}},
		{"T1", Release, Recency{}},
		{"T3", Draw, Recency{}},
	} {
		if got := Recall(deeds, c.by, c.act, morning); got != c.want {
			t.Errorf("%s, %s: %+v, want %+v", c.by, c.act, got, c.want)
		}
	}
}

// The order of the deeds does not matter.
func TestRecallOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		deeds := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Deed {
			return Deed{
				rapid.SampledFrom([]Act{Draw, Assay}).Draw(t, "act"),
				rapid.SampledFrom([]string{"T1", "T2"}).Draw(t, "by"),
				morning.Add(time.Duration(rapid.IntRange(-800, 10).Draw(t, "days")) * 24 * time.Hour),
			}
		}), 0, 12).Draw(t, "deeds")
		shuffled := rapid.Permutation(deeds).Draw(t, "order")
		a, b := Recall(deeds, "T1", Draw, morning), Recall(shuffled, "T1", Draw, morning)
		if a != b || a.InYear > a.Times || a.Last.After(morning) || (a.Times == 0) != a.Last.IsZero() {
			t.Fatalf("%+v, %+v", a, b)
		}
	})
}
