package assets

import (
	"net/http"
	"net/http/httptest"
	"testing"
)

// What a browser has is told by its content: another build of the same version has
// other tags where it has another script.
func TestTagsFollowTheContent(t *testing.T) {
	tags := func() (out []string) {
		for _, path := range []string{"/bench.css", "/bench.js", "/sketch.js"} {
			w := httptest.NewRecorder()
			Handler().ServeHTTP(w, httptest.NewRequest(http.MethodGet, path, nil))
			out = append(out, w.Header().Get("ETag"))
			r := httptest.NewRequest(http.MethodGet, path, nil)
			r.Header.Set("If-None-Match", out[len(out)-1])
			again := httptest.NewRecorder()
			if Handler().ServeHTTP(again, r); again.Code != http.StatusNotModified || w.Code != http.StatusOK {
				t.Errorf("%s: %d, then %d", path, w.Code, again.Code)
			}
		}
		return out
	}
	before := tags()
	defer func(was string) { js = was }(js)
	js += "\n// another build"
	if after := tags(); after[0] != before[0] || after[1] == before[1] || before[0] == before[1] {
		t.Errorf("tags %v, and after a change of the script %v", before, after)
	}
}
