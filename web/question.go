package web

import (
	"errors"
	"fmt"
	"hash/crc32"
	"net/url"
	"strings"

	"vialwright/web/view"
)

// question is asked before anything is recorded, and put beside a control. Only
// the answer to this very question, and nothing else that was ever asked, lets
// the entry be recorded as it stands.
type question struct {
	control, text, way string
	// yes is the answer that records it in words.
	yes string
}

func (w *question) Error() string { return w.text }

// key names the question in its answer.
func (w *question) key() string {
	return fmt.Sprintf("%08x", crc32.ChecksumIEEE([]byte(w.text)))
}

// answers are what may be answered.
func (w *question) answers() []view.Choice {
	return []view.Choice{answerTo(1, w.key(), "yes", w.yes), answerTo(2, w.key(), "no", "No: I change it")}
}

// ask gives a question that was not answered with yes, and nil where there is
// none.
func ask(w *question, typed url.Values) error {
	if w == nil || typed.Get(w.control+answerOf) == w.answers()[0].Value {
		return nil
	}
	return w
}

// asking shows a form with a question beside its control.
func (q *request) asking(e *entryForm, w *question, behind uint64, shown url.Values) view.Form {
	f := q.form(e, behind, shown, faults{w.control: {strings.TrimSuffix(w.text, "."), w.way}})
	for _, list := range [][]view.Field{f.Fields, f.Rest} {
		for i := range list {
			if list[i].Name == w.control {
				list[i].Answers = w.answers()
			}
		}
	}
	return f
}

// asked finds a question in what went wrong.
func asked(err error) (*question, bool) { return errors.AsType[*question](err) }
