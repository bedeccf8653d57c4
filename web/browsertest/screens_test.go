package browsertest

import (
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
)

// TestScreens takes the pictures of docs/screens: the board, the bench at the
// draw, the second check, and a label.
func TestScreens(t *testing.T) {
	if os.Getenv("VIALWRIGHT_SCREENS") != "1" {
		t.Skip("VIALWRIGHT_SCREENS is not 1: the pictures stay as they are")
	}
	y := begin(t, keys{})
	dir := filepath.Join("..", "..", "docs", "screens")
	if err := os.MkdirAll(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	take := func(d *desk, name string) {
		if err := os.WriteFile(filepath.Join(dir, name+".png"), d.shot(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	y.worker().goTo("/")
	take(y.worker(), "board")
	for _, s := range theDay[:9] {
		switch s.key {
		case "draw":
			y.worker().goTo(y.bench)
			take(y.worker(), "bench")
			y.worker().scheme("dark")
			take(y.worker(), "bench-dark")
			y.worker().scheme("light")
		case "second-check":
			y.checker().goTo(y.bench + "/check")
			take(y.checker(), "second-check")
		}
		s.do(y)
	}
	y.rasterised(filepath.Join(dir, "label"))
}

// rasterised fetches the label and makes a picture of it.
func (y *day) rasterised(to string) {
	y.t.Helper()
	href := ask[string](y.worker(), `document.querySelector('a[href^="/labels/"]').href`)
	cookies, err := chromedp.Call(y.worker().ctx, network.GetCookies, network.GetCookiesParams{})
	if err != nil {
		y.t.Fatal(err)
	}
	r, err := http.NewRequestWithContext(y.worker().ctx, http.MethodGet, href, nil)
	if err != nil {
		y.t.Fatal(err)
	}
	for _, c := range cookies.Cookies {
		r.AddCookie(&http.Cookie{Name: c.Name, Value: c.Value})
	}
	answer, err := http.DefaultClient.Do(r)
	if err != nil {
		y.t.Fatal(err)
	}
	defer answer.Body.Close()
	data, err := io.ReadAll(answer.Body)
	if err != nil || answer.StatusCode != http.StatusOK {
		y.t.Fatalf("%d, %v", answer.StatusCode, err)
	}
	pdf := filepath.Join(y.t.TempDir(), "label.pdf")
	if err := os.WriteFile(pdf, data, 0o600); err != nil {
		y.t.Fatal(err)
	}
	if out, err := exec.Command("pdftoppm", "-r", "200", "-png", "-singlefile", pdf, to).CombinedOutput(); err != nil {
		y.t.Fatalf("pdftoppm: %v: %s", err, out)
	}
}
