package web

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
	"vialwright/web/view"
)

// inPractice refuses a page of practice in a laboratory for patients.
func inPractice(do func(*request) error) func(*request) error {
	return func(q *request) error {
		if !q.Practice {
			return &refusal{
				http.StatusNotFound, "Only in practice", "this laboratory is for patients: its clock is that of the machine, and no drill is played in it",
				"open a practice laboratory with a journal of its own: vialwright serve --practice", "/",
			}
		}
		if err := q.catchUp(); err != nil {
			return err
		}
		return do(q)
	}
}

func practicePage(q *request) error { return q.practice(http.StatusOK, nil) }

// practice shows the clock of the practice laboratory, the drills, and who
// caught what.
func (q *request) practice(status int, wrong error) error {
	zone, err := q.Zones(q.Zone)
	if err != nil {
		return err
	}
	drills, err := q.drills()
	if err != nil {
		return err
	}
	z := zoned{zone}
	p := view.Practice{Page: q.page("Practice")}
	p.Clock = []view.Pair{{Name: "The clock of this laboratory", Value: z.clock(q.now.Truncate(time.Minute))}, {Name: "Put forward by", Value: "nothing"}}
	if ahead := q.PracticeClock.Ahead(); ahead > 0 {
		p.Clock[1].Value = quantity.ShowSpan(quantity.Span(ahead.Seconds()))
	}
	to := view.Field{
		Kind: "text", Name: "to", Label: "Put it forward to", Value: q.r.PostFormValue("to"), Focus: wrong != nil, Required: true, Small: true,
		Hint: "A time of today such as " + q.now.In(zone).Add(time.Hour).Format("15:04") + ", or a day with a time such as " + q.now.In(zone).AddDate(0, 0, 1).Format("2006-01-02T15:04") + ". It is never put back.",
	}
	p.Forward = withError(plain("clock", "Put the clock forward", "/practice/clock", "Put it forward", to), wrong)
	p.Forward.Nonce = q.nonce()
	for _, d := range drills {
		f := plain("drill-"+d.Name, d.Title, "/practice/drill", "Start this drill", view.Field{Kind: "hidden", Name: "drill", Value: d.Name})
		f.Quiet, f.Nonce = true, q.nonce()
		p.Drills = append(p.Drills, view.DrillCard{Title: d.Title, Told: d.Told, Form: f})
	}
	for _, c := range q.competence() {
		row := view.CompetenceRow{Drill: c.run.title(), Href: c.run.href(), Did: c.did, At: z.clock(c.at), After: quantity.ShowSpan(quantity.Span(c.at.Sub(c.run.start.At).Seconds())), Result: c.result()}
		i := len(p.People) - 1
		if i < 0 || p.People[i].ID != c.who {
			p.People = append(p.People, view.CompetenceOf{ID: c.who, Name: q.nameOf(c.who)})
			i++
		}
		p.People[i].Rows = append(p.People[i].Rows, row)
	}
	return q.show(status, p)
}

// clockDo puts the clock of the practice laboratory forward.
func clockDo(q *request) error {
	zone, err := q.Zones(q.Zone)
	if err != nil {
		return err
	}
	text := strings.TrimSpace(q.r.PostFormValue("to"))
	if hourOnly.MatchString(text) {
		text = q.now.In(zone).Format(time.DateOnly) + "T" + strings.Repeat("0", max(0, 2-strings.Index(text, ":"))) + text
	}
	to, err := quantity.ParseTime(text, zone)
	if err != nil {
		return q.practice(http.StatusUnprocessableEntity, &refusal{text: err.Error(), hint: "write it like 13:30, or with the day like " + q.now.In(zone).Format("2006-01-02") + "T13:30"})
	}
	err = q.keepOfPractice(func(next int) ([]fact.Fact, error) {
		q.follow()
		f := &fact.Clock{At: q.Clock().In(zone).Truncate(time.Second), To: to}
		if _, msg, hint := f.Wrong(); msg != "" {
			return nil, &refusal{text: msg + ": it is " + zoned{zone}.clock(f.At) + " in this laboratory, and you wrote " + zoned{zone}.clock(to), hint: hint + "; for a morning of an earlier hour begin a new practice laboratory"}
		}
		return []fact.Fact{f}, nil
	})
	if e, ok := errors.AsType[*refusal](err); ok {
		return q.practice(http.StatusUnprocessableEntity, e)
	}
	if err != nil {
		return err
	}
	q.say(saidRecorded, "The clock of this laboratory stands at "+zoned{zone}.clock(to)+".")
	return q.see("/practice")
}

// keepOfPractice records facts of the practice laboratory itself, and those of
// a drill, once for a form.
func (q *request) keepOfPractice(facts func(next int) ([]fact.Fact, error)) error {
	return q.once("/practice", func(f *file, next int) ([]journal.Record, error) {
		list, err := facts(next)
		if err != nil {
			return nil, err
		}
		records := make([]journal.Record, len(list))
		for i, x := range list {
			records[i] = journal.Record{Recorded: q.now.Truncate(time.Millisecond), By: q.who.ID, Fact: x, N: next + i}
			switch x.(type) {
			case *fact.Order, *fact.SignOrder, *fact.Receive:
				records[i].By = "drill"
			}
		}
		if len(list) > 1 {
			_, err = q.reckonFor(f.With(records[1:]...), q.now, "")
		}
		return records, err
	})
}

// competenceCSV gives the record as a table for other programs.
func competenceCSV(q *request) error {
	var b strings.Builder
	w := csv.NewWriter(&b)
	_ = w.Write([]string{"person", "name", "drill", "accident", "modelled on", "started", "done", "seconds", "what was done", "result", "entry of the start", "entry"})
	for _, c := range q.competence() {
		d := c.run.drill
		_ = w.Write([]string{
			c.who, q.nameOf(c.who), c.run.start.Drill, d.Accident, d.Source, quantity.FormatTime(c.run.start.At, nil), quantity.FormatTime(c.at, nil),
			strconv.Itoa(int(c.at.Sub(c.run.start.At).Seconds())), c.did, c.result(), strconv.Itoa(c.run.n), strconv.Itoa(c.n),
		})
	}
	w.Flush()
	if err := w.Error(); err != nil {
		return err
	}
	return q.hand("practice-record.csv", "text/csv; charset=utf-8", []byte(b.String()))
}
