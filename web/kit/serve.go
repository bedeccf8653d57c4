package kit

import (
	"net/http"

	"vialwright/people"
)

// Route is one address with what it takes.
type Route struct {
	// Method and Path are those of http.ServeMux.
	Method, Path string
	// Act is what the person must be granted; empty where Open says who may.
	Act people.Act
	// Open is true where nobody needs to be signed in.
	Open bool
	// Signs is true where a session that waits for its PIN is let through, to
	// give it or to end it.
	Signs bool

	// Settings is true where the page is made from the settings of the site alone.
	Settings bool
	// Fresh is true where what other benches have appended is read first.
	Fresh bool
	// Do answers. An error it gives becomes a page.
	Do func(*Request) error
}

// In makes what answers in a room, with a request of its own, out of what answers.
func In[Q any](room func(*Request) Q) func(func(Q) error) func(*Request) error {
	return func(do func(Q) error) func(*Request) error {
		return func(q *Request) error { return do(room(q)) }
	}
}

// Handler answers the addresses of a table, and those of the files of the pages.
func (s *Server) Handler(routes []Route, static http.Handler) http.Handler {
	mux := http.NewServeMux()
	for _, r := range routes {
		mux.Handle(r.Method+" "+r.Path, s.serve(r))
	}
	mux.Handle("GET /assets/", http.StripPrefix("/assets", static))
	mux.Handle("/", s.serve(Route{Path: "/", Open: true, Signs: true, Do: func(*Request) error {
		return &Refusal{http.StatusNotFound, "There is no such page", "there is nothing at this address", "go to the board", "/"}
	}}))
	origins := http.NewCrossOriginProtection()
	// A browser sends a form again so, too, where a page was reloaded that it no
	// longer has. Whoever sends it is nobody here.
	deny := s.serve(Route{Path: "/", Open: true, Signs: true, Do: func(*Request) error {
		return &Refusal{http.StatusForbidden, "Not recorded", "this form did not come from an open page of this program; nothing was recorded", "go to the board, and open the page there", "/"}
	}})
	origins.SetDenyHandler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		r.Header.Del("Cookie")
		deny.ServeHTTP(w, r)
	}))
	return safe(origins.Handler(mux))
}

// Routes are the addresses that belong to every page.
func Routes() []Route {
	return []Route{
		{Method: "POST", Path: "/theme", Open: true, Signs: true, Do: themeDo},
		{Method: "POST", Path: keeping, Act: people.SeeBoard, Do: draftDo},
		{Method: "GET", Path: "/events", Act: people.SeeBoard, Do: events},
	}
}

func safe(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "same-origin")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Permissions-Policy", "camera=(), microphone=(), geolocation=()")
		next.ServeHTTP(w, r)
	})
}

// policy is what a page may load: its own style, script and stream, nothing
// else; and nobody may frame it.
const policy = "default-src 'none'; style-src 'self'; script-src 'self'; connect-src 'self'; img-src 'self' data:; " +
	"form-action 'self'; frame-ancestors 'none'; base-uri 'none'"

// recorder notes the status of an answer, for the log, and whether the browser
// left before it had all of it. A second status is dropped.
type recorder struct {
	http.ResponseWriter
	status int
	left   bool
}

// WriteHeader passes the first status on.
func (w *recorder) WriteHeader(status int) {
	if w.status != 0 {
		return
	}
	w.status = status
	w.ResponseWriter.WriteHeader(status)
}

// Write passes on what is written. It fails only when the other end is gone.
func (w *recorder) Write(p []byte) (int, error) {
	if w.status == 0 {
		w.status = http.StatusOK
	}
	n, err := w.ResponseWriter.Write(p)
	w.left = w.left || err != nil
	return n, err
}

// Unwrap lets http.ResponseController find what is below.
func (w *recorder) Unwrap() http.ResponseWriter { return w.ResponseWriter }
