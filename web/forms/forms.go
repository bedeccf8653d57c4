// Package forms are the forms with which the work on an order is recorded: those of
// its steps, those that may be used at any time, and those with which a person signs.
// What each asks and refuses is here; how a page shows it is for the room.
package forms

import (
	"net/url"
	"sync"

	"vialwright/fact"
	"vialwright/people"
	"vialwright/procedure"
	"vialwright/web/books"
	"vialwright/web/clock"
	"vialwright/web/kit"
	"vialwright/web/lessons"
	"vialwright/web/live"
	"vialwright/web/readings"
	"vialwright/web/view"
)

// Room is what the forms rest on beside the journal.
type Room struct {
	// Meters are those that are connected; nil for none.
	Meters  live.Meters
	Clocks  *clock.Cache
	Lessons *lessons.Lessons
	Curves  *lessons.Curves
}

// Bench is one order with its forms.
type Bench struct {
	*books.Bench
	*Room
	// waiting are the orders that could get the dose, looked for when it is asked.
	waiting func() []view.Choice
}

// Of are the forms of an order.
func (m *Room) Of(o *books.Bench) *Bench {
	b := &Bench{Bench: o, Room: m}
	b.waiting = sync.OnceValue(b.otherOrders)
	return b
}

// in is the same order in a later state, refused where it is gone.
func (b *Bench) in(st *kit.State) (*Bench, error) {
	o, ok := books.BenchOf(b.Q, st, b.Order.ID)
	if !ok {
		return nil, &procedure.Error{Code: procedure.CodeUnknownStep, Msg: "the order is gone", Hint: "go to the board"}
	}
	return b.Of(o), nil
}

// permits asks what a person may, with the order as it is when the form is recorded.
func (b *Bench) permits(may func(people.Person, procedure.Preparation) error) func(*kit.State, []fact.Fact) error {
	return func(now *kit.State, _ []fact.Fact) error {
		x, err := b.in(now)
		if err != nil {
			return err
		}
		return may(b.Q.Who.Person, x.Prep)
	}
}

// Resuspended is the one touch.
func (b *Bench) Resuspended() *kit.Form {
	return &kit.Form{
		ID: "resuspended", Title: "Resuspended", Action: b.Href() + "/resuspend", To: b.Href(), Act: people.ReadMeter, Said: "Resuspended. Clock started.", Permit: b.open, Done: true,
		Parts: []kit.Part{{Kind: "agitate", Inputs: []kit.Input{{Name: "of", Label: "What was resuspended", Kind: "id", Must: true}, kit.At}}},
	}
}

// Clock is that of the vial at hand.
func (b *Bench) Clock() *clock.Clock {
	return &clock.Clock{Bench: b.Bench, Cache: b.Clocks, Curves: b.Curves}
}

// Taker takes readings from a meter into the forms of the order.
func (b *Bench) Taker() *readings.Taker {
	return &readings.Taker{Q: b.Q, Meters: b.Meters, File: b.File, Zone: b.Zone, Action: b.Href() + "/take/", Blind: b.Blind()}
}

// refusedScan records a near miss for the refusals of a step that keep a dose
// from the wrong hands: a wrong label, or a time-out that does not agree.
func (b *Bench) refusedScan(err error, typed url.Values) {
	e, ok := err.(*procedure.Error)
	if !ok || !e.NearMiss() {
		return
	}
	step := b.Q.R.PathValue("key")
	if e.Code == procedure.CodeReadOut {
		step = string(procedure.TimeOut)
	}
	books.NearMiss(b.Q, fact.NearMiss{For: b.Q.R.PathValue("order"), Step: step, What: e.Msg, Scanned: books.ShownScan(typed.Get(kit.Control(0, "serial")), b.Q.Now)})
}
