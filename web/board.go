package web

import (
	"cmp"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/people"
	"vialwright/procedure"
	"vialwright/quantity"
	"vialwright/web/view"
)

// boardPage answers in one look: who is next, what each order needs and from
// whom, what is left in which vial, what is due, and what is on site. Who may
// still do a second check sees the same board without figures.
func boardPage(q *request) error {
	if err := q.catchUp(); err != nil {
		return err
	}
	p := view.Board{Page: q.page("Board"), Day: q.wallDay(q.now), Scan: scanForm("/", true)}
	p.Live = "/events"
	if q.lab.Orders() == 0 {
		p.Start = &view.Link{Text: "First start: what to do before the first order", Href: "/start"}
	}
	p.More = append([]view.Link{{Text: "Details of the day", Href: "/day"}, {Text: "History", Href: "/history"}}, q.pageLinks()...)
	st, err := q.reckon(q.openFile(q.now), q.now)
	if err != nil {
		p.Fault = &view.Notice{Kind: "stop", Word: "Stop", Text: "What is open cannot be reckoned: " + err.Error() + ".", Hint: "Correct the entry it names. It is in the history."}
		return q.show(http.StatusOK, p)
	}
	p.Forms = q.formLinks(st)
	q.orders(&p, st)
	for _, v := range st.Result.Vials {
		if !q.usedUp(st, v) {
			p.Vials = append(p.Vials, q.vialOnBoard(st, v))
		}
	}
	p.Strip, p.StripNarrow = q.strip(st)
	p.Due = q.due(st)
	p.OnSite = q.onSite(st)
	return q.show(http.StatusOK, p)
}

// wallDay is a day as it is said in a laboratory.
func (q *request) wallDay(t time.Time) string {
	return t.In(q.loc()).Format("Monday 2 January")
}

// orders puts the orders on the board in the order of their infusions: those
// that are overdue first, those of coming days and those that need nothing more
// apart.
func (q *request) orders(p *view.Board, st *state) {
	all := slices.Clone(st.Case.Orders)
	late := func(o dispensing.Order) bool { return q.overdue(st, o) }
	slices.SortStableFunc(all, func(a, b dispensing.Order) int {
		if late(a) != late(b) {
			return map[bool]int{true: -1, false: 1}[late(a)]
		}
		return cmp.Or(a.At.Compare(b.At), cmp.Compare(a.Entry, b.Entry))
	})
	today := q.now.In(st.zone.loc()).Format(time.DateOnly)
	for _, o := range all {
		row := q.orderRow(st, o)
		switch prep := st.Preparation(o.ID); {
		case prep.Over():
			p.Done = append(p.Done, row)
		case o.At.In(st.zone.loc()).Format(time.DateOnly) > today:
			p.Coming = append(p.Coming, row)
		default:
			p.Orders = append(p.Orders, row)
		}
	}
	for i, row := range p.Orders {
		if row.Mine {
			p.Orders[i].Next = true // one button stands out: what this person does next
			break
		}
	}
}

// overdue tells that the time planned for an infusion is over and the dose not
// given.
func (q *request) overdue(st *state, o dispensing.Order) bool {
	p := st.Preparation(o.ID)
	return !p.Given && !p.Over() && q.now.After(o.At)
}

// orderRow is one order on the board.
func (q *request) orderRow(st *state, o dispensing.Order) view.OrderRow {
	b, _ := q.orderView(st, o.ID)
	blind := b.blind()
	row := view.OrderRow{
		ID: o.ID, Href: benchHref(o.ID), Badge: q.badge(o.ID), Territory: o.Territory, Prescribed: b.prescribed(),
		Clock: st.zone.hour(o.At), When: q.when(st, o), Late: q.overdue(st, o),
	}
	for _, s := range b.prep.Steps {
		if s.State == procedure.Done || s.State == procedure.Skipped {
			row.Done++
		}
	}
	row.Steps = len(b.prep.Steps)
	q.need(b, &row)
	if blind {
		return row
	}
	row.Says = inALine(b)
	var stops []view.Notice
	for _, f := range st.Result.Findings {
		if f.Severity == dispensing.Stop && st.Result.Concerns(f, o.ID) && !b.prep.Over() {
			stops = append(stops, findingNotice(f))
		}
	}
	if len(stops) > 0 {
		row.Notices = stops[:1]
		if n := len(stops) - 1; n > 0 {
			row.Notices[0].Hint = "+" + strconv.Itoa(n) + " more."
		}
	}
	return row
}

// when says how far an infusion is from now.
func (q *request) when(st *state, o dispensing.Order) string {
	p, z := st.Preparation(o.ID), st.zone.loc()
	days := o.At.In(z).Format(time.DateOnly) != q.now.In(z).Format(time.DateOnly)
	switch {
	case p.Given:
		return "Given."
	case days:
		return o.At.In(z).Format("Mon 2 Jan")
	case q.now.After(o.At):
		return hours(q.now.Sub(o.At)) + " overdue"
	}
	return "in " + hours(o.At.Sub(q.now))
}

