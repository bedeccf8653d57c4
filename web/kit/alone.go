package kit

import (
	"cmp"
	"net/http"

	"vialwright/people"
	"vialwright/web/view"
)

// Alone shows a form on a page of its own, to a person who may send it.
func (q *Request) Alone(e *Form, st *State) error {
	if err := people.May(q.Who.Person, e.Act); err != nil {
		return err
	}
	return q.alone(e)(http.StatusOK, q.FormOf(e, st.File.Taken, nil, nil))
}

// EnterAlone records what the form of such a page says.
func (q *Request) EnterAlone(e *Form, st *State) error { return q.Enter(e, st, q.alone(e)) }

func (q *Request) alone(e *Form) func(status int, f view.Form) error {
	back := cmp.Or(e.Back, view.Link{Text: "Board", Href: "/"})
	return func(status int, f view.Form) error {
		f.Quiet = true // the heading of the page says it
		return q.Show(status, view.Common, view.FormPage{Page: q.Page(f.Title), Heading: f.Title, Back: back, Form: &f})
	}
}
