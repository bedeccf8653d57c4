package fact

import (
	"strings"
	"time"
)

// pattern is a text that is read in one way only.
type pattern struct {
	want, hint string
	ok         func(text string) bool
}

var (
	calendarDay = pattern{"a day such as 2027-04-25", "write year, month and day, like 2027-04-25", layout(time.DateOnly)}
	wallClock   = pattern{"a clock time such as 08:00", "write hour and minute of the day, like 08:00", layout("15:04")}
	weekDays    = pattern{"days of the week such as Mon Tue Wed Thu Fri", "write the days in three letters with a space between, like Mon Tue Wed", areWeekDays}
	shifts      = pattern{"times of presence such as T1 08:00-16:00; T2 09:00-13:00", "write for each the id, then from and until with - between, and ; between people", areShifts}
	sketchLines = pattern{"a sketch such as 0,0 100,0 100,80 0,80 0,0; 20,10 60,10", "write corners as x,y from 0 to 100 with a space between, and ; between lines", isSketch}
)

func layout(as string) func(string) bool {
	return func(text string) bool {
		t, err := time.Parse(as, text)
		return err == nil && t.Format(as) == text
	}
}

func areWeekDays(text string) bool {
	for _, d := range strings.Split(text, " ") {
		if len(d) != 3 || !strings.Contains("Mon Tue Wed Thu Fri Sat Sun", d) {
			return false
		}
	}
	return true
}

// areShifts tells ids with clock times, each from before until.
func areShifts(text string) bool {
	for _, one := range strings.Split(text, "; ") {
		s := Shifts(one)
		if len(s) != 1 || !wallClock.ok(s[0].From) || !wallClock.ok(s[0].Until) || s[0].From >= s[0].Until {
			return false
		}
		var who string
		if (id{&who, aboutNothing}).Read(s[0].Who, How{Canonical: true}) != nil {
			return false
		}
	}
	return true
}

// isSketch tells lines of at least two corners, each within 0 to 100.
func isSketch(text string) bool {
	for _, line := range strings.Split(text, "; ") {
		corners := strings.Split(line, " ")
		for _, c := range corners {
			x, y, ok := strings.Cut(c, ",")
			var a, b Number
			if !ok || (number{&a}).Read(x, How{Canonical: true}) != nil || (number{&b}).Read(y, How{Canonical: true}) != nil || a.Value > 100 || b.Value > 100 {
				return false
			}
		}
		if len(corners) < 2 {
			return false
		}
	}
	return true
}

// patterned is the place of a text of a pattern.
type patterned struct {
	p *string
	pattern
}

func (p patterned) Given() bool  { return *p.p != "" }
func (p patterned) Want() string { return p.want }

func (p patterned) Read(text string, _ How) *Refusal {
	if bad := checkText(text); bad != nil {
		return bad
	}
	if !p.ok(text) {
		return &Refusal{Code: "bad-text", Msg: Quote(text) + " is not " + p.want, Hint: p.hint}
	}
	*p.p = text
	return nil
}

func (p patterned) Write() (string, *Refusal) { return *p.p, p.Read(*p.p, How{}) }

// printed is an instant that stands on a label or on paper: it is written with its
// offset, and never taken to be in the zone of the site.
type printed struct{ instant }

func (printed) Want() string { return "a time with its offset such as 2027-03-05T09:00+11:00" }

func (p printed) Read(text string, how How) *Refusal {
	how.Zone = nil
	return p.instant.Read(text, how)
}

// tally is a number of counts, which may be none.
type tally struct{ ratio }

func (t tally) Want() string { return "counts such as 118 counts" }

func (t tally) Read(text string, how How) *Refusal {
	if text == "0"+t.suffix {
		*t.p = Number{0, text}
		return nil
	}
	return t.ratio.Read(text, how)
}

func (t tally) Write() (string, *Refusal) {
	if t.p.Text == "0"+t.suffix && t.p.Value == 0 {
		return t.p.Text, nil
	}
	return t.ratio.Write()
}
