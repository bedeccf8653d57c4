package accounts

import "vialwright/web/view"

// SignIn is the page that asks who is there.
type SignIn struct {
	view.Page
	Form view.Form
	// Kept says that an entry waits for the person.
	Kept string
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
