package picture

import (
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// TestDayLanes draws rows of any texts and times: what comes is sound, whatever stands
// in it.
func TestDayLanes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		minutes := rapid.IntRange(-3000, 3000)
		when := func(name string) time.Time { return at(9, 0).Add(time.Duration(minutes.Draw(t, name)) * time.Minute) }
		l := Lanes{ID: anyText().Draw(t, "id"), Zone: azores, Now: when("now"), From: at(8, 0), Until: at(17, 0), Mark: anyText().Draw(t, "mark")}
		for range rapid.IntRange(0, 4).Draw(t, "lanes") {
			lane := Lane{Name: anyText().Draw(t, "name")}
			for range rapid.IntRange(0, 4).Draw(t, "bars") {
				lane.Bars = append(lane.Bars, Bar{anyText().Draw(t, "text"), when("from"), when("until"), rapid.Bool().Draw(t, "moved")})
			}
			l.Lanes = append(l.Lanes, lane)
		}
		if err := check(DayLanes(l)); err != nil {
			t.Fatal(err)
		}
	})
}

// TestDayLanesSay tells a day in words to those who do not see it.
func TestDayLanesSay(t *testing.T) {
	svg := DayLanes(Lanes{ID: "day", Zone: azores, Now: at(9, 0), From: at(8, 0), Until: at(17, 0), Lanes: []Lane{
		{"Vial S1", []Bar{{"P1", at(9, 15), at(10, 0), false}, {"P2", at(12, 0), at(12, 45), true}}},
	}})
	if got := described(svg); !strings.Contains(got, "Vial S1: P1 09:15 to 10:00, P2 12:00 to 12:45") {
		t.Errorf("%q", got)
	}
	if !strings.Contains(drawnText(svg), "P2") {
		t.Error("an order is not written on its bar")
	}
}
