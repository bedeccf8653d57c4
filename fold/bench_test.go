package fold_test

import (
	"strings"
	"testing"
	"time"

	"vialwright/casefile"
	"vialwright/fact"
	"vialwright/fact/facttest"
	"vialwright/fold"
	"vialwright/journal"
	"vialwright/quantity"
)

// manyCases is a journal of the worked example over and over, eleven records a
// case.
func manyCases(tb testing.TB, records int) []journal.Link {
	tb.Helper()
	facts := facttest.Worked(tb)
	var out []journal.Link
	var head journal.Head
	at := time.Date(2027, 3, 4, 12, 0, 0, 0, time.UTC)
	for len(out) < records {
		batch := make([]journal.Record, len(facts))
		for i, f := range facts {
			batch[i] = journal.Record{Recorded: at, By: "pharmacist 3", Fact: f}
			at = at.Add(time.Second)
		}
		links, err := journal.Seal(head, facttest.Salt, batch...)
		if err != nil {
			tb.Fatal(err)
		}
		out = append(out, links...)
		head = links[len(links)-1].Head()
	}
	return out[:records]
}

// longCase is a case in which one vial is read over and over.
func longCase(tb testing.TB, entries int) []fact.Fact {
	facts := facttest.Worked(tb)[:5] // case, policy, meter, order, receipt
	at := facttest.Local("07:00")
	for range entries - 2 {
		facts = append(facts, &fact.Read{
			Of: "S1", Meter: "M1", At: at, Gross: facttest.Q[quantity.Activity]("3.24 GBq"), Background: facttest.Q[quantity.Activity]("0.2 MBq"),
		})
		at = at.Add(time.Second)
	}
	return facts
}

// BenchmarkReplay decodes, verifies and folds a journal; ns/record is the
// figure to look at.
func BenchmarkReplay(b *testing.B) {
	links := manyCases(b, 11_000)
	zones := facttest.CachedZones()
	b.ReportAllocs()
	b.ResetTimer()
	for b.Loop() {
		replay(b, links, zones)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(links)), "ns/record")
}

// BenchmarkVerify decodes and verifies.
func BenchmarkVerify(b *testing.B) {
	links := manyCases(b, 11_000)
	b.ReportAllocs()
	b.ResetTimer()
	for b.Loop() {
		if _, err := journal.Verify(facttest.Seq(links)); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(links)), "ns/record")
}

// BenchmarkParse decodes one record of a draw.
func BenchmarkParse(b *testing.B) {
	body := facttest.Encoded(b, manyCases(b, 11)[6])
	b.SetBytes(int64(len(body)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := journal.Parse(body); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkMarshal encodes one record of a draw.
func BenchmarkMarshal(b *testing.B) {
	r, err := manyCases(b, 11)[6].Record()
	if err != nil {
		b.Fatal(err)
	}
	buf := make([]byte, 0, 1024)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := r.Append(buf[:0]); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkFold folds one case of many entries.
func BenchmarkFold(b *testing.B) {
	facts := longCase(b, 10_000)
	zones := facttest.CachedZones()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := fold.Facts(facts, zones); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(facts)), "ns/entry")
}

// BenchmarkDecode reads a case file close to the largest.
func BenchmarkDecode(b *testing.B) {
	line := "  - read: {of: S1, meter: M1, at: 2027-03-04T11:00, gross: 3.24 GBq, background: 0.2 MBq}\n"
	file := []byte("case: 1\nzone: Atlantic/Azores\nentries:\n" + strings.Repeat(line, 11_000))
	b.SetBytes(int64(len(file)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := casefile.Decode(file, time.LoadLocation); err != nil {
			b.Fatal(err)
		}
	}
}
