package board

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
	"vialwright/web/books"
	"vialwright/web/kit"
	"vialwright/web/view"
	"vialwright/web/words"
)

// boardPage answers in one look: who is next, what each order needs and from
// whom, what is left in which vial, what is due, and what is on site. Who may
// still do a second check sees the same board without figures.
func boardPage(q *request) error {
	p := Board{Page: q.Page("Board"), Day: q.Now.In(q.Location()).Format("Monday 2 January"), Scan: q.ScanForm("/", true)}
	p.Live = "/events"
	p.Notices = append(p.Notices, q.LateWitnesses()...)
	p.Start = q.firstStart()
	p.More = append([]view.Link{{Text: "Details of the day", Href: "/day"}, {Text: "History", Href: "/history"}}, q.pageLinks()...)
	st, err := q.Reckon(q.OpenFile(q.Now), q.Now)
	if err != nil {
		p.Fault = &view.Notice{Kind: "stop", Word: "Stop", Text: "The open orders cannot be calculated: " + err.Error() + ".", Hint: "Correct the entry it names. It is in the history."}
		return q.Show(http.StatusOK, pages, p)
	}
	p.Forms = q.formLinks(st)
	q.orders(&p, st)
	how := leaving(st)
	for _, v := range st.Result.Vials {
		lost := how[v.Vial.ID] == fact.LeftLost
		if !q.usedUp(st, v) && (lost || how[v.Vial.ID] == "") {
			p.Vials = append(p.Vials, q.vialOnBoard(st, v, lost))
		}
	}
	p.Strip = q.strip(st)
	p.Due, p.MoreDue = firstDue(q.due(st), q.Now)
	p.OnSite = q.onSite(st)
	return q.Show(http.StatusOK, pages, p)
}

// settled is how many orders a site has had when nobody is led to the first start any
// more: the checks of all years are not gone through for each look at the board.
const settled = 100

// firstStart leads to the list of the first start before the first order, and after it
// while the clock or the test print was not found right; nil where there is nothing to do.
func (q *request) firstStart() *view.Link {
	n := q.Lab.Orders()
	if n == 0 {
		return &view.Link{Text: "First start: what to do before the first order", Href: "/start"}
	}
	if n >= settled || q.Mark() != "" { // an invented laboratory is practised in as it is
		return nil
	}
	made := books.Beginning(q.Request)
	var open []string
	for _, x := range []struct {
		what fact.CheckOf
		says string
	}{{fact.SiteClock, "the clock and zone"}, {fact.TestPrint, "the test print"}} {
		if c := made[x.what]; c == nil || c.Result != fact.Pass {
			open = append(open, x.says)
		}
	}
	if open == nil {
		return nil
	}
	return &view.Link{Text: "First start: not confirmed yet: " + strings.Join(open, ", "), Href: "/start"}
}

