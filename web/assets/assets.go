// Package assets holds what the pages load, in the program itself: one style sheet and one
// script, and a script that a single page loads beside them. [Handler] serves them; the style
// sheet ends with that of the pictures, so that both follow the same switch.
package assets

import (
	"crypto/sha256"
	_ "embed"
	"encoding/hex"
	"net/http"

	"vialwright/picture"
)

//go:embed bench.css
var css string

//go:embed bench.js
var js string

// sketch is asked for by the page on which a sketch is drawn alone.
//
//go:embed sketch.js
var sketch string

// Handler serves /bench.css, /bench.js and /sketch.js. A browser asks for them again each time,
// and what it has is told by its content (RFC 9110, 8.8.3), so that no page runs with
// the script of another build.
func Handler() http.Handler {
	mux := http.NewServeMux()
	serve := func(kind, text string) http.HandlerFunc {
		sum := sha256.Sum256([]byte(text))
		tag := `"` + hex.EncodeToString(sum[:12]) + `"`
		return func(w http.ResponseWriter, r *http.Request) {
			h := w.Header()
			h.Set("Content-Type", kind)
			h.Set("Cache-Control", "no-cache")
			h.Set("ETag", tag)
			if r.Header.Get("If-None-Match") == tag {
				w.WriteHeader(http.StatusNotModified)
				return
			}
			_, _ = w.Write([]byte(text)) // a browser that left needs no answer
		}
	}
	mux.Handle("GET /bench.css", serve("text/css; charset=utf-8", css+picture.CSS()))
	mux.Handle("GET /bench.js", serve("text/javascript; charset=utf-8", js))
	mux.Handle("GET /sketch.js", serve("text/javascript; charset=utf-8", sketch))
	return mux
}
