package web_test

import (
	"bytes"
	"context"
	"strings"
	"sync"
	"testing"
	"time"

	"vialwright/experience/invented"
	"vialwright/journal"
	"vialwright/store"
	"vialwright/store/storetest"
	"vialwright/web"
	"vialwright/web/webtest"
)

// kept is where checkpoints are kept in a test.
type kept struct {
	mu    sync.Mutex
	data  []byte
	saved chan struct{}
}

func (k *kept) Load() ([]byte, error) {
	k.mu.Lock()
	defer k.mu.Unlock()
	return k.data, nil
}

func (k *kept) Save(data []byte) error {
	k.mu.Lock()
	k.data = data
	k.mu.Unlock()
	k.saved <- struct{}{}
	return nil
}

// TestStartFromCheckpoint: the first start of a long journal saves a checkpoint, the
// second shows its pages from it and verifies the journal behind them; and where a
// record was changed meanwhile recording stops, every page says so, and the
// checkpoint is taken away.
func TestStartFromCheckpoint(t *testing.T) {
	log := &storetest.Memory{}
	var all []journal.Record
	for r, err := range invented.Busy(time.Date(2020, 3, 1, 0, 0, 0, 0, time.UTC), 2, 1, time.LoadLocation) {
		if err != nil {
			t.Fatal(err)
		}
		if all = append(all, r); len(all) == 20_100 {
			break
		}
	}
	links, err := journal.Seal(journal.Head{}, func() journal.Salt { return journal.Salt{} }, all...)
	if err != nil {
		t.Fatal(err)
	}
	records := make([]store.Record, len(links))
	for i, l := range links {
		records[i] = store.Record{Seq: l.Seq, Hash: l.Hash, Body: []byte(l.Body)}
	}
	if err := log.Append(context.Background(), store.Head{}, records...); err != nil {
		t.Fatal(err)
	}
	k := &kept{saved: make(chan struct{}, 10)}
	start := func() *webtest.Lab {
		l := webtest.New(t, func(c *web.Config) { c.Log, c.Checkpoints = log, k })
		<-l.Server.Settled
		return l
	}
	first := start()
	<-k.saved
	second := start()
	if second.Server.Lab.Broken() != nil || second.Server.Lab.Report() != first.Server.Lab.Report() || !second.Server.Looked() || second.Server.Verifying() != "" {
		t.Errorf("the second start has %+v, %v", second.Server.Lab.Report(), second.Server.Lab.Broken())
	}
	log.Records[99].Body = bytes.Replace(log.Records[99].Body, []byte("GBq"), []byte("MBq"), 1)
	if bytes.Equal(log.Records[99].Body, records[99].Body) {
		log.Records[99].Body = append(log.Records[99].Body, ' ')
	}
	third := start()
	<-k.saved
	if err := third.Server.Lab.Broken(); err == nil || !strings.Contains(err.Error(), "100") || len(k.data) > 0 {
		t.Errorf("a record was changed behind the checkpoint: %v, and a checkpoint of %d bytes is left", err, len(k.data))
	}
}
