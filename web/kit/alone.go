package kit

import (
	"cmp"
	"net/http"

	"vialwright/people"
	"vialwright/web/view"
)

// Alone shows a form on a page of its own, to a person who may send it, or records what
// was sent with it.
func (q *Request) Alone(e *Form, st *State) error { return q.AloneOn(e, st, q.alone(e)) }

// AloneOn does so on a page that show makes.
func (q *Request) AloneOn(e *Form, st *State, show func(status int, f view.Form) error) error {
	if q.R.Method == http.MethodPost {
		return q.Enter(e, st, show)
	}
	if err := people.May(q.Who.Person, e.Act); err != nil {
		return err
	}
	return show(http.StatusOK, q.FormOf(e, st.File.Taken, nil, nil))
}

// AloneHere does what Alone does, with the state of what the address names; err is why
// there is no form.
func (q *Request) AloneHere(e *Form, err error) error {
	if err != nil {
		return err
	}
	st, err := q.CaseState()
	if err != nil {
		return err
	}
	return q.Alone(e, st)
}

// CasePage shows a page of the case that the address names, or records the form that was
// sent with it. Where it is refused, the page is shown of the case as it is by then.
func (q *Request) CasePage(form func(*State) *Form, show func(st *State, status int, sent *view.Form) error) error {
	return q.PageOf(q.CaseState, form, show)
}

// PageOf does so with the state that read gives.
func (q *Request) PageOf(read func() (*State, error), form func(*State) *Form, show func(st *State, status int, sent *view.Form) error) error {
	st, err := read()
	if err != nil {
		return err
	}
	if q.R.Method != http.MethodPost {
		return show(st, http.StatusOK, nil)
	}
	return q.Enter(form(st), st, func(status int, f view.Form) error {
		now, err := read()
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
