package picture

import (
	"html/template"
	"math"
	"strings"
	"time"
)

// Lanes is what [DayLanes] draws: what is taken when, one row for each thing that
// can be taken. ID tells this picture from the others.
type Lanes struct {
	ID          string
	Zone        *time.Location
	Now         time.Time
	From, Until time.Time
	Lanes       []Lane
	// Mark is written across the top where not empty.
	Mark string
}

// Lane is one row: a vial, a bench, a suite.
type Lane struct {
	Name string
	Bars []Bar
}

// Bar is a time taken by somebody. Moved ones have a bold edge, so that they are told
// without colour.
type Bar struct {
	Text        string
	From, Until time.Time
	Moved       bool
}

// DayLanes draws the rows of a day above one axis of time. What lies outside the axis
// is cut there.
func DayLanes(l Lanes) template.HTML {
	s := newSheet(Strip{ID: "lanes-" + l.ID, Form: Narrow, Zone: l.Zone, Now: l.Now, From: l.From, Until: l.Until, Mark: l.Mark}.cleaned())
	s.mark()
	told := []string{"Nothing is planned"}
	if len(l.Lanes) > 0 {
		told = nil
	}
	for _, lane := range l.Lanes {
		told = append(told, s.lane(lane))
	}
	s.foot()
	return s.finish(s.Form.class(), s.width, s.y, "The day plan", strings.Join(told, ". "), false)
}

func (s *sheet) lane(l Lane) string {
	const gap = 6
	high := s.plain.size*1.25 + 2*gap
	l.Name = clean(l.Name)
	f := s.plain.fit(l.Name, s.left-2*s.edge, 12)
	s.text(f, ink, start, point{s.edge, s.y + high - 2*gap}, f.cut(l.Name, s.left-2*s.edge))
	var told []string
	for i, b := range l.Bars {
		b.Text = clean(b.Text)
		told = append(told, b.Text+" "+b.From.In(s.Zone).Format("15:04")+" to "+b.Until.In(s.Zone).Format("15:04"))
		from, until := math.Max(s.left, s.x(b.From)), math.Min(s.right, s.x(b.Until))
		if until <= from {
			continue
		}
		edge := stroke{colour: glass, width: 1.5, on: []colour{paper}}
		if b.Moved {
			edge = stroke{colour: goal, width: 4, on: []colour{paper}}
		}
		room := s.right - from // a short bar is written past its end, up to the next
		if i+1 < len(l.Bars) {
			room = math.Min(room, s.x(l.Bars[i+1].From)-from)
		}
		// The bar lies below its text, which would else hide the edge of a short one.
		s.area(paper, edge, nil, box(from, s.y+high-1.5*gap, until-from, gap)...)
		text := s.small.fit(b.Text, room-4, 10)
		s.text(text, ink, start, point{from, s.y + high - 2.4*gap}, text.cut(b.Text, room-4))
	}
	s.y += high
	s.line(stroke{colour: quiet, width: 1}, point{s.left, s.y}, point{s.right, s.y})
	return l.Name + ": " + strings.Join(told, ", ")
}
