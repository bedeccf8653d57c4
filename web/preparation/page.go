package preparation

import (
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/journal"
	"vialwright/people"
	"vialwright/procedure"
	"vialwright/quantity"
	"vialwright/web/books"
	"vialwright/web/clock"
	"vialwright/web/forms"
	"vialwright/web/kit"
	"vialwright/web/view"
)

// bench is one order at its bench.
type bench struct{ *forms.Bench }

func (b *bench) benchPage() error {
	key := procedure.Key(b.Q.R.PathValue("key"))
	if key != "" && key.Title() == "" {
		return &kit.Refusal{Status: http.StatusNotFound, Heading: "There is no such step", Text: "the procedure has no step of this name", Hint: "go to the bench", Back: b.Href()}
	}
	return b.showStep(key, http.StatusOK, nil)
}

// stepDo records a step, or one of the forms that may be used at any time.
func (b *bench) stepDo() error {
	word := b.Q.R.PathValue("key")
	key := procedure.Key(word)
	e := b.Other(word)
	if e == nil {
		if err := b.refusesGiving(); err != nil {
			return err
		}
		e = b.Step(key)
	}
	if e == nil || key == procedure.SecondCheck || key == procedure.TimeOut {
		return &kit.Refusal{Status: http.StatusNotFound, Heading: "There is no such form", Text: "this address takes nothing", Hint: "go to the bench", Back: b.Href()}
	}
	return b.enter(e, func(x *bench, status int, sent *view.Form) error { return x.showStep(key, status, sent) })
}

// showStep is the bench. key is the step asked for, empty for the one that is due;
// sent is a form that was sent and refused.
func (b *bench) showStep(key procedure.Key, status int, sent *view.Form) error {
	q := b.Q
	due, _ := b.Prep.Current()
	if key == "" || key.Title() == "" {
		key = due.Key
	}
	p := b.page(key)
	step := b.Prep.Step(key)
	var says []view.Notice
	switch orders := b.Elsewhere(); {
	case len(orders) > 0:
		which := strings.Join(orders, ", ")
		says = append(says, view.Notice{
			Kind: "note", Word: "Blind", Text: "The dose of " + which + " follows from the figures of this order, and you may still check it.",
			Hint: "Check it first; or choose to see the figures, then you cannot check " + which + ".",
		})
	case b.Blind():
		says = append(says, view.Notice{Kind: "note", Word: "Blind", Text: "You may check this dose, so no figure of it is shown to you."})
	default:
		b.numbers(&p, key)
		if p.Unit != "" {
			p.Working = b.WorkingHref(forms.WorkedUnder(key))
		}
		b.look(&p, key)
		p.Outcome, p.Done = b.outcome(), b.recorded(step)
		says = append(b.reopened(), b.cautions()...)
		b.experience(&p, key)
		p.Folds = append(p.Folds, b.prescription()...)
		says = append(says, b.decided(&p)...)
	}
	says = append(append(says, b.unsigned()...), b.untaken()...)
	if key == procedure.Close {
		says = append(append(says, nearMisses(b.Q.Lab.Remarked(b.File), b.Order.ID)...), b.uncompleted()...)
	}
	if clock.At(key) {
		p.Clock = b.Clock().Show(key)
	}
	if key == procedure.Receipt && step.State == procedure.Now {
		p.Scan = b.Q.ScanForm(b.Href(), false)
	}
	says = append(b.forms(&p, key, step, sent), says...) // why it cannot be done comes first among equals
	if b.revisionHolds() {
		says = append(b.unsigned(), says...) // what it would come to is behind that nobody signed it
	}
	b.judge(&p, step, says)
	b.openLabel()
	return q.Show(status, pages, p)
}

// page is what every page of an order has: the steps, whose dose it is, and what
// is to be done.
func (b *bench) page(key procedure.Key) Bench {
	p := Bench{Page: b.Q.Page(b.Order.ID), Band: b.band(), Stands: key.Title(), Do: b.sentence(key), Steps: b.steps(key)}
	p.Live = "/events?of=" + b.Order.ID
	if p.Here = b.Href(); key != "" {
		p.Here += "/step/" + string(key)
	}
	if key == "" {
		p.Stands = p.Do
	}
	p.Facts = append(b.OrderFacts(), append(b.signature(), b.completion()...)...)
	return p
}

// unchecked: nothing was asked about readiness yet, so that the form says all
// that is missing.
func (b *bench) unchecked() bool {
	return !slices.ContainsFunc(b.File.Records, func(r journal.Record) bool {
		x, ok := r.Fact.(*fact.Check)
		return ok && !x.What.Beginning()
	})
}

