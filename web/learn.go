package web

import (
	"encoding/json"
	"fmt"
	"reflect"
	"runtime"
	"slices"
	"strings"
	"sync"
	"time"

	"vialwright/dispensing"
	"vialwright/experience"
	"vialwright/journal"
	"vialwright/people"
	"vialwright/procedure"
	"vialwright/quantity"
	"vialwright/web/view"
)

// lessons are what the finished cases of the journal have taught, kept up with it
// when somebody asks. What takes long to work out is kept until a case changes.
type lessons struct {
	mu    sync.Mutex
	tally *experience.Tally
	// rows, unusual and left are those of the tally as it is; fresh is false
	// after a change.
	rows    []experience.Row
	unusual []experience.Unusual
	left    []experience.Left
	fresh   bool
	// kept is what was learned as a fact, nil for nothing, known whether it was
	// worked out since the tally had this count of changes.
	kept    *journal.Experience
	known   bool
	changes int
	// upTo is the number of the last record that was looked at.
	upTo int
}

func newPast(zones journal.Zones) *lessons { return &lessons{tally: experience.New(zones)} }

// taught asks what the finished cases have taught. What is asked holds the
// lock, and keeps nothing of the tally.
func (q *request) taught(ask func(*lessons)) {
	p := q.past
	p.mu.Lock()
	defer p.mu.Unlock()
	news, upTo := q.lab.ChangedSince(p.upTo)
	p.upTo = upTo
	if len(news) > 0 {
		p.tally.TakeAll(news, runtime.GOMAXPROCS(0))
	}
	if now := p.tally.Changes(); now != p.changes {
		p.fresh, p.changes, p.known = false, now, false
	}
	ask(p)
}

// fact is what was learned, as of a moment and a record; nil for nothing.
func (p *lessons) fact(at time.Time, upTo int) *journal.Experience {
	if !p.known {
		p.kept, p.known = p.tally.Fact(at, upTo), true
	}
	if p.kept == nil {
		return nil
	}
	x := *p.kept // its rows are not changed by anybody
	x.At, x.UpTo = at.Truncate(time.Second), upTo
	return &x
}

// look works out what the page shows, if a case has changed since.
func (p *lessons) look() {
	if !p.fresh {
		p.rows, p.unusual, p.left, p.fresh = p.tally.Learned(), p.tally.Unusual(), p.tally.Left(), true
	}
}

// reckon works a case out for nobody in particular.
func (s *Server) reckon(f *file, now time.Time) (*state, error) { return s.reckonFor(f, now, "") }

// reckon works a case out, with a draw still to be made planned for the person
// who looks, if they may draw.
func (q *request) reckon(f *file, now time.Time) (*state, error) {
	drawer := ""
	if people.May(q.who.Person, people.Draw) == nil {
		drawer = q.who.ID
	}
	return q.reckonFor(f, now, drawer)
}

// withLearned puts what the finished preparations have taught by now behind the
// receipt of a vial, where it differs from what is in force: whatever is drawn
// from it is planned with that.
func (q *request) withLearned(now *state, facts []journal.Fact) []journal.Fact {
	if !slices.ContainsFunc(facts, func(f journal.Fact) bool { _, ok := f.(*journal.Receive); return ok }) {
		return facts
	}
	if x := q.learnedNow(now.c); x != nil && differs(now.c.Learned, x) {
		return append(facts[:len(facts):len(facts)], x)
	}
	return facts
}

// learnedNow is what the finished cases have taught by now; nil for nothing.
func (q *request) learnedNow(c dispensing.Case) (x *journal.Experience) {
	upTo := int(q.lab.Report().Head.Seq)
	q.taught(func(p *lessons) { x = p.fact(q.now.In(zoned{c.Zone}.loc()), upTo) })
	return x
}

// withTakeOver adds the form that takes over what was learned since the case
// was opened, where there is something.
func (q *request) withTakeOver(st *state, forms map[string]*entryForm) map[string]*entryForm {
	if people.May(q.who.Person, people.SetPolicy) != nil {
		return forms
	}
	x := q.learnedNow(st.c)
	if x == nil || !differs(st.c.Learned, x) {
		return forms
	}
	fixed, err := fixedOf(x)
	if err != nil {
		q.Logger.Error("learned", "error", err)
		return forms
	}
	to := "/"
	forms["learned"] = &entryForm{
		id: "learned", title: "Use current site experience", action: entering + "learned", button: "Use it", act: people.SetPolicy,
		to: to, said: "What was learned is in force from now on.", lines: learnedPairs(x, st.zone),
		parts: []part{{kind: x.Kind(), fixed: fixed, inputs: []input{
			{name: "reason", label: "Why it is taken over now", kind: "text", must: true, hint: "Draws that were made keep what they rested on."},
		}}},
	}
	return forms
}

