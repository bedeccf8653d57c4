package plan

import (
	"bytes"
	"net/http"
	"slices"
	"strings"
	"time"

	"vialwright/calendar"
	"vialwright/fact"
	"vialwright/inventory"
	"vialwright/people"
	"vialwright/quantity"
	"vialwright/web/kit"
	"vialwright/web/view"
)

// calendarBack is how long what is over stays in the feed.
const calendarBack = 14 * 24 * time.Hour

// calendarFeed answers a calendar with deliveries, cut-offs, draws, infusions and tests due. The
// token in its address stands for a person who may see the board; whatever is wrong with
// it, the answer is the one of an address that is not there.
func calendarFeed(q *request) error {
	none := &kit.Refusal{Status: http.StatusNotFound, Heading: "There is no such calendar", Text: "this address gives no calendar", Hint: "make a new one on the page of the day plan", Back: "/plan/calendar"}
	text, ok := strings.CutSuffix(q.R.PathValue("file"), ".ics")
	token, err := people.ParseToken(text)
	if !ok || err != nil {
		return none
	}
	who, opens, err := q.Kept.ReadsCalendar(q.R.Context(), q.R.PathValue("id"), token)
	switch {
	case err != nil:
		return err
	case !opens || people.May(who.Person, people.SeeBoard) != nil:
		return none
	}
	events, err := q.calendarEvents()
	if err != nil {
		return err
	}
	var b bytes.Buffer // what cannot be made is an error, not half a feed
	if err := calendar.Write(&b, events, q.Now); err != nil {
		return err
	}
	q.W.Header().Set("Content-Type", "text/calendar; charset=utf-8")
	q.W.Header().Set("Cache-Control", "no-store")
	_, err = b.WriteTo(q.W)
	return err
}

// calendarEvents are those of the books: no patient is in them, only ids.
func (q *request) calendarEvents() (out []calendar.Event, err error) {
	st, err := q.CaseState()
	if err != nil {
		return nil, err
	}
	practice := ""
	if q.Practice {
		practice = "PRACTICE: "
	}
	since := q.Now.Add(-calendarBack)
	add := func(id, summary string, from time.Time, takes quantity.Span) {
		if from.After(since) {
			out = append(out, calendar.Event{ID: id, Summary: practice + summary, From: from, Until: from.Add(takes.Duration())})
		}
	}
	gone := map[string]bool{} // an order that is not open any more is not in it: it was given, or will not be
	for _, o := range st.Case.Orders {
		prep := st.Preparation(o.ID)
		gone[o.ID] = o.Cancelled || (prep.Over() && !prep.Given)
	}
	var takes, infusion quantity.Span
	if setup, _ := q.inForce(q.Now.In(st.Zone.Loc())); setup != nil {
		takes, infusion = setup.Takes.Value, setup.Infusion.Value
	}
	planned := map[string]bool{}
	for _, r := range q.plannedDoses(st.Zone.Loc()) {
		off, open := gone[r.Order]
		if planned[r.Order] = true; off || (!open && r.Infuse.After(q.Now)) {
			continue
		}
		if !r.Draw.IsZero() {
			add("draw-"+r.Order, "Draw for "+r.Order+" from "+r.Source, r.Draw, takes)
		}
		add("infusion-"+r.Order, "Infusion of "+r.Order, r.Infuse, infusion)
	}
	for _, o := range st.Case.Orders {
		if !planned[o.ID] && !gone[o.ID] {
			add("infusion-"+o.ID, "Infusion of "+o.ID, o.At, infusion)
		}
	}
	for _, x := range inventory.Outstanding(q.kept()) {
		add("delivery-"+x.Parcel, "Delivery of parcel "+x.Parcel, x.Due, 0)
	}
	var c comes
	c.due(q.kept(), q.Now, daysFrom(q.Now, 366))
	for _, x := range c.offers {
		add("order-by-"+x.Parcel, "Order by: offer "+x.Parcel, x.OrderBy, 0)
	}
	for _, i := range q.instruments.Book(q.Now, st.Zone.Loc()).Instruments {
		for _, d := range i.Due {
			add("test-"+d.Instrument+"-"+d.What, "Test due: "+d.What+" of "+d.Instrument, d.At, 0)
		}
	}
	return out, nil
}

// plannedDoses are those of the plan that was taken last for each day.
func (q *request) plannedDoses(zone *time.Location) (out []fact.PlannedDose) {
	last := map[string][]fact.PlannedDose{}
	var days []string
	for _, e := range q.kept() {
		if x, ok := e.Fact.(*fact.RePlan); ok && len(x.Rows) > 0 {
			day := x.Rows[0].Infuse.In(zone).Format(time.DateOnly)
			if last[day] == nil {
				days = append(days, day)
			}
			last[day] = x.Rows
		}
	}
	slices.Sort(days)
	for _, day := range days {
		out = append(out, last[day]...)
	}
	return out
}

func calendarPage(q *request) error { return q.calendarShow(nil) }

// calendarGive makes an address for the person, in place of the one before. It is shown
// this once: what is kept does not give it back.
func calendarGive(q *request) error {
	token := q.NewToken()
	if err := q.Kept.GiveCalendar(q.R.Context(), q.Who, token); err != nil {
		return err
	}
	scheme := "https://"
	if q.PlainHTTP {
		scheme = "http://"
	}
	return q.calendarShow([]view.Pair{{Name: "Address", Value: scheme + q.R.Host + "/calendar/" + q.Who.ID + "/" + token.Text() + ".ics"}})
}

func calendarWithdraw(q *request) error {
	if err := q.Kept.WithdrawCalendar(q.R.Context(), q.Who); err != nil {
		return err
	}
	q.Say(kit.SaidDone, "The address is withdrawn. It gives nothing any more.")
	return q.See("/plan/calendar")
}

func (q *request) calendarShow(given []view.Pair) error {
	since, err := q.Kept.CalendarSince(q.R.Context(), q.Who)
	if err != nil {
		return err
	}
	p := view.FormPage{
		Page: q.Page("Calendar"), Heading: "Calendar", Back: view.Link{Text: "Day plan", Href: "/plan"}, Facts: given,
		Intro: "A calendar program reads deliveries, cut-offs, draws, infusions and tests due from an address of your own. There are ids of orders and vials in it, and no patient. Whoever has the address can read it.",
	}
	give := kit.PlainForm("give", "Make an address", "/plan/calendar", "Make an address")
	switch {
	case len(given) > 0:
		p.Cautions = append(p.Cautions, view.Notice{Kind: "warn", Word: "Once", Text: "The address is shown this once.", Hint: "Copy it into your calendar now."})
	case since.IsZero():
		p.Facts = []view.Pair{{Name: "Address", Value: "You have none."}}
	default:
		p.Facts = []view.Pair{{Name: "Address", Value: "One was made on " + since.UTC().Format("2006-01-02 15:04 UTC") + ". It ends after a year, when your password is changed, and when you withdraw it."}}
	}
	if !since.IsZero() {
		give.Title, give.Button = "Make another address", "Make another; the one before ends"
		p.Forms = append(p.Forms, kit.PlainForm("withdraw", "Withdraw the address", "/plan/calendar/withdraw", "Withdraw the address"))
	}
	p.Forms = append([]view.Form{give}, p.Forms...)
	return q.Show(http.StatusOK, view.Common, p)
}
