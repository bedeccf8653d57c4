package accounts

import (
	"net/http"
	"net/url"

	"vialwright/people"
	"vialwright/web/kit"
	"vialwright/web/view"
	"vialwright/web/words"
)

// changePage lets another person of this bench work here: name, PIN, act. After the
// act the page is locked as the first person's.
func changePage(q *request) error { return q.change(http.StatusOK, nil) }

func (q *request) change(status int, err error) error {
	next := kit.Local(q.R.FormValue("next"))
	if !q.R.Form.Has("next") {
		next = q.CameFrom()
	}
	p := view.FormPage{
		Page: q.Page("Change person"), Heading: "Who works here now?", Back: view.Link{Text: "Back", Href: next},
		Links: []view.Link{{Text: "Sign in as another person", Href: "/sign-in?other=yes&next=" + url.QueryEscape(next)}},
	}
	if q.Session.State(q.Wall, q.Limits) == people.Fresh {
		p.Links = append(p.Links, view.Link{Text: "Password and PIN of " + q.Who.ID, Href: "/me"}, view.Link{Text: "Sound and keys of this screen", Href: "/screen"})
	}
	others, visiting := q.Others()
	if len(others) == 0 {
		p.Cautions = kit.WithError(view.Form{}, err).Notices
		p.Intro = "Nobody else has signed in at this bench. A person who has signed in once with the password is listed here for the rest of the shift, and then needs only name and PIN."
		return q.Show(status, view.Common, p)
	}
	who := view.Field{Kind: "choice", Name: "who", Label: "Name", Required: true, Focus: len(others) > 1}
	for _, o := range others {
		who.Choices = append(who.Choices, view.Choice{Value: o.Who.ID, Text: o.Who.Name + " (" + o.Who.ID + "), " + words.Titles(o.Who.Roles), Picked: len(others) == 1 || q.R.PostFormValue("who") == o.Who.ID})
	}
	f := kit.PlainForm("change", "Change person", "/change", "Change",
		who,
		view.Field{Kind: "pin", Name: "pin", Label: "Your PIN", Required: true, Focus: len(others) == 1},
		view.Field{Kind: "hidden", Name: "next", Value: next})
	f = kit.WithError(f, err)
	f.Quiet, p.Form = true, &f
	p.Intro = "After your next entry the page is locked again as that of " + q.Who.Name + "."
	if visiting {
		p.Intro = "The page belongs to " + others[0].Who.Name + ", and is locked as theirs after your next entry."
	}
	return q.Show(status, view.Common, p)
}

func changeDo(q *request) error {
	if err := q.HandTo(q.R.PostFormValue("who"), q.R.PostFormValue("pin")); err != nil {
		return again(err, func(err error) error { return q.change(http.StatusForbidden, err) })
	}
	return q.See(kit.Local(q.R.PostFormValue("next")))
}
