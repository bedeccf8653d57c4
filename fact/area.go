package fact

import (
	"time"

	"vialwright/quantity"
)

// Room is a room that is surveyed, with its sketch.
type Room struct {
	Room string `must:"room" id:"place" label:"Id of the room"`
	Name string `must:"name" label:"Name of the room"`
	// Sketch is what is drawn of it: lines from point to point in hundredths of its
	// width and depth, such as "0,0 100,0 100,80 0,80 0,0; 20,10 60,10".
	Sketch string    `may:"sketch" as:"sketch" label:"Sketch: corners as x,y with spaces, lines with ;"`
	At     time.Time `must:"at" label:"Holds from"`
}

func (r *Room) is() (string, time.Time) { return "room", r.At }

// SurveyPoint is a place in a room that is measured at each survey.
type SurveyPoint struct {
	Point string `must:"point" id:"place" label:"Id of the point"`
	Room  string `must:"room" id:"place" label:"Room"`
	Name  string `must:"name" label:"Name of the point"`
	// X and Y are where it lies on the sketch, in hundredths of its width and depth.
	X Number `may:"x" as:"hundredths" label:"From the left, in hundredths"`
	Y Number `may:"y" as:"hundredths" label:"From the top, in hundredths"`
	// Action and RateAction are the levels at which something is done.
	Action     quantity.Stated[quantity.Contamination] `may:"action" label:"Action level, removable contamination"`
	RateAction quantity.Stated[quantity.DoseRate]      `may:"rate-action" label:"Action level, dose rate less background"`
	// CountAction is that of an instrument that shows counts, in its own unit.
	CountAction quantity.Stated[quantity.CountRate] `may:"count-action" label:"Action level, count rate less background"`
	At          time.Time                           `must:"at" label:"Holds from"`
}

func (p *SurveyPoint) is() (string, time.Time) { return "survey-point", p.At }

// PointReading is what was measured at a point.
type PointReading struct {
	Point string    `must:"point" id:"place" label:"Point"`
	Meter string    `must:"meter" id:"meter" label:"Instrument"`
	At    time.Time `must:"at" label:"When"`
	// Shown is what the instrument showed, in its own unit, such as "410 cps".
	Shown           string                              `may:"shown" label:"As shown, with the unit of the instrument"`
	Rate            quantity.Stated[quantity.DoseRate]  `may:"rate" label:"Dose rate, with background"`
	Background      quantity.Stated[quantity.DoseRate]  `may:"background" label:"Background"`
	CountRate       quantity.Stated[quantity.CountRate] `may:"count-rate" label:"Count rate, with background"`
	CountBackground quantity.Stated[quantity.CountRate] `may:"count-background" label:"Background of the count rate"`
	Swab            *Counted                            `may:"swab" label:"Wipe or surface by counts"`
	Text            string                              `may:"text" label:"Remark"`
}

func (p *PointReading) is() (string, time.Time) { return "point-reading", p.At }

// ReleaseRoom gives a room back to common use after it was surveyed.
type ReleaseRoom struct {
	Room string    `must:"room" id:"place" label:"Room"`
	At   time.Time `must:"at" label:"When"`
	Text string    `may:"text" label:"Remark"`
}

func (r *ReleaseRoom) is() (string, time.Time) { return "release-room", r.At }

// Spill is something that was spilt, and when it was dealt with.
type Spill struct {
	Place    string                             `must:"place" label:"Where"`
	What     string                             `must:"what" label:"What was spilt"`
	At       time.Time                          `must:"at" label:"When"`
	Ended    time.Time                          `may:"ended" label:"Dealt with at"`
	Activity quantity.Stated[quantity.Activity] `may:"activity" label:"Activity, if known"`
	Text     string                             `may:"text" label:"What was done"`
}

func (s *Spill) is() (string, time.Time) { return "spill", s.At }

// SpillPlan are the site's own five lines of what to do at a spill.
type SpillPlan struct {
	One   string    `must:"one" label:"First"`
	Two   string    `must:"two" label:"Second"`
	Three string    `must:"three" label:"Third"`
	Four  string    `must:"four" label:"Fourth"`
	Five  string    `must:"five" label:"Fifth"`
	From  time.Time `must:"from" label:"Holds from"`
}

func (s *SpillPlan) is() (string, time.Time) { return "spill-plan", s.From }

// Occasion is what somebody is telephoned for.
type Occasion string

// The occasions.
const (
	ParcelOverLimit Occasion = "parcel"
	SpillHappened   Occasion = "spill"
	ActivityMissing Occasion = "loss"
)

// Contact is somebody whom the site telephones when something happens.
type Contact struct {
	Occasion Occasion `must:"occasion" label:"What for"`
	// Name is who it is, such as "final carrier, emergency desk".
	Name  string    `must:"name" label:"Whom to call"`
	Phone string    `must:"phone" label:"Telephone"`
	From  time.Time `must:"from" label:"Holds from"`
	Until time.Time `may:"until" label:"Holds until"`
}

func (c *Contact) is() (string, time.Time) { return "contact", c.From }
