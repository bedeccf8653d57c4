package board_test

import (
	"context"
	"testing"
	"time"

	"vialwright/experience"
	"vialwright/experience/invented"
	"vialwright/journal"
	"vialwright/store"
	"vialwright/store/storetest"
	"vialwright/web"
	"vialwright/web/webtest"
)

// withYears puts n finished orders into the journal, each with what the site
// had learned by then, as receiving a vial records it.
func withYears(tb testing.TB, n int) func(*web.Config) {
	tb.Helper()
	cases, err := invented.Cases(10, 1, time.Date(2027, 3, 4, 11, 0, 0, 0, time.UTC), time.LoadLocation)
	if err != nil {
		tb.Fatal(err)
	}
	tally := experience.New(time.LoadLocation)
	tally.TakeAll(cases, 1)
	past := webtest.WithPast(tb, n)
	return func(c *web.Config) {
		past(c)
		all := &storetest.Memory{}
		for r, err := range c.Log.Read(context.Background(), 1, store.All) {
			if err != nil {
				tb.Fatal(err)
			}
			all.Records = append(all.Records, r)
		}
		last, _ := all.Head(context.Background())
		head := journal.Head{Seq: last.Seq, Hash: last.Hash}
		learned := tally.Fact(time.Date(2027, 3, 4, 8, 0, 0, 0, time.UTC), int(last.Seq))
		for i := range n {
			links, err := journal.Seal(head, func() journal.Salt { return journal.Salt{} },
				journal.Record{Recorded: time.Date(2027, 3, 4, 8, 0, i%60, 0, time.UTC), By: "T1", Fact: learned, N: int(head.Seq) + 1})
			if err != nil {
				tb.Fatal(err)
			}
			l := links[0]
			if err := c.Log.Append(context.Background(), store.Head{Seq: head.Seq, Hash: head.Hash}, store.Record{Seq: l.Seq, Body: []byte(l.Body), Hash: l.Hash}); err != nil {
				tb.Fatal(err)
			}
			head = journal.Head{Seq: l.Seq, Hash: l.Hash}
		}
	}
}

// BenchmarkBoard asks for the board of the same morning behind 10 finished orders
// and behind 1,000, in turn, and gives the ratio of the two times: what is over
// costs the board nothing.
func BenchmarkBoard(b *testing.B) {
	var desks [2]*webtest.Browser
	for i, n := range []int{10, 1000} {
		s := webtest.NewStory(webtest.New(b, withYears(b, n)).Hire())
		s.Go("order")
		s.T1.Look("/").Says(200, "P1")
		desks[i] = s.T1
	}
	var took [2]time.Duration
	for b.Loop() {
		for i, d := range desks {
			at := time.Now()
			if p := d.Get("/"); p.Status != 200 {
				b.Fatal(p.Status)
			}
			took[i] += time.Since(at)
		}
	}
	b.ReportMetric(float64(took[0].Microseconds())/float64(b.N), "µs/10-past")
	b.ReportMetric(float64(took[1].Microseconds())/float64(b.N), "µs/1000-past")
	b.ReportMetric(float64(took[1])/float64(took[0]), "ratio")
}

// TestBoardSaysWhatIsNext: at each step the board says what the order needs and
// by whom, and leaves figures out for who may still check.
func TestBoardSaysWhatIsNext(t *testing.T) {
	s := webtest.NewStory(webtest.New(t, nil).Hire())
	s.T1.Look("/").Says(200, "Thursday 4 March", "No order for today.", "No vial is here.", "No activity.", "background and constancy are not checked today")
	s.Until("order")
	s.Nurse.Look("/").Says(200, "13:30 in 3 h 30 min", "A ▲ triangle P1", "Check that everything is ready", "By radiopharmacist, technologist or medical physicist.")
	s.Go("readiness")
	s.T1.Look("/").Says(200, "Receive the vial", "By you.", "Nothing is due.")
	s.Go("receipt", "assay", "draw", "remainder")
	s.T1.Look("/").Says(200, "Dose 1.329", "2.8 mL, 1.870", "by reading", "About 3.23 GBq in all")
	s.MP.Look("/").Says(200, "Not shown before your second check", "Figures after your second check.")
	s.Clock.Set("13:45")
	s.T1.Look("/").Says(200, "15 min overdue")
}
