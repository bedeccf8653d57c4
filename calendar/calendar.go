// Package calendar writes events as an iCalendar feed (RFC 5545).
//
// # Domain of validity
//
// Events with a beginning and at most an end, each written in UTC, so that every calendar
// shows them in its own zone (RFC 5545, 3.3.5, form 2). Nothing repeats, nobody is
// invited, and nothing rings.
//
// # Worked example
//
// An infusion at 10:30 in a zone one hour behind UTC begins at 20270304T113000Z.
package calendar

import (
	"io"
	"strings"
	"time"

	ics "github.com/arran4/golang-ical"
)

// Event is one of a feed.
type Event struct {
	// ID is the event's own and stays the same from one reading of the feed to the next,
	// so that a calendar moves it and does not show it twice (RFC 5545, 3.8.4.7).
	ID, Summary string
	From        time.Time
	// Until is written where it is later than From, as an end has to be (RFC 5545,
	// 3.8.2.2).
	Until time.Time
}

// Write writes a feed of events, each stamped with the instant of the answer.
func Write(w io.Writer, events []Event, stamp time.Time) error {
	cal := ics.NewCalendar()
	cal.SetProductId("-//vialwright//day plan//EN")
	cal.SetMethod(ics.MethodPublish)
	for _, x := range events {
		e := cal.AddEvent(strings.ReplaceAll(x.ID, " ", "-") + "@vialwright.invalid")
		e.SetDtStampTime(stamp)
		e.SetStartAt(x.From)
		if x.Until.After(x.From) {
			e.SetEndAt(x.Until)
		}
		e.SetSummary(x.Summary)
	}
	return cal.SerializeTo(w, ics.WithNewLineWindows)
}
