package plan

import (
	"net/http"
	"slices"
	"strings"
	"time"

	"vialwright/dayplan"
	"vialwright/people"
	"vialwright/web/kit"
	"vialwright/web/view"
	"vialwright/web/words"
)

// aheadDays are those for which it is said what to order.
const aheadDays = 14

// aheadPage plans all orders of the coming days with what is here, ordered and on offer. Nothing
// is taken or moved there: that is done on the day.
func aheadPage(q *request) error {
	a, err := q.ask(aheadDays)
	if err != nil {
		return err
	}
	return q.planShow(a, http.StatusOK, nil)
}

// shows fills in the coming days.
func (p *Plan) shows(a *asked, who people.Person) {
	p.Links = []view.Link{{Text: "Day plan", Href: "/plan"}, {Text: "Parcels", Href: "/parcels"}}
	if people.May(who, people.ReceiveVial) == nil {
		p.Links = append(p.Links, view.Link{Text: "Enter an offer", Href: "/hot-lab/enter/offer"}, view.Link{Text: "Enter an order of vials", Href: "/hot-lab/enter/expect-parcel"})
	}
	p.Picture, p.On = "", ""
	for i := range p.Rows {
		p.Rows[i].Href, p.Rows[i].Current = kit.OrderHref(p.Rows[i].ID), false
	}
}

// toOrder says of each offer whom it would serve, or why it cannot be had; and of each parcel
// that is ordered and serves nobody until when it can be cancelled.
func (a *asked) toOrder() (out []view.Pair) {
	for _, o := range a.offers {
		if slices.ContainsFunc(a.out, func(x dayplan.NotOffered) bool { return x.Vial == o.Parcel }) {
			continue // said beside the other vials that no plan goes by
		}
		serves := a.servedBy(o.Parcel)
		until := "until " + a.there(o.OrderBy)
		says := "No order needs it. It can be ordered " + until + "."
		if len(serves) > 0 {
			says = "Order it " + until + ": it serves " + strings.Join(serves, ", ") + "."
		}
		for _, x := range a.plan.NotOffered {
			switch {
			case x.Vial != o.Parcel+"-1":
			case x.Since.IsZero():
				says = words.Sentence(x.Why) + "."
			default:
				says = words.Sentence(x.Why) + ": " + a.there(x.Since) + "."
			}
		}
		out = append(out, view.Pair{Name: "Offer " + o.Parcel, Value: words.Plural(o.Vials, "vial") + " of " + o.Labelled.Text + " of " + o.Supplier + ", due " + a.wall(o.Due) + ". " + says})
	}
	for _, x := range a.ordered {
		o := a.lists[x.Parcel]
		if o != nil && o.CancelUntil.After(a.day.Now) && len(a.servedBy(x.Parcel)) == 0 {
			out = append(out, view.Pair{Name: "Ordered " + x.Parcel, Value: "No order needs it. It can be cancelled until " + a.there(o.CancelUntil) + "."})
		}
	}
	return out
}

// servedBy are the orders that are drawn from the vials of a parcel.
func (a *asked) servedBy(parcel string) (orders []string) {
	for _, r := range a.plan.Rows {
		if i := strings.LastIndex(r.From, "-"); i > 0 && r.From[:i] == parcel {
			orders = append(orders, r.Order)
		}
	}
	return orders
}

// there is a time of a supplier by the clock there and by the clock here.
func (a *asked) there(t time.Time) string {
	return t.Format("Mon 2 Jan 15:04 (UTC-07:00)") + ", here " + a.wall(t)
}

// which are the days that are planned.
func (a *asked) which() string {
	if a.ahead {
		return "the coming days"
	}
	return "today"
}
