package kit

import (
	"slices"
	"strings"

	"vialwright/accounts"
	"vialwright/people"
)

// mostAtBench is how many people are known at one bench at a time.
const mostAtBench = 8

// AtBench is somebody who signed in at this bench and is not the one who works
// there now: their session is locked, and their PIN opens it.
type AtBench struct {
	Who   accounts.Account
	token people.Token
}

// othersCookie is the name of the cookie with the other sessions of this bench:
// their tokens, and a v before them while the person who works here is a visitor.
func (s *Server) othersCookie() string { return s.Cookie() + "-others" }

const visits = "v"

// Others are the other people of this bench. Where visiting, the page goes back to the
// first of them after the next act of the person who works here.
func (q *Request) Others() (all []AtBench, visiting bool) {
	c, err := q.R.Cookie(q.othersCookie())
	if err != nil || len(c.Value) > 64*mostAtBench {
		return nil, false
	}
	texts := strings.Split(c.Value, ".")
	host := ""
	if texts[0] == visits && len(texts) > 1 {
		texts, host = texts[1:], texts[1]
	}
	for _, text := range texts {
		token, err := people.ParseToken(text)
		if err != nil {
			continue
		}
		_, who, state := q.sessionOf(token)
		if state == people.Ended || who.ID == q.Who.ID || !who.HasPIN {
			continue
		}
		visiting = visiting || text == host
		all = append(all, AtBench{who, token})
	}
	return all, visiting
}

// keepOthers keeps who else is at this bench.
func (q *Request) keepOthers(all []AtBench, visiting bool) {
	var texts []string
	if visiting {
		texts = append(texts, visits)
	}
	for _, o := range all[:min(len(all), mostAtBench)] {
		texts = append(texts, o.token.Text())
	}
	q.SetCookie(q.othersCookie(), strings.Join(texts, "."), int(q.Limits.Whole.Seconds()))
}

// stepAside locks the session of the person who works here, who stays known at
// this bench. What was left to be said to them is said to nobody else.
func (q *Request) stepAside() (AtBench, error) {
	q.unsay()
	return AtBench{q.Who, q.token}, q.changeSession(q.token, people.Session.Lock)
}

// HandTo gives the page to another person of this bench by their PIN, which is asked
// of nobody who is not known here. They have it until their next act; then it goes back
// to the one it belongs to, who stands first.
func (q *Request) HandTo(id, digits string) error {
	all, visiting := q.Others()
	i := slices.IndexFunc(all, func(o AtBench) bool { return o.Who.ID == id })
	if i < 0 {
		return &people.Error{Code: people.CodeUnknownPerson, Msg: "nobody with this id has signed in at this bench", Hint: "sign in with the password"}
	}
	to := all[i]
	if err := q.checkPIN(to.Who, to.token, digits); err != nil {
		return err
	}
	leaves, err := q.stepAside()
	if err == nil {
		err = q.confirm(to.token)
	}
	if err != nil {
		return err
	}
	home := visiting && i == 0
	rest := slices.Delete(all, i, i+1)
	if visiting && !home {
		rest = append(rest, leaves) // the page still belongs to who stands first
	} else {
		rest = append([]AtBench{leaves}, rest...)
	}
	q.keepOthers(rest, !home)
	return nil
}

// TakeOver begins a session of a person whose password was right, and keeps the
// one that was here, locked, for its own person.
func (q *Request) TakeOver(who accounts.Account) error {
	all, _ := q.Others()
	if q.Session.Person != "" && q.Session.Person != who.ID && q.Session.State(q.Wall, q.Limits) != people.Ended {
		leaves, err := q.stepAside()
		if err != nil {
			return err
		}
		all = append([]AtBench{leaves}, all...)
	} else if q.Session.Person != "" {
		if err := q.EndSession(); err != nil {
			return err
		}
	}
	all = slices.DeleteFunc(all, func(o AtBench) bool { return o.Who.ID == who.ID })
	q.keepOthers(all, false)
	return q.OpenSession(who)
}

// goBackAfterEntry gives the page of a visitor back once something of theirs is recorded.
func (q *Request) goBackAfterEntry() bool {
	back, err := q.GoBack(false)
	if err != nil {
		q.Logger.Error("change of person", "error", err) // the entry stands, and the page stays theirs
	}
	return back
}

// GoBack gives the page back, locked, to whom it belongs, once a visitor has done
// what they came for or leaves; it tells whether there was one.
func (q *Request) GoBack(leaves bool) (bool, error) {
	all, visiting := q.Others()
	if !visiting {
		return false, nil
	}
	rest := all[1:]
	if !leaves {
		me, err := q.stepAside()
		if err != nil {
			return false, err
		}
		rest = append([]AtBench{me}, rest...)
	}
	q.keepOthers(rest, false)
	q.keepSession(all[0].token)
	return true, nil
}
