package calendar_test

import (
	"os"
	"strings"
	"time"

	"vialwright/calendar"
)

func Example() {
	at := time.Date(2027, 3, 4, 10, 30, 0, 0, time.FixedZone("", -3600))
	var b strings.Builder
	if err := calendar.Write(&b, []calendar.Event{{ID: "infusion-P1", Summary: "Infusion of P1", From: at, Until: at.Add(time.Hour)}}, at); err != nil {
		panic(err)
	}
	os.Stdout.WriteString(strings.ReplaceAll(b.String(), "\r\n", "\n"))
	// Output:
	// BEGIN:VCALENDAR
	// VERSION:2.0
	// PRODID:-//vialwright//day plan//EN
	// METHOD:PUBLISH
	// BEGIN:VEVENT
	// UID:infusion-P1@vialwright.invalid
	// DTSTAMP:20270304T113000Z
	// DTSTART:20270304T113000Z
	// DTEND:20270304T123000Z
	// SUMMARY:Infusion of P1
	// END:VEVENT
	// END:VCALENDAR
}
