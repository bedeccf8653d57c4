package fact

import (
	"time"

	"vialwright/quantity"
)

// Room is a room that is surveyed, with its sketch.
type Room struct {
	Room, Name string
	// Sketch is what is drawn of it: lines from point to point in hundredths of its
	// width and depth, such as "0,0 100,0 100,80 0,80 0,0; 20,10 60,10".
	Sketch string
	At     time.Time
}

// Kind is "room".
func (*Room) Kind() string        { return "room" }
func (r *Room) moment() time.Time { return r.At }

func (r *Room) fields(f []Slot) []Slot {
	return append(f,
		Slot{"room", must, id{&r.Room, AboutPlace}, "Id of the room"},
		Slot{"name", must, text{&r.Name}, "Name of the room"},
		Slot{"sketch", may, patterned{&r.Sketch, sketchLines}, "Sketch: corners as x,y with spaces, lines with ;"},
		Slot{"at", must, instant{&r.At}, "Holds from"},
	)
}

// SurveyPoint is a place in a room that is measured at each survey.
type SurveyPoint struct {
	Point, Room, Name string
	// X and Y are where it lies on the sketch, in hundredths of its width and depth.
	X, Y Number
	// Action and RateAction are the levels at which something is done.
	Action     quantity.Stated[quantity.Contamination]
	RateAction quantity.Stated[quantity.DoseRate]
	// CountAction is that of an instrument that shows counts, in its own unit.
	CountAction quantity.Stated[quantity.CountRate]
	At          time.Time
}

// Kind is "survey-point".
func (*SurveyPoint) Kind() string        { return "survey-point" }
func (p *SurveyPoint) moment() time.Time { return p.At }

func (p *SurveyPoint) fields(f []Slot) []Slot {
	return append(f,
		Slot{"point", must, id{&p.Point, AboutPlace}, "Id of the point"},
		Slot{"room", must, id{&p.Room, AboutPlace}, "Room"},
		Slot{"name", must, text{&p.Name}, "Name of the point"},
		Slot{"x", may, hundredths{number{&p.X}}, "From the left, in hundredths"},
		Slot{"y", may, hundredths{number{&p.Y}}, "From the top, in hundredths"},
		Slot{"action", may, amount(&p.Action), "Action level, removable contamination"},
		Slot{"rate-action", may, amount(&p.RateAction), "Action level, dose rate less background"},
		Slot{"count-action", may, amount(&p.CountAction), "Action level, count rate less background"},
		Slot{"at", must, instant{&p.At}, "Holds from"},
	)
}

// PointReading is what was measured at a point.
type PointReading struct {
	Point, Meter string
	At           time.Time
	// Shown is what the instrument showed, in its own unit, such as "410 cps".
	Shown string
	// Rate is the dose rate with the Background in it.
	Rate, Background quantity.Stated[quantity.DoseRate]
	// CountRate is what a contamination monitor shows, with the CountBackground in it.
	CountRate, CountBackground quantity.Stated[quantity.CountRate]
	Swab                       *Counted
	Text                       string
}

// Kind is "point-reading".
func (*PointReading) Kind() string        { return "point-reading" }
func (p *PointReading) moment() time.Time { return p.At }

func (p *PointReading) fields(f []Slot) []Slot {
	return append(f,
		Slot{"point", must, id{&p.Point, AboutPlace}, "Point"},
		Slot{"meter", must, id{&p.Meter, AboutMeter}, "Instrument"},
		Slot{"at", must, instant{&p.At}, "When"},
		Slot{"shown", may, text{&p.Shown}, "As shown, with the unit of the instrument"},
		Slot{"rate", may, amount(&p.Rate), "Dose rate, with background"},
		Slot{"background", may, amount(&p.Background), "Background"},
		Slot{"count-rate", may, amount(&p.CountRate), "Count rate, with background"},
		Slot{"count-background", may, amount(&p.CountBackground), "Background of the count rate"},
		Slot{"swab", may, GroupAt(&p.Swab), "Wipe or surface by counts"},
		Slot{"text", may, text{&p.Text}, "Remark"},
	)
}

// ReleaseRoom gives a room back to common use after it was surveyed.
type ReleaseRoom struct {
	Room string
	At   time.Time
	Text string
}

// Kind is "release-room".
func (*ReleaseRoom) Kind() string        { return "release-room" }
func (r *ReleaseRoom) moment() time.Time { return r.At }

func (r *ReleaseRoom) fields(f []Slot) []Slot {
	return append(f,
		Slot{"room", must, id{&r.Room, AboutPlace}, "Room"},
		Slot{"at", must, instant{&r.At}, "When"},
		Slot{"text", may, text{&r.Text}, "Remark"},
	)
}

// Spill is something that was spilt, and when it was dealt with.
type Spill struct {
	Place, What string
	At, Ended   time.Time
	Activity    quantity.Stated[quantity.Activity]
	Text        string
}

// Kind is "spill".
func (*Spill) Kind() string        { return "spill" }
func (s *Spill) moment() time.Time { return s.At }

func (s *Spill) fields(f []Slot) []Slot {
	return append(f,
		Slot{"place", must, text{&s.Place}, "Where"},
		Slot{"what", must, text{&s.What}, "What was spilt"},
		Slot{"at", must, instant{&s.At}, "When"},
		Slot{"ended", may, instant{&s.Ended}, "Dealt with at"},
		Slot{"activity", may, amount(&s.Activity), "Activity, if known"},
		Slot{"text", may, text{&s.Text}, "What was done"},
	)
}

// SpillPlan are the site's own five lines of what to do at a spill.
type SpillPlan struct {
	One, Two, Three, Four, Five string
	From                        time.Time
}

// Kind is "spill-plan".
func (*SpillPlan) Kind() string        { return "spill-plan" }
func (s *SpillPlan) moment() time.Time { return s.From }

func (s *SpillPlan) fields(f []Slot) []Slot {
	return append(f,
		Slot{"one", must, text{&s.One}, "First"},
		Slot{"two", must, text{&s.Two}, "Second"},
		Slot{"three", must, text{&s.Three}, "Third"},
		Slot{"four", must, text{&s.Four}, "Fourth"},
		Slot{"five", must, text{&s.Five}, "Fifth"},
		Slot{"from", must, instant{&s.From}, "Holds from"},
	)
}
