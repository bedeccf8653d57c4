package web_test

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"vialwright/web"
	"vialwright/web/webtest"
)

// TestScreens takes pictures of the pages with a browser, for people to look
// at: SCREENS=dir go test ./web -run TestScreens.
func TestScreens(t *testing.T) {
	dir := os.Getenv("SCREENS")
	if dir == "" {
		t.Skip("set SCREENS to the folder the pictures go to")
	}
	chromium, err := exec.LookPath("chromium")
	if err != nil {
		t.Fatal(err)
	}
	shot := func(l *webtest.Lab, who *webtest.Browser, name, path, size, theme string) {
		u, _ := url.Parse(l.HTTP.URL)
		srv := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
			if who != nil {
				for _, c := range who.Client.Jar.Cookies(u) {
					r.AddCookie(c)
				}
			}
			r.AddCookie(&http.Cookie{Name: "theme", Value: theme})
			l.Server.ServeHTTP(w, r)
		}))
		defer srv.Close()
		defer l.Server.Lab.Close()
		out := filepath.Join(dir, name+".png")
		cmd := exec.Command(chromium, "--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking",
			"--disable-component-update", "--disable-sync", "--user-data-dir="+t.TempDir(), "--window-size="+size, "--hide-scrollbars", "--screenshot="+out, srv.URL+path)
		if text, err := cmd.CombinedOutput(); err != nil {
			t.Errorf("%s: %v\n%s", name, err, text)
		}
	}
	wide, tall, phone := "1280,800", "1280,1900", "500,1600"
	l := webtest.New(t, func(c *web.Config) { c.Setup = "K7MP" })
	shot(l, nil, "first", "/first", wide, "light")
	l = webtest.New(t, nil).Hire()
	shot(l, nil, "sign-in", "/sign-in", wide, "light")
	for _, c := range []struct {
		until, name, who, path, size, theme string
		practice                            bool
	}{
		{"order", "board", "RP1", "/", wide, "light", true},
		{"order", "case", "RP1", "/day", tall, "light", false},
		{"order", "readiness", "T1", webtest.Bench, wide, "light", false},
		{"receipt", "assay", "T1", webtest.Bench, wide, "light", false},
		{"assay", "draw", "T1", webtest.Bench, wide, "light", false},
		{"assay", "draw-full", "T1", webtest.Bench, tall, "dark", true},
		{"assay", "draw-phone", "T1", webtest.Bench, phone, "light", true},
		{"remainder", "make-up", "T1", webtest.Bench, wide, "dark", false},
		{"baseline", "check", "MP1", webtest.Bench + "/check", wide, "light", false},
		{"baseline", "check-phone", "MP1", webtest.Bench + "/check", "500,1600", "light", true},
		{"second-check", "checked", "MP1", webtest.Bench + "/check", wide, "light", false},
		{"second-check", "checked-bench", "T1", webtest.Bench, wide, "light", false},
		{"time-out", "time-out-held", "SN1", webtest.Bench + "/time-out", "500,900", "light", false},
		{"label", "release", "RP1", webtest.Bench, wide, "light", false},
		{"hand-over", "time-out-phone", "SN1", webtest.Bench + "/time-out", "500,900", "light", false},
		{"residual", "delivered", "RP1", webtest.Bench, tall, "light", false},
		{"residual", "history", "RP1", "/history", wide, "light", false},
		{"order", "people", "AD1", "/people", wide, "light", false},
		{"order", "health", "AD1", "/health", wide, "dark", false},
	} {
		l := webtest.New(t, func(cfg *web.Config) { cfg.Practice = c.practice }).Hire()
		webtest.NewStory(l).Until(c.until)
		shot(l, l.As(c.who), c.name, c.path, c.size, c.theme)
	}
}
