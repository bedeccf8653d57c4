package fact

import (
	"strings"
	"time"
	"unicode"
)

// pattern is a text that is read in one way only.
type pattern struct {
	want  string
	check func(text string) *Refusal
}

var (
	calendarDay = patternOf("a day such as 2027-04-25", "write year, month and day, like 2027-04-25", layout(time.DateOnly))
	wallClock   = patternOf("a clock time such as 08:00", "write hour and minute of the day, like 08:00", layout("15:04"))
	weekDays    = patternOf("days of the week such as Mon Tue Wed Thu Fri", "write the days in three letters with a space between, like Mon Tue Wed", areWeekDays)
	shifts      = patternOf("times of presence such as T1 08:00-16:00; T2 09:00-13:00", "write for each the id, then from and until with - between, and ; between people", areShifts)
	sketchLines = patternOf("a sketch such as 0,0 100,0 100,80 0,80 0,0; 20,10 60,10", "write corners as x,y from 0 to 100 with a space between, and ; between lines", isSketch)
	// Whether there is such a zone is asked where it is loaded.
	zoneName = pattern{"the name of a zone such as Atlantic/Azores", checkZone}
	origin   = pattern{"typed, or the address or name of the meter that sent it", checkText}
	rawLine  = pattern{`the line as the meter sent it; any byte but visible ASCII as \xNN`, checkLine}
)

func patternOf(want, hint string, ok func(text string) bool) pattern {
	return pattern{want, func(text string) *Refusal {
		bad := checkText(text)
		if bad == nil && !ok(text) {
			bad = &Refusal{Code: "bad-text", Msg: Quote(text) + " is not " + want, Hint: hint}
		}
		return bad
	}}
}

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
		if len(s) != 1 || wallClock.check(s[0].From) != nil || wallClock.check(s[0].Until) != nil || s[0].From >= s[0].Until {
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
			if !ok || (number{&a, 100}).Read(x, How{Canonical: true}) != nil || (number{&b, 100}).Read(y, How{Canonical: true}) != nil {
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
	bad := p.check(text)
	if bad == nil {
		*p.p = text
	}
	return bad
}

func (p patterned) Write() (string, *Refusal) { return *p.p, p.check(*p.p) }

// checkZone refuses what is no IANA name of a zone.
func checkZone(text string) *Refusal {
	const hint = "write a name of the IANA time zone database, or UTC"
	switch {
	case text == "" || len(text) > 64 || text[0] == '/' || strings.Contains(text, "..") || strings.IndexFunc(text, notInZone) >= 0:
		return &Refusal{Code: "bad-zone", Msg: Quote(text) + " is no name of a zone", Hint: hint}
	case strings.EqualFold(text, "local"):
		return &Refusal{Code: "bad-zone", Msg: "the zone of the machine is not the site's", Hint: hint}
	}
	return nil
}

func notInZone(r rune) bool {
	return r > unicode.MaxASCII || !(unicode.IsLetter(r) || unicode.IsDigit(r) || strings.ContainsRune("/_+-", r))
}

// printed is an instant that stands on a label or on paper: it is written with its
// offset, and never taken to be in the zone of the site.
type printed struct{ instant }

func (printed) Want() string { return "a time with its offset such as 2027-03-05T09:00+11:00" }

func (p printed) Read(text string, how How) *Refusal {
	how.Zone = nil
	return p.instant.Read(text, how)
}