// differs tells whether other figures are learned now than are in force.
func differs(in *dispensing.Experience, x *journal.Experience) bool {
	if in == nil {
		return true
	}
	f, err := journal.Fold([]journal.Fact{&journal.Site{Zone: "UTC"}, x}, time.LoadLocation)
	return err != nil || !reflect.DeepEqual(in.Yields, f.Learned.Yields) || !reflect.DeepEqual(in.Residuals, f.Learned.Residuals)
}

// fixedOf are the fields of a fact as a form fixes them.
func fixedOf(f journal.Fact) (map[string]any, error) {
	body, err := journal.Record{Recorded: time.Unix(1e9, 0), By: "x", Fact: f}.Marshal()
	if err != nil {
		return nil, err
	}
	var r struct{ Fact map[string]any }
	d := json.NewDecoder(strings.NewReader(string(body)))
	d.UseNumber()
	if err := d.Decode(&r); err != nil {
		return nil, err
	}
	return r.Fact, nil
}

// learnedPairs is what was learned in words, a line for each row.
func learnedPairs(x *journal.Experience, z zoned) []view.Pair {
	out := []view.Pair{{Name: "at", Value: z.clock(x.At)}}
	if x.UpTo > 0 {
		out = append(out, view.Pair{Name: "to record", Value: decimal(uint64(x.UpTo))})
	}
	for _, y := range x.Yields {
		out = append(out, view.Pair{
			Name:  "draw yield, " + whose(y.Vial, y.By),
			Value: fmt.Sprintf("%s ± %s, %d draws, %d such", y.Q, y.U, y.Cases, y.Own),
		})
	}
	for _, r := range x.Residuals {
		out = append(out, view.Pair{
			Name:  "residual, " + whose(r.Vial, ""),
			Value: fmt.Sprintf("%s ± %s (%s ± %s), %d infusions, %d such", r.Fraction, r.U, r.Activity, r.ActivityU, r.Cases, r.Own),
		})
	}
	if x.Reason != "" {
		out = append(out, view.Pair{Name: "reason", Value: x.Reason})
	}
	return out
}

// whose names a row.
func whose(vial, by string) string {
	if vial == "" {
		vial = "any other vial"
	}
	if by == "" {
		return vial
	}
	return vial + ", " + by
}

// assumedPair is a setting that nobody stated, and where it comes from.
func assumedPair(a dispensing.Assumed) view.Pair {
	if a.Learned {
		return view.Pair{Name: a.Setting + ", learned", Value: a.Value + " (" + strings.TrimPrefix(a.Source, "learned ") + ")"}
	}
	return view.Pair{Name: a.Setting + ", assumed", Value: a.Value}
}

// drawnBy are the fields of a draw that are not asked. Where the plan rests on
// what was learned, who draws is one of them, since the yield it rested on is
// found by it ever after.
func (b *bench) drawnBy() map[string]any {
	fixed := map[string]any{"for": b.order.ID}
	if b.c.Learned != nil && b.c.Policy.LearnYield {
		fixed["by"] = b.q.who.ID
	}
	return fixed
}

// learned says at the draw what it rests on and how likely it lands, and leads
// to the page.
func (b *bench) learned(p *view.Bench, key procedure.Key) {
	plan := b.out.Plan
	if key != procedure.Draw && key != procedure.Adjust || plan == nil || !plan.Assayed {
		return
	}
	from := plan.YieldFrom
	if from == "" {
		from = percents(quantity.Fraction(plan.Yield.Value), quantity.Fraction(plan.Yield.U)) + ", as the policy states"
		for _, a := range b.r.Assumed {
			if a.Setting == "draw-yield" {
				from = a.Value + ": " + a.Source
			}
		}
	}
	p.Outcome = append(p.Outcome, view.Pair{Name: "Draw yield expected", Value: from})
	if l, ok := b.c.UsualResidual(); ok {
		p.Outcome = append(p.Outcome, view.Pair{Name: "Residual so far, for information", Value: l.Sentence()})
	}
	p.Links = append(p.Links, view.Link{Text: "Site experience", Href: "/learned"})
}

// hidden are the orders of which a person may still do the second check, so
// that no page shows a figure of them. Whose record is closed is not asked.
func (q *request) hidden(preps []experience.Preparation) map[string]bool {
	out := map[string]bool{}
	for _, p := range preps {
		if p.Closed {
			continue
		}
		st, err := q.reckon(q.lab.File(p.Order), q.now)
		if err != nil || q.blind(st, p.Order) {
			out[p.Order] = true
		}
	}
	return out
}

// percents is a share in per cent with its uncertainty.
func percents(x, u quantity.Fraction) string { return quantity.Show(x, u).String() }
