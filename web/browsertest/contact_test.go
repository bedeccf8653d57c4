package browsertest

import (
	"cmp"
	"context"
	"fmt"
	"html"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// gallery is the folder that pictures are put in, for people to look at; empty for
// none.
var gallery = os.Getenv("VIALWRIGHT_LOOK")

// picture keeps what the desk sees.
func (d *desk) picture(name string) {
	d.t.Helper()
	if gallery == "" {
		return
	}
	if err := os.WriteFile(filepath.Join(gallery, name+".png"), d.shot(), 0o644); err != nil {
		d.t.Fatal(err)
	}
}

// contact puts the pictures of the folder onto one sheet for each size, as a page
// and as one picture.
func contact(dir string) error {
	names, err := filepath.Glob(filepath.Join(dir, "*-*.png"))
	if err != nil || len(names) == 0 {
		return cmp.Or(err, fmt.Errorf("no picture in %s", dir))
	}
	slices.Sort(names)
	index := sheetHead
	for _, s := range screens {
		sheet := ""
		for _, name := range names {
			base := filepath.Base(name)
			if what, ok := strings.CutSuffix(base, "-"+s.name+".png"); ok && what != "contact" {
				sheet += fmt.Sprintf("<figure><a href=%q><img src=%q alt=%q></a><figcaption>%s</figcaption></figure>\n", base, base, what, html.EscapeString(what))
			}
		}
		sheet = fmt.Sprintf("<h2>%s, %d x %d</h2>\n<section class=%q>\n%s</section>\n", s.name, s.width, s.height, s.name, sheet)
		path := filepath.Join(dir, s.name+".html")
		if err := os.WriteFile(path, []byte(sheetHead+sheet), 0o644); err != nil {
			return err
		}
		if err := photographed(path, filepath.Join(dir, "contact-"+s.name+".png")); err != nil {
			return err
		}
		index += sheet
	}
	return os.WriteFile(filepath.Join(dir, "index.html"), []byte(index), 0o644)
}

const sheetHead = `<!doctype html><meta charset="utf-8"><title>Screens</title><style>
body { font: 13px sans-serif; margin: 12px; background: #ddd } section { display: flex; flex-wrap: wrap; gap: 8px }
figure { margin: 0 } img { display: block; width: 480px } .phone img { width: 240px } figcaption { padding: 2px 0 6px }
</style>
`

// photographed makes one picture of a whole page.
func photographed(file, to string) error {
	b, err := browser()
	if err != nil {
		return err
	}
	tab, end := chromedp.NewContext(b)
	defer end()
	ctx, stop := context.WithTimeout(tab, 3*patience)
	defer stop()
	const width = 2460
	if err := chromedp.Do(ctx, chromedp.EmulateViewport(width, 1000), chromedp.Navigate("file://"+file)); err != nil {
		return err
	}
	height, err := chromedp.Run(ctx, chromedp.Evaluate[float64](`document.documentElement.scrollHeight`))
	if err != nil {
		return err
	}
	shot, err := chromedp.Call(ctx, page.CaptureScreenshot, page.CaptureScreenshotParams{
		CaptureBeyondViewport: new(true), Clip: &page.Viewport{Width: width, Height: math.Min(height, 16000), Scale: 1},
	})
	if err != nil {
		return err
	}
	return os.WriteFile(to, shot.Data, 0o644)
}
