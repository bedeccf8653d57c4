package hotlab

import (
	"html/template"
	"strconv"
	"strings"

	"vialwright/fact"
	"vialwright/hotlab"
	"vialwright/people"
	"vialwright/picture"
	"vialwright/protection"
	"vialwright/quantity"
	"vialwright/web/view"
)

// RoomView is a room with its sketch and its points.
type RoomView struct {
	ID, Name string
	// Draw leads to where its sketch is drawn; empty for who may not.
	Draw   string
	Sketch template.HTML
	Points []PointView
}

// PointView is a point, with its Number on the sketch, what was read last, and before.
type PointView struct {
	Number           int
	ID, Name, Levels string
	State, Last      string
	Before           []string
	Trend            template.HTML
	// Kind is the weight of the state, as of a notice.
	Kind string
}

// wipeSays is what a wipe shows: a surface activity, or what it holds at most.
func wipeSays(j protection.Judged) string {
	if !j.Detected {
		return j.String() + " (not detected, below " + quantity.Show(j.Detectable, 0).String() + ")"
	}
	return j.String() + " (" + quantity.Show(j.Surface, j.SurfaceU).String() + ")"
}

func surveysPage(q *request) error {
	b, err := q.read()
	if err != nil {
		return err
	}
	p := q.page("Surveys", "Each point with its action levels and its last readings. A wipe is entered as it was counted; what it can see is said.", hotlab.Surveys, b,
		"point-reading", "release-room", "spill", "room", "survey-point", "spill-plan")
	p.Links = append(p.Links, view.Link{Text: "Walls and distances", Href: "/shielding"})
	if b.Plan != nil {
		for i, line := range []string{b.Plan.One, b.Plan.Two, b.Plan.Three, b.Plan.Four, b.Plan.Five} {
			p.Facts = append(p.Facts, view.Pair{Name: "At a spill, " + strconv.Itoa(i+1), Value: line})
		}
	}
	var rooms []RoomView
	for _, room := range b.Rooms {
		rooms = append(rooms, q.room(room))
	}
	return q.show(p, rooms...)
}

func (q *request) room(room hotlab.Room) RoomView {
	v := RoomView{ID: room.Room.Room, Name: room.Name}
	if room.Name != "" && people.May(q.Who.Person, fact.KindNamed("room").Act) == nil {
		v.Draw = sketches + room.Room.Room
	}
	sketch := picture.Sketch{ID: "sketch-" + room.Room.Room, Title: "Sketch of " + room.Name, Lines: corners(room.Sketch), Mark: q.Mark()}
	for i, p := range room.Points {
		x := PointView{Number: i + 1, ID: p.Point, Name: p.Name, Levels: levels(p.SurveyPoint), State: "not read yet", Kind: "note"}
		for k := len(p.Readings) - 1; k >= 0 && k >= len(p.Readings)-6; k-- {
			r := p.Readings[k]
			says := q.clock(r.At) + ": " + readingSays(r)
			if k == len(p.Readings)-1 {
				x.State, x.Last, x.Kind = r.State(), says, "done"
				if !r.Clear() {
					x.Kind = "warn"
				}
				continue
			}
			x.Before = append(x.Before, says)
		}
		x.Trend = q.trend(p)
		v.Points = append(v.Points, x)
		if p.X.Text != "" && p.Y.Text != "" {
			sketch.Points = append(sketch.Points, picture.SketchPoint{X: p.X.Value, Y: p.Y.Value, Number: i + 1, Name: p.Name + ": " + x.State, Alarm: x.Kind == "warn"})
		}
	}
	if len(sketch.Lines)+len(sketch.Points) > 0 {
		v.Sketch = sketch.Draw()
	}
	return v
}

// mostTrend is how many readings a trend shows.
const mostTrend = 40

// trend draws the last readings of a point as shares of its action level; nothing of one.
func (q *request) trend(p hotlab.Point) template.HTML {
	t := picture.Trend{ID: "trend-" + p.Point, Title: "Readings of " + p.Name + " as shares of the action level", Mark: q.Mark()}
	for _, r := range p.Readings[max(0, len(p.Readings)-mostTrend):] {
		if share, detected, held := r.Share(); held {
			t.Points = append(t.Points, picture.TrendPoint{Share: share, Hollow: !detected, Says: q.clock(r.At) + ": " + quantity.FormatDigits(quantity.Fraction(max(0, share)), 2, "%") + " of the action level"})
		}
	}
	if len(t.Points) < 2 {
		return ""
	}
	return t.Draw()
}

func readingSays(r hotlab.Reading) string {
	var says []string
	if r.Shown != "" {
		says = append(says, "shown "+r.Shown)
	}
	if !r.Rate.IsZero() {
		says = append(says, hotlab.InUnitOf(r.Net, r.Rate)+" over background")
	}
	if !r.CountRate.IsZero() {
		says = append(says, hotlab.InUnitOf(r.NetCounts, r.CountRate)+" over background")
	}
	if r.Swab != nil {
		says = append(says, wipeSays(*r.Swab))
	}
	return strings.Join(says, ", ")
}

func levels(p fact.SurveyPoint) string {
	var says []string
	if !p.Action.IsZero() {
		says = append(says, "action at "+p.Action.Text)
	}
	if !p.RateAction.IsZero() {
		says = append(says, "action at "+p.RateAction.Text+" over background")
	}
	if !p.CountAction.IsZero() {
		says = append(says, "action at "+p.CountAction.Text+" over background")
	}
	if says == nil {
		return "no action level is set"
	}
	return strings.Join(says, ", ")
}

// corners are the lines of a sketch as they are typed.
func corners(text string) (lines [][][2]float64) {
	for _, line := range strings.Split(text, "; ") {
		var out [][2]float64
		for _, c := range strings.Fields(line) {
			a, b, _ := strings.Cut(c, ",")
			x, _ := strconv.ParseFloat(a, 64) // the declaration lets no other text in
			y, _ := strconv.ParseFloat(b, 64)
			out = append(out, [2]float64{x, y})
		}
		if len(out) > 0 {
			lines = append(lines, out)
		}
	}
	return lines
}
