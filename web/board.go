package web

import (
	"net/http"
	"slices"

	"vialwright/dispensing"
	"vialwright/procedure"
	"vialwright/web/view"
)

func boardPage(q *request) error { return q.board(http.StatusOK, nil) }

// board shows what is open: the orders, the vials and the hours.
func (q *request) board(status int, _ error) error {
	if err := q.lab.CatchUp(q.r.Context()); err != nil && q.lab.Broken() == nil {
		return err
	}
	p := view.Board{Page: q.page("Board")}
	p.Live = "/events"
	p.Scan = scanForm("/", true)
	if !q.begun() {
		p.Start = &view.Link{Text: "First start: what to do before the first order", Href: "/start"}
	}
	card := view.Card{Name: "Open", Href: "/day"}
	st, err := q.reckon(q.openFile(q.now), q.now)
	if err != nil {
		card.Says = "cannot be reckoned: " + err.Error()
	} else {
		card.Orders = q.orderCards(st)
		card.Says = plural(len(st.c.Orders), "order") + ", " + plural(len(st.c.Vials), "vial")
		q.day(&card, st)
	}
	p.Open = append(p.Open, card)
	return q.show(status, p)
}

// over tells that every order of a case is closed or given up.
func over(st *state) bool {
	return len(st.preps) > 0 && !slices.ContainsFunc(st.preps, func(p procedure.Preparation) bool { return !p.Closed && p.Abandoned == "" })
}

func plural(n int, what string) string {
	switch n {
	case 0:
		return "no " + what
	case 1:
		return "1 " + what
	}
	return decimal(uint64(n)) + " " + what + "s"
}

// orderCards are the orders of a case with where each stands.
func (q *request) orderCards(st *state) []view.OrderCard {
	var out []view.OrderCard
	for _, o := range st.c.Orders {
		p := st.prep(o.ID)
		card := view.OrderCard{
			ID: o.ID, Href: benchHref(o.ID), Territory: o.Territory,
			Prescribed: q.prescribed(st, o), At: "infusion " + st.zone.clock(o.At),
		}
		card.State, card.Now = q.standing(p)
		if q.blind(st, o.ID) {
			card.Links = append(card.Links, view.Link{Text: "Second check", Href: benchHref(o.ID) + "/check"})
		}
		for _, f := range st.r.Findings {
			if f.Severity == dispensing.Stop && st.r.Concerns(f, o.ID) && !q.blind(st, o.ID) {
				card.Notices = append(card.Notices, findingNotice(f))
			}
		}
		out = append(out, card)
	}
	return out
}

func findingNotice(f dispensing.Finding) view.Notice {
	word := map[dispensing.Severity]string{dispensing.Stop: "Stop", dispensing.Warn: "Warning", dispensing.Note: "Note"}[f.Severity]
	return view.Notice{Kind: string(f.Severity), Word: word, Text: f.Text + "."}
}

// badge is what an order is told by on every page.
func (s *Server) badge(order string) view.Badge { return view.BadgeOf(s.lab.OrderPlace(order)) }

func benchHref(order string) string { return "/order/" + order }