// hours is a time span to the minute.
func hours(d time.Duration) string {
	m := uint64(d.Round(time.Minute) / time.Minute)
	if m < 60 {
		return strconv.FormatUint(m, 10) + " min"
	}
	return strconv.FormatUint(m/60, 10) + " h " + strconv.FormatUint(m%60, 10) + " min"
}

// need says what an order needs next, and from whom.
func (q *request) need(b *orderView, row *view.OrderRow) {
	who := q.who.Person
	step, ok := b.prep.Current()
	switch {
	case b.prep.Cancelled != "":
		row.Need, row.From = "Cancelled", sentence(b.prep.Cancelled)+"."
		return
	case b.prep.Closed || !ok:
		row.Need = "Closed"
		return
	case procedure.MaySign(who, b.prep) == nil:
		row.Need, row.Mine, row.Go = "Sign this order", true, b.href()+"#"+signWord
	case b.prep.Untaken != "":
		row.Need, row.Go = "Take the dose over", b.href()
		row.Mine = procedure.MayTakeOver(who, b.prep) == nil
		row.From = "By " + q.nameOf(b.prep.Untaken) + "."
	default:
		row.Need, row.Go = step.Title, b.href()
		row.Mine = b.mayStep(step.Key) == nil
		row.From = "By " + q.whom(b, step.Key) + "."
	}
	if row.Mine {
		row.From = "By you."
	}
	if step.State == procedure.Blocked && step.Why != "" && !b.blind() {
		row.Wait = sentence(step.Why) + "."
	} else if why := b.prep.Signature.Why(); why != "" && row.Need != "Sign this order" {
		row.Wait = sentence(why) + "."
	}
}

// whom says who does a step: the person who has the dose, or the roles that may.
func (q *request) whom(b *orderView, key procedure.Key) string {
	if key == procedure.TimeOut || key == procedure.Infusion {
		has := ""
		for _, e := range b.file.Entries() {
			if x, ok := e.Fact.(*fact.HandOver); ok && x.For == b.order.ID {
				has = x.To
			}
		}
		if has != "" {
			return q.nameOf(has) + ", who has the dose"
		}
	}
	var roles []string
	for _, r := range key.Act().Roles() {
		roles = append(roles, r.Title())
	}
	out := strings.Join(roles, ", ")
	if n := len(roles); n > 1 {
		out = strings.Join(roles[:n-1], ", ") + " or " + roles[n-1]
	}
	if key == procedure.SecondCheck {
		out += " who did not prepare it"
	}
	return out
}

// inALine is the dose of an order as it is known now.
func inALine(b *orderView) string {
	switch {
	case b.out.Withheld != "":
		return sentence(withheld) + "."
	case b.out.Delivered != nil:
		return "Delivered " + dispensing.Said(b.out.Delivered.Activity, b.out.Delivered.U) + "."
	case b.out.Dispensed != nil:
		d := b.out.Dispensed
		says := "Dose " + quantity.Both(d.Activity, d.U) + ", " + d.Verdict
		if !d.ValidUntil.IsZero() {
			says += ", valid until " + b.zone.hour(d.ValidUntil)
		}
		return says + "."
	case b.out.Plan != nil && b.prep.Container == "" && b.out.HiddenBy == "":
		return "To draw " + quantity.ShowGraduated(b.out.Plan.Draw, b.Case.Policy.Graduation) + " from " + b.out.Plan.From + "."
	}
	return ""
}

// formLinks are the forms that this person may fill in, each on a page of its
// own.
func (q *request) formLinks(st *state) []view.Link {
	var out []view.Link
	forms := q.dayForms(st)
	for _, word := range dayOrder {
		if e := forms[word]; e != nil && people.May(q.who.Person, e.act) == nil {
			out = append(out, view.Link{Text: e.title, Href: e.action})
		}
	}
	return out
}

// pageLinks are the further pages of a case that this person may see.
func (q *request) pageLinks() []view.Link {
	var out []view.Link
	for _, l := range []struct {
		act        people.Act
		text, href string
	}{
		{people.Note, "Late entry", "/paper"},
		{people.ReadMeter, "Settling test", "/curve"},
		{people.SetPolicy, "Settings", "/settings"},
		{people.SetMeter, "Meters", "/meters"},
		{people.Discard, "Waste", "/waste"},
		{people.StaffDose, "Staff doses", "/doses"},
		{people.Export, "Export", "/export"},
	} {
		if people.May(q.who.Person, l.act) == nil {
			out = append(out, view.Link{Text: l.text, Href: l.href})
		}
	}
	return out
}
