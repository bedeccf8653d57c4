// Package assets holds what the pages load: one style sheet and one script,
// in the program itself. [Handler] serves them; the style sheet ends with that
// of the pictures, so that both follow the same switch.
package assets

import (
	_ "embed"
	"net/http"

	"vialwright/picture"
)

//go:embed bench.css
var css string

//go:embed bench.js
var js string

// Handler serves /bench.css and /bench.js. They change with the program only,
// so a browser asks again each time it starts: version tells one from another.
func Handler(version string) http.Handler {
	mux := http.NewServeMux()
	serve := func(kind, text string) http.HandlerFunc {
		return func(w http.ResponseWriter, r *http.Request) {
			h := w.Header()
			h.Set("Content-Type", kind)
			h.Set("Cache-Control", "no-cache")
			h.Set("ETag", `"`+version+`"`)
			if r.Header.Get("If-None-Match") == `"`+version+`"` {
				w.WriteHeader(http.StatusNotModified)
				return
			}
			_, _ = w.Write([]byte(text)) // a browser that left needs no answer
		}
	}
	mux.Handle("GET /bench.css", serve("text/css; charset=utf-8", css+picture.CSS()))
	mux.Handle("GET /bench.js", serve("text/javascript; charset=utf-8", js))
	return mux
}
