// Package board is the first page of the laboratory: the orders in the order of
// their infusions with what each needs next and from whom, what is left in which
// vial, and what is due; the details of the day behind it; the forms that are
// entered from it; and where a scan leads.
package board

import (
	"embed"

	"vialwright/people"
	"vialwright/web/books"
	"vialwright/web/kit"
	"vialwright/web/lessons"
	"vialwright/web/view"
)

// Room is the room with what it keeps.
type Room struct {
	// more are the forms that other rooms bring to the board, by the word in the
	// address.
	more        []Forms
	lessons     *lessons.Lessons
	instruments *lessons.Instruments
	waste       pastWaste
}

// Forms are what a room brings to the board, by the word in the address.
type Forms func(q *kit.Request, st *kit.State) map[string]*kit.Form

// New makes the room. It learns of each group that was looked at.
func New(s *kit.Server, past *lessons.Lessons, book *lessons.Instruments, more ...Forms) *Room {
	m := &Room{lessons: past, instruments: book, more: more}
	s.Reckoned = m.waste.keep
	s.Unfinished = func(st *kit.State) bool {
		for _, o := range st.Case.Orders {
			if b, _ := books.BenchOf(nil, st, o.ID); b.Unfinished() {
				return true
			}
		}
		return false
	}
	return m
}

// Routes are the addresses of the room.
func (m *Room) Routes() []kit.Route {
	in := kit.In(func(q *kit.Request) *request { return &request{q, m} })
	return []kit.Route{
		{Method: "GET", Path: "/{$}", Act: people.SeeBoard, Fresh: true, Do: in(boardPage)},
		{Method: "POST", Path: "/scan", Act: people.SeeBoard, Fresh: true, Do: in(scanDo)},
		{Method: "GET", Path: "/day", Act: people.SeeBoard, Do: in(dayPage)},
		{Method: "GET", Path: "/day/enter/{form}", Act: people.Note, Do: in(dayFormPage)},
		{Method: "POST", Path: "/day/enter/{form}", Act: people.SeeBoard, Do: in(dayFormPage)},
	}
}

// request is a request in this room.
type request struct {
	*kit.Request
	*Room
}

//go:embed *.html
var files embed.FS

var pages = view.Parse(files, Board{}, Day{})
