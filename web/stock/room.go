// Package stock is what the laboratory holds besides the vials on the board: the
// waste items with what is in them now, and the doses of its staff.
package stock

import (
	"vialwright/people"
	"vialwright/web/kit"
)

// Routes are the addresses of the room.
func Routes() []kit.Route {
	return []kit.Route{
		{Method: "GET", Path: "/waste", Act: people.Discard, Do: in(wastePage)},
		{Method: "GET", Path: "/doses", Act: people.StaffDose, Do: in(dosesPage)},
	}
}

// request is a request in this room.
type request struct {
	*kit.Request
}

func in(do func(*request) error) func(*kit.Request) error {
	return func(q *kit.Request) error { return do(&request{q}) }
}

// Forms are what this room brings to the board.
func Forms(q *kit.Request, st *kit.State) map[string]*kit.Form {
	r := &request{q}
	return map[string]*kit.Form{"discard": r.discardForm(st), "exposure": r.exposureForm(st)}
}
