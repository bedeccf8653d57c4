package browsertest

import (
	"sync"
	"testing"

	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
)

// TestFirstPaint: what the bench needs before it is shown, in bytes as they
// come over the wire, with nothing kept from before.
func TestFirstPaint(t *testing.T) {
	const most = 100_000
	y := begin(t, keys{})
	d := y.worker()
	if _, err := chromedp.Call(d.ctx, network.SetCacheDisabled, network.SetCacheDisabledParams{CacheDisabled: true}); err != nil {
		t.Fatal(err)
	}
	var mu sync.Mutex
	var bytes float64
	requests := 0
	err := chromedp.Listen(d.ctx, func(ev any) {
		if e, ok := ev.(*network.EventLoadingFinished); ok {
			mu.Lock()
			defer mu.Unlock()
			bytes += e.EncodedDataLength
			requests++
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	d.goTo(y.bench)
	mu.Lock()
	defer mu.Unlock()
	t.Logf("%.0f bytes in %d requests", bytes, requests)
	if requests < 3 {
		t.Errorf("%d requests: the page, its style and its script were not all counted", requests)
	}
	if bytes > most {
		t.Errorf("the bench takes %.0f bytes, more than %d", bytes, most)
	}
}
