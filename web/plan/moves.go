package plan

import (
	"cmp"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"vialwright/dayplan"
	"vialwright/people"
	"vialwright/quantity"
	"vialwright/web/kit"
)

// move is one thing that was touched since the plan in force.
type move struct {
	what  string // later, earlier, cancel, swap
	order string
}

// step is how far a touch moves an order.
const step = 30 * time.Minute

// moves are written in the address, so that a page is made from the books and its
// address alone.
type moves []move

// mostMoves bounds what an address can hold.
const mostMoves = 60

func readMoves(text string) moves {
	var out moves
	for _, part := range strings.Split(text, ",") {
		what, order, ok := strings.Cut(part, ":")
		if ok && slices.Contains([]string{"later", "earlier", "cancel", "swap"}, what) && len(out) < mostMoves {
			out = append(out, move{what, order})
		}
	}
	return out
}

func (m moves) String() string {
	parts := make([]string, len(m))
	for i, x := range m {
		parts[i] = x.what + ":" + x.order
	}
	return strings.Join(parts, ",")
}

// with is the address of the page with one move more.
func (m moves) with(what, order string) string {
	return address(append(slices.Clone(m), move{what, order}), order)
}

// asking is the address of the page that also says what binds.
func (m moves) asking(on string) string { return address(m, on, "why", "1") }

// address is that of the page with some moves and an order that is picked; more is a further
// name with its value.
func address(m moves, on string, more ...string) string {
	v := url.Values{}
	for name := range slices.Chunk(more, 2) {
		v.Set(name[0], name[1])
	}
	if len(m) > 0 {
		v.Set("moves", m.String())
	}
	if on != "" {
		v.Set("on", on)
	}
	if len(v) == 0 {
		return "/plan"
	}
	return "/plan?" + v.Encode()
}

// apply moves the orders of a day, and says in words what was moved.
func (m moves) apply(d *dayplan.Day) (says []string) {
	by := map[string]time.Duration{}
	var shifted []string
	for _, x := range m {
		i := slices.IndexFunc(d.Orders, func(o dayplan.Order) bool { return o.ID == x.order })
		if i < 0 {
			continue
		}
		switch x.what {
		case "cancel":
			d.Orders = slices.Delete(d.Orders, i, i+1)
			says = append(says, x.order+" cancelled")
		case "swap":
			if k := next(d.Orders, i); k >= 0 {
				a, b := d.Orders[i].At, d.Orders[k].At
				fix(&d.Orders[i], b)
				fix(&d.Orders[k], a)
				says = append(says, x.order+" and "+d.Orders[k].ID+" swapped")
			}
		default:
			shift := step
			if x.what == "earlier" {
				shift = -step
			}
			fix(&d.Orders[i], d.Orders[i].At.Add(shift))
			if _, known := by[x.order]; !known {
				shifted = append(shifted, x.order)
			}
			by[x.order] += shift
		}
	}
	for _, id := range shifted {
		switch by := by[id]; {
		case by > 0:
			says = append(says, id+" later by "+minutes(by))
		case by < 0:
			says = append(says, id+" earlier by "+minutes(-by))
		}
	}
	return says
}

func minutes(d time.Duration) string { return strconv.Itoa(int(d.Minutes())) + " min" }

// fix puts an order at a time that was decided.
func fix(o *dayplan.Order, at time.Time) { o.At, o.Earliest, o.Latest = at, at, at }

// next is the order whose infusion follows; -1 for none.
func next(orders []dayplan.Order, i int) int {
	best := -1
	for k := range orders {
		if k == i || !orders[k].At.After(orders[i].At) {
			continue
		}
		if best < 0 || cmp.Or(orders[k].At.Compare(orders[best].At), cmp.Compare(orders[k].ID, orders[best].ID)) < 0 {
			best = k
		}
	}
	return best
}

// takeForm takes the plan that is shown, in one touch.
func (q *request) takeForm(a *asked) *kit.Form {
	rows := []any{}
	at := func(t time.Time) string { return quantity.FormatTime(t, a.st.Zone.Loc()) }
	for _, r := range a.plan.Rows {
		row := map[string]any{"order": r.Order, "source": r.From, "infuse": at(r.Infuse)}
		if !r.Draw.IsZero() {
			row["draw"] = at(r.Draw)
		}
		rows = append(rows, row)
	}
	reason := strings.Join(a.says, "; ")
	if reason == "" && a.taken == nil {
		reason = "first plan of the day"
	}
	take := "Take this plan"
	if len(a.plan.Unserved) > 0 { // whoever presses it leaves a patient out
		take += " without " + strings.Join(a.plan.Unserved, ", ")
	}
	return &kit.Form{
		ID: "re-plan", Title: take, Action: address(a.moves, "", "mark", a.mark()), Button: take, Act: people.Draw, To: "/plan", Said: "The plan is taken.",
		Parts: []kit.Part{{Kind: "re-plan", Fixed: map[string]any{"rows": rows}, Inputs: []kit.Input{{Name: "reason", Value: reason, Must: true}, kit.At}}},
	}
}
