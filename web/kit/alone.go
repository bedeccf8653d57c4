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

// ShowCase shows a page of the case that the address names.
func (q *Request) ShowCase(show func(st *State, status int, sent *view.Form) error) error {
	st, err := q.CaseState()
	if err != nil {
		return err
	}
	return show(st, http.StatusOK, nil)
}

// EnterCase records the form of such a page. Where it is refused, the page is shown of the
// case as it is by then.
func (q *Request) EnterCase(form func(*State) *Form, show func(st *State, status int, sent *view.Form) error) error {
	st, err := q.CaseState()
	if err != nil {
		return err
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
