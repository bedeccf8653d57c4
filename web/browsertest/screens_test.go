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

// renewing tells that the pictures of the documentation, inDocs, are taken; each by
// the test that comes past the page.
var (
	renewing = os.Getenv("VIALWRIGHT_SCREENS") == "1"
	inDocs   = filepath.Join("..", "..", "docs", "screens")
)

// renew takes the picture of the page at a desk for the documentation.
func (d *desk) renew(name string) {
	d.t.Helper()
	if !renewing {
		return
	}
	if err := os.WriteFile(filepath.Join(inDocs, name+".png"), d.shot(), 0o644); err != nil {
		d.t.Fatal(err)
	}
}

// TestScreens takes those of the board, the bench at the draw, the second check, and
// a label.
func TestScreens(t *testing.T) {
	if !renewing {
		t.Skip("VIALWRIGHT_SCREENS is not 1: the pictures stay as they are")
	}
	y := begin(t, keys{})
	y.worker().goTo("/")
	y.worker().renew("board")
	for _, s := range theDay[:9] {
		switch s.key {
		case "draw":
			y.worker().goTo(y.bench)
			y.worker().renew("bench")
			y.worker().scheme("dark")
			y.worker().renew("bench-dark")
			y.worker().scheme("light")
		case "second-check":
			y.checker().goTo(y.bench + "/check")
			y.checker().renew("second-check")
		}
		s.do(y)
	}
	y.rasterised(filepath.Join(inDocs, "label"))
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
