package hotlab

import (
	"html/template"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"vialwright/fact"
	"vialwright/hotlab"
	"vialwright/web/kit"
	"vialwright/web/view"
)

// Sketch is the page on which the sketch of a room is drawn.
type Sketch struct {
	view.FormPage
	Drawn template.HTML
	// Mark is written on the picture; empty for none.
	Mark string
}

// newPoints are how many further points are offered at a time.
const newPoints = 4

// sketches is where the sketch of each room is drawn.
const sketches = "/hot-lab/sketch/"

// sketchForm is the form of the sketch of a room: the room, each of its points, and some that
// are new. What is as it was is not entered again.
func (q *request) sketchForm() (*kit.Form, hotlab.Room, error) {
	id := q.R.PathValue("room")
	b, err := q.read()
	if err != nil {
		return nil, hotlab.Room{}, err
	}
	i := slices.IndexFunc(b.Rooms, func(r hotlab.Room) bool { return r.Room.Room == id })
	if i < 0 || b.Rooms[i].Name == "" {
		return nil, hotlab.Room{}, &kit.Refusal{Status: http.StatusNotFound, Heading: "There is no such room", Text: "no room of this id is set", Hint: "set the room first", Back: entering + "room"}
	}
	room := b.Rooms[i]
	typed := func(part int, name string) string { return q.R.PostFormValue(kit.Control(part, name)) }
	// kept is an input with what stands there; once something else is typed in it, it counts.
	kept := func(part int, in kit.Input, value string) kit.Input {
		if in.Value = value; q.R.Method == http.MethodPost && strings.TrimSpace(typed(part, in.Name)) != value {
			in.Value = ""
		}
		return in
	}
	parts := []kit.Part{{Kind: "room", Optional: true, Fixed: map[string]any{"room": id}, Inputs: []kit.Input{
		kept(0, kit.Input{Name: "sketch", Label: "Lines, as corners x,y with spaces and ; between lines", Collapsible: true}, room.Sketch),
		kept(0, kit.Input{Name: "name"}, room.Name),
		kit.At,
	}}}
	when := kit.Input{Name: "at", Kind: "time", Must: true, SharedWith: kit.Control(0, "at")}
	for _, p := range room.Points {
		n := len(parts)
		fixed := map[string]any{"point": p.Point, "room": id}
		for name, text := range map[string]string{"action": p.Action.Text, "rate-action": p.RateAction.Text, "count-action": p.CountAction.Text} {
			if text != "" {
				fixed[name] = text
			}
		}
		label := "Point " + strconv.Itoa(n) + " (" + p.Point + "), "
		parts = append(parts, kit.Part{Kind: "survey-point", Optional: true, Fixed: fixed, Inputs: []kit.Input{
			kept(n, kit.Input{Name: "name", Label: label + "name", Small: true}, p.Name),
			kept(n, kit.Input{Name: "x", Label: label + "from the left", Small: true}, p.X.Text),
			kept(n, kit.Input{Name: "y", Label: label + "from the top", Small: true}, p.Y.Text),
			when,
		}})
	}
	for range newPoints {
		n := len(parts)
		label := "New point " + strconv.Itoa(n) + ", "
		parts = append(parts, kit.Part{Kind: "survey-point", Optional: true, Fixed: map[string]any{"room": id}, Inputs: []kit.Input{
			{Name: "point", Label: label + "id", Small: true, Value: freePoint(b, id, n)},
			{Name: "name", Label: label + "name", Small: true},
			{Name: "x", Label: label + "from the left", Small: true},
			{Name: "y", Label: label + "from the top", Small: true},
			{Name: "action", Label: label + "action level of contamination", Collapsible: true},
			{Name: "rate-action", Label: label + "action level of the dose rate", Collapsible: true},
			{Name: "count-action", Label: label + "action level of the count rate", Collapsible: true},
			when,
		}})
	}
	act := fact.KindNamed("survey-point").Act
	return &kit.Form{
		ID: "sketch", Title: "Sketch of " + room.Name, Button: "Record the sketch", Act: act, Action: sketches + id, To: "/surveys", Said: "The sketch is recorded.", Parts: parts,
	}, room, nil
}

func freePoint(b hotlab.Book, room string, n int) string {
	taken := func(id string) bool {
		return slices.ContainsFunc(b.Rooms, func(r hotlab.Room) bool {
			return slices.ContainsFunc(r.Points, func(p hotlab.Point) bool { return p.Point == id })
		})
	}
	id := room + "-" + strconv.Itoa(n)
	for ; taken(id); n++ {
		id = room + "-" + strconv.Itoa(n)
	}
	return id
}

func sketchPage(q *request) error {
	e, room, err := q.sketchForm()
	if err != nil {
		return err
	}
	st, err := q.CaseState()
	if err != nil {
		return err
	}
	return q.AloneOn(e, st, q.showSketch(room))
}

func (q *request) showSketch(room hotlab.Room) func(int, view.Form) error {
	return func(status int, f view.Form) error {
		f.Quiet = true // the heading of the page says it
		p := view.FormPage{
			Page: q.Page(f.Title), Heading: f.Title, Back: view.Link{Text: "Surveys", Href: "/surveys"}, Form: &f,
			Intro: "Draw the walls and what stands in the room, and place the points at which it is surveyed. Give each point an action level: without one its readings are held against nothing.",
		}
		return q.Show(status, pages, Sketch{p, q.room(room).Sketch, q.Mark()})
	}
}