// orders puts the orders on the board in the order of their infusions: those
// that are overdue first, those of coming days and those that need nothing more
// apart.
func (q *request) orders(p *Board, st *kit.State) {
	all := slices.Clone(st.Case.Orders)
	late := func(o dispensing.Order) bool { return q.overdue(st, o) }
	slices.SortStableFunc(all, func(a, b dispensing.Order) int {
		if late(a) != late(b) {
			return map[bool]int{true: -1, false: 1}[late(a)]
		}
		return cmp.Or(a.At.Compare(b.At), cmp.Compare(a.Entry, b.Entry))
	})
	today := q.Now.In(st.Zone.Loc()).Format(time.DateOnly)
	for _, o := range all {
		row := q.orderRow(st, o)
		switch prep := st.Preparation(o.ID); {
		case prep.Over():
			p.Done = append(p.Done, row)
		case o.At.In(st.Zone.Loc()).Format(time.DateOnly) > today:
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
func (q *request) overdue(st *kit.State, o dispensing.Order) bool {
	p := st.Preparation(o.ID)
	return !p.Given && !p.Over() && q.Now.After(o.At)
}

func (q *request) orderRow(st *kit.State, o dispensing.Order) OrderRow {
	b, _ := books.BenchOf(q.Request, st, o.ID)
	blind := b.Blind()
	row := OrderRow{
		ID: o.ID, Href: kit.OrderHref(o.ID), Badge: q.Badge(o.ID), Territory: o.Territory, Prescribed: b.Prescribed(),
		Clock: st.Zone.Hour(o.At), When: q.when(st, o), Late: q.overdue(st, o),
	}
	for _, s := range b.Prep.Steps {
		if s.State == procedure.Done || s.State == procedure.Skipped {
			row.Done++
		}
	}
	row.Steps = len(b.Prep.Steps)
	q.need(b, &row)
	if blind {
		return row
	}
	row.Says = inALine(b)
	var stops []view.Notice
	for _, f := range st.Result.Findings {
		if f.Severity == dispensing.Stop && st.Result.Concerns(f, o.ID) && !b.Prep.Over() {
			n := books.FindingNotice(f)
			n.Text = words.TimesOnTheWall(n.Text, q.Now)
			stops = append(stops, n)
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

func (q *request) when(st *kit.State, o dispensing.Order) string {
	p, z := st.Preparation(o.ID), st.Zone.Loc()
	days := o.At.In(z).Format(time.DateOnly) != q.Now.In(z).Format(time.DateOnly)
	switch {
	case p.Given:
		return "Given."
	case days:
		return o.At.In(z).Format("Mon 2 Jan")
	case q.Now.After(o.At):
		return hours(q.Now.Sub(o.At)) + " overdue"
	}
	return "in " + hours(o.At.Sub(q.Now))
}

// hours is a time span to the minute.
func hours(d time.Duration) string {
	m := uint64(d.Round(time.Minute) / time.Minute)
	if m < 60 {
		return strconv.FormatUint(m, 10) + " min"
	}
	return strconv.FormatUint(m/60, 10) + " h " + strconv.FormatUint(m%60, 10) + " min"
}

func (q *request) need(b *books.Bench, row *OrderRow) {
	who := q.Who.Person
	step, ok := b.Prep.Current()
	switch {
	case b.Prep.Cancelled != "":
		row.Need, row.From = "Cancelled", words.Sentence(b.Prep.Cancelled)+"."
		return
	case procedure.MayComplete(who, b.Prep) == nil && b.Out.Delivered != nil:
		row.Need, row.Mine, row.Go, row.From = "Complete this order", true, b.Href()+"#"+books.CompleteWord, "By you."
		return
	case b.Prep.Closed && !b.Prep.After.Completed() && b.Unfinished():
		row.Need, row.From = "Closed, not completed", "By the authorised physician."
		return
	case b.Prep.Closed || !ok:
		row.Need = "Closed"
		return
	case procedure.MaySign(who, b.Prep) == nil:
		row.Need, row.Mine, row.Go = "Sign this order", true, b.Href()+"#"+books.SignWord
	case b.Prep.Untaken != "":
		row.Need, row.Go = "Take the dose over", b.Href()
		row.Mine = procedure.MayTakeOver(who, b.Prep) == nil
		row.From = "By " + q.NameOf(b.Prep.Untaken) + "."
	default:
		row.Need, row.Go = step.Title, b.Href()
		row.Mine = b.MayStep(step.Key) == nil
		row.From = "By " + q.whom(b, step.Key) + "."
	}
	if row.Mine {
		row.From = "By you."
	}
	if step.State == procedure.Blocked && step.Why != "" && !b.Blind() {
		row.Wait = words.Sentence(step.Why) + "."
	} else if why := b.Prep.Signature.Why(); why != "" && row.Need != "Sign this order" {
		row.Wait = words.Sentence(why) + "."
	}
}

func (q *request) whom(b *books.Bench, key procedure.Key) string {
	if key == procedure.TimeOut || key == procedure.Infusion {
		has := ""
		for _, e := range b.File.Entries() {
			if x, ok := e.Fact.(*fact.HandOver); ok && x.For == b.Order.ID {
				has = x.To
			}
		}
		if has != "" {
			return q.NameOf(has) + ", who has the dose"
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

func inALine(b *books.Bench) string {
	switch {
	case b.Out.Withheld != "":
		return words.Sentence(books.Withheld) + "."
	case b.Out.Delivered != nil:
		return "Delivered " + dispensing.Said(b.Out.Delivered.Activity, b.Out.Delivered.U) + "."
	case b.Out.Dispensed != nil:
		d := b.Out.Dispensed
		says := "Dose " + quantity.Both(d.Activity, d.U) + ", " + d.Verdict
		if !d.ValidUntil.IsZero() {
			says += ", valid until " + b.OnDay(d.ValidUntil)
		}
		return says + "."
	case b.Out.Next == dispensing.NotEnough || b.Result.At.After(b.Order.At):
		return "" // a stop says so, and a volume beside it would be drawn
	case b.Out.Plan != nil && b.Prep.Container == "" && b.Out.HiddenBy == "":
		return "To draw " + quantity.ShowGraduated(b.Out.Plan.Draw, b.Case.Policy.Graduation) + " from " + b.Out.Plan.From + "."
	}
	return ""
}

// formLinks are the forms that this person may fill in, each on a page of its
// own.
func (q *request) formLinks(st *kit.State) []view.Link {
	var out []view.Link
	forms := q.dayForms(st)
	for _, word := range dayOrder {
		if e := forms[word]; e != nil && people.May(q.Who.Person, e.Act) == nil {
			out = append(out, view.Link{Text: e.Title, Href: e.Action})
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
		{people.SeeBoard, "Day plan", "/plan"},
		{people.Note, "Late entry", "/paper"},
		{people.ReadMeter, "Settling test", "/curve"},
		{people.SetPolicy, "Settings", "/settings"},
		{people.SeeBoard, "Instruments", "/instruments"},
		{people.SetMeter, "Meters", "/meters"},
		{people.Discard, "Waste", "/waste"},
		{people.StaffDose, "Staff doses", "/doses"},
		{people.ReceiveVial, "Parcels", "/parcels"},
		{people.Survey, "Surveys", "/surveys"},
		{people.Discard, "Waste bins", "/bins"},
		{people.StaffDose, "Persons", "/persons"},
		{people.ReceiveVial, "Inventory", "/inventory"},
		{people.Export, "Export", "/export"},
	} {
		if people.May(q.Who.Person, l.act) == nil {
			out = append(out, view.Link{Text: l.text, Href: l.href})
		}
	}
	return out
}
