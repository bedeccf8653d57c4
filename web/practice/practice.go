package practice

import (
	"encoding/csv"
	"errors"
	"net/http"
	"strconv"
	"strings"
	"time"

	"vialwright/fact"
	"vialwright/journal"
	"vialwright/quantity"
	"vialwright/web/kit"
	"vialwright/web/view"
	"vialwright/web/words"
)

// inPractice refuses a page of practice in a laboratory for patients.
func inPractice(do func(*request) error) func(*request) error {
	return func(q *request) error {
		if !q.Practice {
			return &kit.Refusal{
				Status: http.StatusNotFound, Heading: "Only in practice", Text: "this laboratory is for patients: its clock is that of the machine, and no drill is played in it",
				Hint: "open a practice laboratory with a journal of its own: vialwright serve --practice", Back: "/",
			}
		}
		return do(q)
	}
}

func practicePage(q *request) error { return q.practice(http.StatusOK, nil) }

// practice shows the clock of the practice laboratory, the drills, and who
// caught what.
func (q *request) practice(status int, wrong error) error {
	zone := q.Location()
	drills, err := q.drills()
	if err != nil {
		return err
	}
	z := words.Zoned{Location: zone}
	p := Practice{Page: q.Page("Practice")}
	p.Clock = []view.Pair{{Name: "The clock of this laboratory", Value: z.Clock(q.Now.Truncate(time.Minute))}, {Name: "Put forward by", Value: "nothing"}}
	if ahead := q.PracticeClock.Ahead(); ahead > 0 {
		p.Clock[1].Value = quantity.ShowSpan(quantity.Span(ahead.Seconds()))
	}
	to := view.Field{
		Kind: "text", Name: "to", Label: "Put it forward to", Value: q.R.PostFormValue("to"), Focus: wrong != nil, Required: true, Small: true,
		Hint: "A time of today such as " + q.Now.In(zone).Add(time.Hour).Format("15:04") + ", or a day with a time such as " + q.Now.In(zone).AddDate(0, 0, 1).Format("2006-01-02T15:04") + ". It is never put back.",
	}
	p.Forward = kit.WithError(kit.PlainForm("clock", "Put the clock forward", "/practice/clock", "Put it forward", to), wrong)
	p.Forward.Nonce = q.Nonce()
	all, done := q.competence()
	goesOn := map[string]string{} // the address of the last one of a drill that is not over
	for _, r := range all {
		if r.by == q.Who.ID && r.entries() > 0 {
			goesOn[r.start.Drill] = r.href()
		}
	}
	for _, c := range done {
		if c.over && goesOn[c.run.start.Drill] == c.run.href() {
			delete(goesOn, c.run.start.Drill)
		}
	}
	for _, d := range drills {
		f := kit.PlainForm("drill-"+d.Name, d.Title, "/practice/drill", "Start this drill", view.Field{Kind: "hidden", Name: "drill", Value: d.Name})
		f.Quiet, f.Nonce = true, q.Nonce()
		p.Drills = append(p.Drills, DrillCard{Title: d.Title, Told: d.Told, GoesOn: goesOn[d.Name], Form: f})
	}
	for _, c := range done {
		row := CompetenceRow{Drill: c.run.title(), Href: c.run.href(), Did: c.did, At: z.Clock(c.at), After: quantity.ShowSpan(quantity.Span(c.at.Sub(c.run.start.At).Seconds())), Result: c.result()}
		i := len(p.People) - 1
		if i < 0 || p.People[i].ID != c.who {
			p.People = append(p.People, CompetenceOf{ID: c.who, Name: q.NameOf(c.who)})
			i++
		}
		p.People[i].Rows = append(p.People[i].Rows, row)
	}
	return q.Show(status, pages, p)
}

func clockDo(q *request) error {
	zone := q.Location()
	text := strings.TrimSpace(q.R.PostFormValue("to"))
	if kit.HourOnly.MatchString(text) {
		text = q.Now.In(zone).Format(time.DateOnly) + "T" + strings.Repeat("0", max(0, 2-strings.Index(text, ":"))) + text
	}
	to, err := quantity.ParseTime(text, zone)
	if err != nil {
		return q.practice(http.StatusUnprocessableEntity, &kit.Refusal{Text: err.Error(), Hint: "write it like 13:30, or with the day like " + q.Now.In(zone).Format("2006-01-02") + "T13:30"})
	}
	err = q.keepOfPractice(func(next int) ([]fact.Fact, error) {
		q.Follow()
		f := &fact.Clock{At: q.Clock().In(zone).Truncate(time.Second), To: to}
		if _, msg, hint := f.Wrong(); msg != "" {
			return nil, &kit.Refusal{Text: msg + ": it is " + words.Zoned{Location: zone}.Clock(f.At) + " in this laboratory, and you wrote " + words.Zoned{Location: zone}.Clock(to), Hint: hint + "; to start earlier in the day, begin a new practice laboratory"}
		}
		return []fact.Fact{f}, nil
	})
	if e, ok := errors.AsType[*kit.Refusal](err); ok {
		return q.practice(http.StatusUnprocessableEntity, e)
	}
	if err != nil {
		return err
	}
	q.Say(kit.SaidRecorded, "The clock of this laboratory stands at "+words.Zoned{Location: zone}.Clock(to)+".")
	return q.See("/practice")
}

// keepOfPractice records facts of the practice laboratory itself, and those of
// a drill, once for a form.
func (q *request) keepOfPractice(facts func(next int) ([]fact.Fact, error)) error {
	return q.Once("/practice", func(f *kit.File, next int) ([]journal.Record, error) {
		list, err := facts(next)
		if err != nil {
			return nil, err
		}
		records := q.Records(list, next)
		for i, x := range list {
			switch x.(type) {
			case *fact.Order, *fact.SignOrder, *fact.Receive:
				records[i].By = "drill"
			}
		}
		if len(list) > 1 {
			_, err = q.ReckonFor(f.With(records[1:]...), q.Now, "")
		}
		return records, err
	})
}

func competenceCSV(q *request) error {
	var b strings.Builder
	w := csv.NewWriter(&b)
	_ = w.Write([]string{"person", "name", "drill", "accident", "modelled on", "started", "done", "seconds", "what was done", "result", "entry of the start", "entry"})
	_, done := q.competence()
	for _, c := range done {
		d := c.run.drill
		_ = w.Write([]string{
			c.who, q.NameOf(c.who), c.run.start.Drill, d.Accident, d.Source, quantity.FormatTime(c.run.start.At, nil), quantity.FormatTime(c.at, nil),
			strconv.Itoa(int(c.at.Sub(c.run.start.At).Seconds())), c.did, c.result(), strconv.Itoa(c.run.n), strconv.Itoa(c.n),
		})
	}
	w.Flush()
	if err := w.Error(); err != nil {
		return err
	}
	return q.Download("practice-record.csv", "text/csv; charset=utf-8", []byte(b.String()))
}