// leadTo leaves the focus to the form that was sent and refused: what it asks would
// else stand below the first screen, and the keys of an answer go to another form.
func (p *Bench) leadTo(id string) {
	all := slices.Clone(p.Others)
	if p.Form != nil {
		all = append(all, *p.Form)
	}
	for _, f := range all {
		for _, list := range [][]view.Field{f.Fields, f.Rest} {
			for i := range list {
				list[i].Focus = list[i].Focus && f.ID == id
			}
		}
	}
}

// turnTo makes the way out of a notice the button of a page that has no other, since it
// would else stand behind what the dose is warned of.
func (p *Bench) turnTo(n view.Notice) view.Notice {
	if n.Mend.Href != "" && len(p.Main) == 0 {
		n.Mend.Main = true
		p.Main, n.Mend = []view.Link{n.Mend}, view.Link{}
	}
	return n
}

// forms puts the form of the step and the others on the page, and gives what is
// to be said about them.
func (b *bench) forms(p *Bench, key procedure.Key, step procedure.Step, sent *view.Form) (says []view.Notice) {
	q := b.Q
	switch {
	case sent != nil && sent.ID == "step":
		sent.Quiet = true
		p.Form = sent
	case b.Prep.Cancelled != "":
	case len(b.Elsewhere()) > 0:
		p.Main = []view.Link{b.checkElsewhere()}
	case key == procedure.SecondCheck:
		p.Main = b.checkLinks(step)
	case key == procedure.TimeOut && step.State != procedure.Done:
		p.Main = b.timeOutLinks()
	default:
		e := b.Step(key)
		if e == nil {
			break
		}
		if err := b.MayStep(key); err == nil {
			f := q.FormOf(e, b.File.Taken, nil, nil)
			f.Intro, f.Quiet = "You need: "+step.Needs+".", true
			p.Form = &f
		} else if step.State != procedure.Done {
			p.Main = b.ownLinks()
			if e, ok := errors.AsType[*procedure.Error](err); ok && e.Code == procedure.CodeNoDeviation {
				p.Main = append(p.Main, view.Link{Text: b.Other("deviation").Title, Href: "#deviation"})
			}
			for i := range p.Main { // what is theirs, where the step is another's
				p.Main[i].Main = i == 0
			}
			says = append(says, p.turnTo(kit.PlainNotice(b.withoutFigures(err))))
		}
	}
	p.Links = append(p.Links, b.ownLinks()...)
	for _, word := range b.OtherWords() {
		e := b.Other(word)
		if strings.HasPrefix(word, forms.OverrideWord) && b.Blind() {
			continue // its words hold figures; after the check it is here
		}
		if people.May(q.Who.Person, e.Act) != nil {
			continue
		}
		if sent != nil && sent.ID == e.ID {
			p.Others = append(p.Others, *sent)
			continue
		}
		p.Others = append(p.Others, q.FormOf(e, b.File.Taken, nil, nil))
	}
	if sent != nil && sent.ID != "step" && !slices.ContainsFunc(p.Others, func(f view.Form) bool { return f.ID == sent.ID }) {
		p.Others = append(p.Others, *sent) // it is offered no more; why, it says itself
	}
	if sent != nil {
		p.leadTo(sent.ID)
	}
	p.Links = append(p.Links, b.prints()...)
	p.Links = append(p.Links, view.Link{Text: "History", Href: "/history?of=" + url.QueryEscape(b.Order.ID)})
	if people.MayCorrect(q.Who.Person, people.EnterOrder, "revised") == nil && !b.Blind() && !b.Prep.Over() {
		p.Links = append(p.Links, view.Link{Text: "Revise the order", Href: "/entry/" + strconv.Itoa(b.Order.Entry) + "/correct"})
	}
	if people.May(q.Who.Person, people.Note) == nil {
		p.Links = append(p.Links, view.Link{Text: "Late entry", Href: "/paper"})
	}
	return says
}

// withoutFigures is a refusal, without the figures in it for who may still check.
func (b *bench) withoutFigures(err error) error {
	if b.Blind() {
		return procedure.WithoutFigures(err)
	}
	return err
}

// prints are the documents of the order.
func (b *bench) prints() []view.Link {
	var out []view.Link
	if b.Blind() {
		return nil
	}
	for _, l := range b.Prep.Labels {
		if l.Void == "" {
			text := "Label " + l.Serial.String()
			if l.Copy > 1 {
				text += ", copy " + strconv.Itoa(l.Copy)
			}
			text += ": " + strings.ReplaceAll(string(l.Size), "-", " ") + ". " + books.LabelOn(l.Of, l.Into, l.Size)
			out = append(out, view.Link{Text: text, Href: books.LabelHref(l.Serial)})
		}
	}
	if b.Prep.Given && b.Out.Delivered != nil {
		out = append(out, view.Link{Text: "Patient sheet", Href: b.Href() + "/going-home.pdf"})
	}
	return append(out, view.Link{Text: "Sheet", Href: "/sheet/" + b.Order.ID + ".pdf"})
}

