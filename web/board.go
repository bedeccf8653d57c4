package web

import (
	"net/http"
	"slices"
	"strings"
	"time"

	"vialwright/dispensing"
	"vialwright/journal"
	"vialwright/people"
	"vialwright/procedure"
	"vialwright/web/view"
)

func boardPage(q *request) error { return q.board(http.StatusOK, nil) }

// board lists the cases, the newest first.
func (q *request) board(status int, wrong error) error {
	if err := q.lab.CatchUp(q.r.Context()); err != nil && q.lab.Broken() == nil {
		return err
	}
	p := view.Board{Page: q.page("Board")}
	p.Live = "/events"
	p.Scan = scanForm("/", wrong == nil)
	for _, f := range q.lab.Cases() {
		card := view.Card{Name: f.Name, Href: "/case/" + f.Name}
		st, err := q.reckon(f, q.now)
		if err != nil {
			card.Says = "cannot be reckoned: " + err.Error()
			p.Open = append(p.Open, card)
			continue
		}
		card.Orders = q.orderCards(st)
		card.Says = plural(len(st.c.Orders), "order") + ", " + plural(len(st.c.Vials), "vial")
		if over(st) {
			p.Closed = append(p.Closed, card)
		} else {
			q.day(&card, st)
			p.Open = append(p.Open, card)
		}
	}
	if people.May(q.who.Person, people.EnterOrder) == nil {
		f := plain("new", "Open a case for the day", "/case", "Open the case",
			view.Field{Kind: "id", Name: "name", Label: "Name of the case", Value: q.nextName(), Required: true, Hint: "Never a patient's name: the day does well. Zone, settings and meters are those of the case before."})
		f = withError(f, wrong)
		p.New = &f
	}
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

// nextName proposes the day as the name of a case, with a letter where the day
// has one already.
func (q *request) nextName() string {
	z, err := q.Zones(q.Zone)
	if err != nil {
		return ""
	}
	day := q.now.In(z).Format("2006-01-02")
	if q.Practice {
		day = "practice-" + day
	}
	for _, suffix := range append([]string{""}, strings.Split(".b .c .d .e .f .g .h", " ")...) {
		if _, taken := q.lab.Case(day + suffix); !taken {
			return day + suffix
		}
	}
	return ""
}

// caseNew opens a case with the settings of the one before.
func caseNew(q *request) error {
	name := strings.TrimSpace(q.r.PostFormValue("name"))
	head := []journal.Fact{&journal.Case{Zone: q.Zone}}
	head = append(head, q.Site...)
	if all := q.lab.Cases(); len(all) > 0 {
		head = settings(all[0])
	}
	head = q.withLearned(head)
	err := q.lab.Append(q.r.Context(), name, 0, func(f *file) ([]journal.Record, error) {
		records := make([]journal.Record, len(head))
		for i, fact := range head {
			records[i] = journal.Record{Case: name, Recorded: q.now.Truncate(time.Millisecond), By: q.who.ID, Fact: fact}
		}
		if _, err := records[0].Marshal(); err != nil {
			return nil, &refusal{http.StatusUnprocessableEntity, "", "a name has 1 to 32 of A-Z a-z 0-9 . _ -", "the day does well", "/"}
		}
		_, err := q.reckon(&file{name, records, nil}, q.now)
		return records, err
	})
	switch e := err.(type) {
	case nil:
		q.say(saidRecorded, "The case is open.")
		return q.see("/case/" + name)
	case *refusal:
		return q.board(e.status, e)
	case *MovedError:
		return q.board(http.StatusConflict, &refusal{http.StatusConflict, "", "there is a case of this name", "open it, or take another name", "/"})
	}
	return err
}

// settings are the facts in force at the head of a case, for the next one. Why
// each was set stays with the case it was set in.
func settings(f *file) []journal.Fact {
	open, policy, meters := journal.Settings(f.Facts())
	var out []journal.Fact
	if open != nil {
		out = append(out, open)
	}
	if policy != nil {
		p := *policy
		p.Reason = ""
		out = append(out, &p)
	}
	for _, m := range meters {
		x := *m
		x.Reason = ""
		out = append(out, &x)
	}
	return out
}

// orderCards are the orders of a case with where each stands.
func (q *request) orderCards(st *state) []view.OrderCard {
	var out []view.OrderCard
	for _, o := range st.c.Orders {
		p := st.prep(o.ID)
		card := view.OrderCard{
			ID: o.ID, Href: benchHref(st.file.Name, o.ID), Territory: o.Territory,
			Prescribed: q.prescribed(st, o), At: "infusion " + st.zone.clock(o.At),
		}
		card.State, card.Now = q.standing(p)
		if q.blind(st, o.ID) {
			card.Links = append(card.Links, view.Link{Text: "Second check", Href: benchHref(st.file.Name, o.ID) + "/check"})
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

func benchHref(name, order string) string { return "/case/" + name + "/order/" + order }
