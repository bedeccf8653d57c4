package fold_test

import (
	"encoding/json"
	"testing"

	"vialwright/fact"
	"vialwright/fact/facttest"
	"vialwright/fold"
	"vialwright/journal"
)

const million = 1_000_000

// BenchmarkReplayMillion takes a journal of a million records from its raw
// links to reckoned cases: decode, chain, fold. What it is set beside is
// BenchmarkReplayMillionJSON, the same records decoded by encoding/json alone,
// with no chain and no fold.
func BenchmarkReplayMillion(b *testing.B) {
	links := manyCases(b, million)
	zones := facttest.CachedZones()
	for b.Loop() {
		replay(b, links, zones)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/million, "ns/record")
}

func BenchmarkReplayMillionJSON(b *testing.B) {
	bodies := make([]string, million)
	for i, l := range manyCases(b, million) {
		bodies[i] = facttest.Encoded(b, l)
	}
	for b.Loop() {
		for _, text := range bodies {
			var body map[string]any
			if err := json.Unmarshal([]byte(text), &body); err != nil {
				b.Fatal(err)
			}
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/million, "ns/record")
}

// replay verifies the links and folds each case once its facts are together.
func replay(b *testing.B, links []journal.Link, zones fact.Zones) {
	b.Helper()
	var v journal.Verifier
	var facts []fact.Fact
	foldAll := func() {
		if len(facts) > 0 {
			if _, err := fold.Facts(facts, zones); err != nil {
				b.Fatal(err)
			}
		}
		facts = facts[:0]
	}
	for _, l := range links {
		r, err := v.Add(l)
		if err != nil {
			b.Fatal(err)
		}
		if _, opens := r.Fact.(*fact.Site); opens {
			foldAll()
		}
		facts = append(facts, r.Fact)
	}
	foldAll()
}
