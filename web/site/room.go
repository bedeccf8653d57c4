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
	return []kit.Route{
		{Method: "GET", Path: "/health", Open: true, Signs: true, Do: m.in(healthPage)},
		{Method: "GET", Path: "/metrics", Open: true, Signs: true, Do: m.in(metricsPage)},
		{Method: "GET", Path: "/start", Act: people.SeeBoard, Do: m.in(startPage)},
		{Method: "POST", Path: "/start/enter/{form}", Act: people.SeeBoard, Do: m.in(startEnter)},
		{Method: "GET", Path: "/start/label.pdf", Act: people.CheckReadiness, Do: m.in(testLabelPDF)},
		{Method: "GET", Path: "/screen", Act: people.SeeBoard, Do: m.in(screenPage)},
		{Method: "POST", Path: "/screen", Act: people.SeeBoard, Do: m.in(screenDo)},
		{Method: "GET", Path: "/settings", Settings: true, Act: people.SetPolicy, Do: m.in(settingsPage)},
		{Method: "POST", Path: "/settings", Settings: true, Act: people.SetPolicy, Do: m.in(settingsDo)},
	}
}

// request is a request in this room.
type request struct {
	*kit.Request
	*Room
}

func (m *Room) in(do func(*request) error) func(*kit.Request) error {
	return func(q *kit.Request) error { return do(&request{q, m}) }
}

//go:embed *.html
var files embed.FS

var pages = view.Parse(files, Health{}, Start{})