var stateWords = map[procedure.State]string{
	procedure.Done: "done", procedure.Now: "now", procedure.Later: "later", procedure.Skipped: "not needed", procedure.Blocked: "held",
}

func (b *bench) steps(shown procedure.Key) []Step {
	var out []Step
	for i, s := range b.Prep.Steps {
		over := b.Prep.Cancelled != "" && s.State == procedure.Now // there is nothing to do in it
		if over {
			s.State = procedure.Skipped
		}
		v := Step{
			Title: s.Title, Short: s.Short, Shown: s.Key == shown && !over, Href: b.Href() + "/step/" + string(s.Key), State: string(s.State), Word: stateWords[s.State],
			At: b.inTheRail(s.At), Why: s.Why, Now: i == b.Prep.Now && !over,
		}
		if s.By != "" {
			v.By = s.By + " " + b.OnDay(s.At)
		}
		out = append(out, v)
	}
	return out
}

// inTheRail is when a step was done, short: the time of today, or the day.
func (b *bench) inTheRail(at time.Time) string {
	if today := b.Zone.Hour(at); b.OnDay(at) == today {
		return today
	}
	return at.In(b.Zone.Loc()).Format("2 Jan")
}

// outcome are the figures of the dose, each with its uncertainty.
func (b *bench) outcome() []view.Pair {
	var out []view.Pair
	if d := b.Out.Dispensed; d != nil {
		out = append(out, view.Pair{Name: "Dispensed, at infusion", Value: quantity.Both(d.Activity, d.U) + ", " + d.Verdict},
			view.Pair{Name: "95 % interval", Value: quantity.Interval(d.Activity, d.U)}, view.Pair{Name: "Probability within tolerance", Value: d.Chance()})
		if !d.ValidFrom.IsZero() {
			from, until := quantity.WholeMinutes(d.ValidFrom, d.ValidUntil)
			out = append(out, view.Pair{Name: "Valid", Value: b.OnDay(from) + " to " + b.OnDay(until)})
		}
	}
	if b.Prep.Step(procedure.SecondCheck).State == procedure.Done {
		out = append(out, b.checkFacts()...)
	}
	if d := b.Out.Delivered; d != nil {
		said := dispensing.Said(d.Activity, d.U) + ", known by " + d.KnownBy()
		if of := d.OfPrescribed(); of != "" {
			said += ", " + of
		}
		out = append(out, view.Pair{Name: "Delivered", Value: said},
			view.Pair{Name: "95 % interval of it", Value: quantity.Interval(d.Activity, d.U)},
			view.Pair{Name: "Residual", Value: quantity.Show(quantity.Fraction(d.Fraction), quantity.Fraction(d.FractionU)).String()})
	}
	return out
}

// cautions are the findings that a person has to see before acting on a
// figure: stops first, and those that speak of this order or of the case.
func (b *bench) cautions() []view.Notice {
	var out []view.Notice
	for _, f := range b.Result.Findings {
		if f.Severity != dispensing.Note && b.Result.Concerns(f, b.Order.ID) && !b.ahead(f) && !b.superseded(f) {
			out = append(out, b.mended(f))
		}
	}
	for _, h := range b.Prep.Holds {
		if !b.ahead(h.Finding) && !slices.ContainsFunc(b.Result.Findings, func(f dispensing.Finding) bool { return f == h.Finding && f.Severity != dispensing.Note }) {
			out = append(out, b.mended(h.Finding))
		}
	}
	return out
}

// reopened says on the bench that the record is open again, and what the
// correction changed; nothing where it is not.
func (b *bench) reopened() []view.Notice {
	n := b.Prep.Reopened
	e, ok := b.File.Entry(n)
	if n == 0 || !ok {
		return nil
	}
	text := "The record was closed, and entry " + strconv.Itoa(n) + " corrected it."
	for _, p := range books.Reopening(b.Q, b.File.Records[e.Place]) {
		text += " " + p.Name + ": " + p.Value + "."
	}
	return []view.Notice{{Kind: "warn", Word: "Reopened", Text: text, Hint: "Review it, and close it again."}}
}

// openLabel lets the browser fetch the label that was just recorded, once, as
// a download: the bench stays on the screen.
func (b *bench) openLabel() {
	serial := b.Q.Left("print")
	for _, l := range b.Prep.Labels {
		if l.Void == "" && l.Serial.String() == serial {
			b.Q.W.Header().Set("Refresh", "0; url="+books.LabelHref(l.Serial)+"?save")
		}
	}
}
