// Package accounts is who works here: sign-in and PIN, a person's own page, and the
// list of people.
package accounts

import (
	"embed"
	"errors"
	"net/http"
	"net/url"

	"vialwright/people"
	"vialwright/web/kit"
	"vialwright/web/view"
)

// Routes are the addresses of the room.
func Routes() []kit.Route {
	return []kit.Route{
		{Method: "GET", Path: "/first", Open: true, Signs: true, Do: in(firstPage)},
		{Method: "POST", Path: "/first", Open: true, Signs: true, Do: in(firstDo)},
		{Method: "GET", Path: "/sign-in", Open: true, Signs: true, Do: in(signInPage)},
		{Method: "POST", Path: "/sign-in", Open: true, Signs: true, Do: in(signInDo)},
		{Method: "GET", Path: "/pin", Act: people.SignIn, Signs: true, Do: in(pinPage)},
		{Method: "POST", Path: "/pin", Act: people.SignIn, Signs: true, Do: in(pinDo)},
		{Method: "POST", Path: "/sign-out", Act: people.SignIn, Signs: true, Do: in(signOutDo)},
		{Method: "GET", Path: "/change", Act: people.SignIn, Signs: true, Do: in(changePage)},
		{Method: "POST", Path: "/change", Act: people.SignIn, Signs: true, Do: in(changeDo)},
		{Method: "GET", Path: "/me", Act: people.ChangeSecret, Do: in(mePage)},
		{Method: "POST", Path: "/me/password", Act: people.ChangeSecret, Do: in(passwordDo)},
		{Method: "POST", Path: "/me/pin", Act: people.ChangeSecret, Do: in(pinSetDo)},
		{Method: "GET", Path: "/people", Act: people.AddPerson, Do: in(peoplePage)},
		{Method: "POST", Path: "/people", Act: people.AddPerson, Do: in(personAdd)},
		{Method: "GET", Path: "/people/{id}", Act: people.ChangePerson, Do: in(personPage)},
		{Method: "POST", Path: "/people/{id}", Act: people.ChangePerson, Do: in(personChange)},
		{Method: "POST", Path: "/people/{id}/reset", Act: people.ResetSecret, Do: in(personReset)},
	}
}

// request is a request in this room.
type request struct {
	*kit.Request
}

var in = kit.In(func(q *kit.Request) *request { return &request{q} })

// again shows a form with what package people refused of it; any other error is given on.
func again(err error, show func(error) error) error {
	if _, refused := errors.AsType[*people.Error](err); refused {
		return show(err)
	}
	return err
}

//go:embed *.html
var files embed.FS

var pages = view.Parse(files, SignIn{}, People{})

// Locked answers what a page fetched by itself after its session ended or locked: the
// page puts the answer up, and stays with what is typed in it.
func Locked(r *kit.Request, state people.State) error {
	q := &request{r}
	q.R.Form = url.Values{"next": {q.R.URL.RequestURI()}}
	if state == people.NeedsPIN && q.Who.HasPIN {
		return q.pinForm(http.StatusUnauthorized, nil)
	}
	return q.signIn(http.StatusUnauthorized, nil)
}

// SignIn is the page that asks who is there.
type SignIn struct {
	view.Page
	Form view.Form
	// Kept says whether what was typed waits for the person.
	Kept view.Notice
	// Locked says that a page is locked and whose it is; Other leads to where
	// somebody else gets in. Both are empty on any other page.
	Locked string
	Other  view.Link
	// Invented are the people of an invented laboratory, Secrets what opens
	// their accounts.
	Invented, Secrets []view.Pair
}

// People lists the accounts.
type People struct {
	view.Page
	Rows  []PersonRow
	Forms []view.Form
	// Given is a first password, shown once.
	Given []view.Pair
}

// PersonRow is one account.
type PersonRow struct {
	ID, Name, Roles, State, Href string
}
