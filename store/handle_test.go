package store_test

import (
	"context"
	"testing"
	"testing/synctest"

	"vialwright/store"
	"vialwright/store/storetest"
)

// TestClosedWhileWaiting: closing waits for the append in progress, and an append that
// waits for its turn meanwhile is refused.
func TestClosedWhileWaiting(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var h store.Handle
		h.ToAppend()
		records := storetest.Chain(store.Head{}, []byte("one"))
		appended, disconnected, goOn := 0, false, make(chan struct{})
		results := make(chan error, 3)
		appending := func() {
			results <- h.Append(t.Context(), store.Head{}, records, func(context.Context, store.Head, []store.Record) error {
				<-goOn
				if appended++; disconnected {
					t.Error("it appends to what is disconnected")
				}
				return nil
			})
		}
		go appending()
		synctest.Wait() // it is in progress
		go func() { results <- h.Close(func() error { disconnected = true; return nil }) }()
		synctest.Wait()
		go appending()
		synctest.Wait() // it waits behind the closing
		if disconnected {
			t.Error("an append is cut off")
		}
		close(goOn)
		for range 2 {
			if err := <-results; err != nil {
				t.Error(err)
			}
		}
		if err := <-results; store.CodeOf(err) != store.CodeClosed || appended != 1 || !disconnected {
			t.Errorf("got %v, %d appended", err, appended)
		}
	})
}
