package kit

import (
	"cmp"
	"net/http"

	"vialwright/people"
	"vialwright/web/view"
)

// Alone shows a form on a page of its own, to a person who may send it, or records what
// was sent with it.
func (q *Request) Alone(e *Form, st *State) error {
	if q.R.Method == http.MethodPost {
		return q.Enter(e, st, q.alone(e))
	}
	if err := people.May(q.Who.Person, e.Act); err != nil {
		return err
	}
	return q.alone(e)(http.StatusOK, q.FormOf(e, st.File.Taken, nil, nil))
}

// CasePage shows a page of the case that the address names, or records the form that was
// sent with it. Where it is refused, the page is shown of the case as it is by then.
func (q *Request) CasePage(form func(*State) *Form, show func(st *State, status int, sent *view.Form) error) error {
	st, err := q.CaseState()
	if err != nil {
		return err
	}
	if q.R.Method != http.MethodPost {
		return show(st, http.StatusOK, nil)
	}
	return q.Enter(form(st), st, func(status int, f view.Form) error {
		now, err := q.CaseState()
		if err != nil {
			return err
		}
		return show(now, status, &f)
	})
}

// Offered is a form as it was sent, or else a new one.
func (q *Request) Offered(e *Form, st *State, sent *view.Form) *view.Form {
	if sent == nil {
		f := q.FormOf(e, st.File.Taken, nil, nil)
		return &f
	}
	return sent
}

func (q *Request) alone(e *Form) func(status int, f view.Form) error {
	back := cmp.Or(e.Back, view.Link{Text: "Board", Href: "/"})
	return func(status int, f view.Form) error {
		f.Quiet = true // the heading of the page says it
		return q.Show(status, view.Common, view.FormPage{Page: q.Page(f.Title), Heading: f.Title, Back: back, Form: &f})
	}
}
