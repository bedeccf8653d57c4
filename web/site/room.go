// Package site is the laboratory as a whole: its first start, its settings, and how
// the program is.
package site

import (
	"embed"
	"time"

	"vialwright/people"
	"vialwright/web/kit"
	"vialwright/web/live"
	"vialwright/web/view"
)

// Room is the room with what it keeps.
type Room struct {
	// Meters are those that are connected; nil for none.
	Meters live.Meters
	// Patience is how long the health waits for the store, and for the vault: a
	// program that watches has to be answered.
	Patience time.Duration
}

// New makes the room.
func New(meters live.Meters, patience time.Duration) *Room { return &Room{meters, patience} }

// Routes are the addresses of the room.
func (m *Room) Routes() []kit.Route {
	in := kit.In(func(q *kit.Request) *request { return &request{q, m} })
	return []kit.Route{
		{Method: "GET", Path: "/health", Open: true, Signs: true, Do: in(healthPage)},
		{Method: "GET", Path: "/metrics", Open: true, Signs: true, Do: in(metricsPage)},
		{Method: "GET", Path: "/start", Act: people.SeeBoard, Fresh: true, Do: in(startPage)},
		{Method: "POST", Path: "/start/enter/{form}", Act: people.SeeBoard, Fresh: true, Do: in(startEnter)},
		{Method: "GET", Path: "/start/label.pdf", Act: people.CheckReadiness, Do: in(testLabelPDF)},
		{Method: "GET", Path: "/screen", Act: people.SeeBoard, Do: in(screenPage)},
		{Method: "POST", Path: "/screen", Act: people.SeeBoard, Do: in(screenDo)},
		{Method: "GET", Path: "/settings", Settings: true, Act: people.SetPolicy, Do: in(settingsPage)},
		{Method: "POST", Path: "/settings", Settings: true, Act: people.SetPolicy, Do: in(settingsPage)},
	}
}

// request is a request in this room.
type request struct {
	*kit.Request
	*Room
}

//go:embed *.html
var files embed.FS

var pages = view.Parse(files, Health{}, Start{})

// Start leads a new site to its first order.
type Start struct {
	view.Page
	Steps []StartStep
}

// StartStep is one step of it. Kind and Word say whether it is done.
type StartStep struct {
	Title, Kind, Word, Text string
	// Now is the first that is not done.
	Now   bool
	Pairs []view.Pair
	Links []view.Link
	Form  *view.Form
}

// Health is how the program and its machine are.
type Health struct {
	view.Page
	Checks []Check
}

// Check is one line of the health page.
type Check struct{ Name, Kind, Word, Text string }
