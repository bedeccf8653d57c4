// Package hotlab is the pages of the site around the doses: parcels, surveys, waste
// bins, persons, the inventory, and what a wall or a distance does. What they say is read
// from the entries by package vialwright/hotlab, and each page shows its findings first.
package hotlab

import (
	"embed"
	"net/http"
	"slices"
	"sync"
	"time"

	"vialwright/hotlab"
	"vialwright/inventory"
	"vialwright/people"
	"vialwright/rules"
	"vialwright/web/kit"
	"vialwright/web/view"
)

// Room is the room with what it keeps.
type Room struct {
	// rules is the profile that the site has named; nil for none.
	rules *rules.Profile
	mu    sync.Mutex
	// book is what stood at a minute and a number of the newest record, books what its
	// inventory is made from.
	book   hotlab.Book
	books  inventory.Books
	minute time.Time
	newest uint64
}

// New makes the room, with the rule profile of the site, nil for none.
func New(profile *rules.Profile) *Room { return &Room{rules: profile} }

// Routes are the addresses of the room.
func (m *Room) Routes() []kit.Route {
	in := kit.In(func(q *kit.Request) *request { return &request{q, m} })
	get := func(path string, act people.Act, do func(*request) error) kit.Route {
		return kit.Route{Method: "GET", Path: path, Act: act, Settings: true, Do: in(do)}
	}
	return []kit.Route{
		get("/parcels", people.ReceiveVial, parcelsPage),
		get("/surveys", people.Survey, surveysPage),
		get("/bins", people.Discard, binsPage),
		get("/persons", people.StaffDose, personsPage),
		get("/inventory", people.ReceiveVial, inventoryPage),
		get("/shielding", people.SeeBoard, shieldingPage),
		get("/hot-lab/enter/{form}", people.SeeBoard, enterPage),
		get(sketches+"{room}", people.Survey, sketchPage),
		{Method: "POST", Path: sketches + "{room}", Act: people.Survey, Do: in(sketchPage)},
		{Method: "POST", Path: "/inventory", Act: people.ReceiveVial, Settings: true, Do: in(inventoryPage)},
		{Method: "POST", Path: "/shielding", Act: people.SeeBoard, Settings: true, Do: in(shieldingPage)},
		{Method: "POST", Path: "/hot-lab/enter/{form}", Act: people.SeeBoard, Do: in(enterPage)},
	}
}

// request is a request in this room.
type request struct {
	*kit.Request
	*Room
}

//go:embed *.html
var files embed.FS

var pages = view.Parse(files, Hotlab{}, Sketch{})

// Hotlab is a page of the room; one of surveys has rooms. What is behind the first of
// its findings and facts is folded.
type Hotlab struct {
	view.FormPage
	MoreCautions []view.Notice
	MoreFacts    []view.Pair
	Rooms        []RoomView
}

// firstFound and firstFacts are how many findings and facts of a page are not folded, so
// that the forms are within reach.
const (
	firstFound = 4
	firstFacts = 12
)

func (q *request) show(p view.FormPage, rooms ...RoomView) error {
	out := Hotlab{FormPage: p, Rooms: rooms}
	out.Cautions, out.MoreCautions = split(p.Cautions, firstFound)
	out.Facts, out.MoreFacts = split(p.Facts, firstFacts)
	return q.Show(http.StatusOK, pages, out)
}

// split gives the first n of a list, and what is left; one that is left is not worth a fold.
func split[T any](all []T, n int) (first, more []T) {
	if len(all) <= n+1 {
		return all, nil
	}
	return all[:n], all[n:]
}

func (q *request) read() (hotlab.Book, error) {
	b, _, err := q.kept()
	return b, err
}

// kept is the book of now with what its inventory is made from, kept for as long as nothing is
// recorded within a minute.
func (q *request) kept() (hotlab.Book, inventory.Books, error) {
	if err := q.CatchUp(); err != nil {
		return hotlab.Book{}, inventory.Books{}, err
	}
	newest := q.Lab.Report().Records
	minute := q.Now.Truncate(time.Minute)
	q.mu.Lock()
	defer q.mu.Unlock()
	if q.Room.newest == newest && q.minute.Equal(minute) {
		return q.book, q.books, nil
	}
	w, err := World(q.Lab, q.Now.Add(-inventory.LookBack), q.Now, q.Location(), q.Zones, q.rules)
	if err != nil {
		return hotlab.Book{}, inventory.Books{}, err
	}
	q.book, q.books, q.Room.newest, q.minute = hotlab.Read(w), w.Books, newest, minute
	return q.book, q.books, nil
}

// blind tells that the person may still do a second check, so that no page of the room
// shows an activity. Where the open work cannot be reckoned, nobody knows whether they may.
func (q *request) blind() bool {
	return slices.ContainsFunc(q.OpenFiles(q.Now), func(f *kit.File) bool {
		st, err := q.Reckon(f, q.Now)
		return err != nil || q.BlindAnywhere(st)
	})
}
