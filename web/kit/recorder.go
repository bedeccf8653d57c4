package kit

import "net/http"

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
