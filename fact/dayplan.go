package fact

import (
	"strings"
	"time"

	"vialwright/quantity"
)

// DaySetup is what a day plan is made with beside orders and vials: bench, suites and
// the times that the work takes.
type DaySetup struct {
	// Opens and Closes are clock times of the bench, such as "08:00".
	Opens  string `must:"opens" as:"clock" label:"Bench opens"`
	Closes string `must:"closes" as:"clock" label:"Bench closes"`
	// Benches and Suites are how many there are.
	Benches int `must:"benches" as:"count" label:"Places to draw at"`
	Suites  int `must:"suites" as:"count" label:"Suites for infusions"`
	// Takes is one draw with resuspension, readings and check, Check the end of it that
	// needs a second person; Lead and Hold are from there to the infusion, at least and
	// at most; Infusion is how long one takes its suite; Step is the grid of the plan.
	Takes    quantity.Stated[quantity.Span]   `must:"takes" label:"One draw takes, with check"`
	Check    quantity.Stated[quantity.Span]   `must:"check" label:"Of that the second check"`
	Lead     quantity.Stated[quantity.Span]   `must:"lead" label:"From draw to infusion, at least"`
	Hold     quantity.Stated[quantity.Span]   `may:"hold" label:"From draw to infusion, at most"`
	Infusion quantity.Stated[quantity.Span]   `must:"infusion" label:"One infusion takes its suite"`
	Step     quantity.Stated[quantity.Span]   `must:"step" label:"Step of the plan"`
	Dead     quantity.Stated[quantity.Volume] `must:"dead" label:"Dead volume of a vial"`
	Syringe  quantity.Stated[quantity.Volume] `must:"syringe" label:"Largest syringe"`
	// YieldU is the relative standard uncertainty of the mean draw yield, Scatter that of
	// one draw about it.
	YieldU   quantity.Stated[quantity.Fraction]       `must:"yield-u" label:"Uncertainty of the mean draw yield"`
	Scatter  quantity.Stated[quantity.Fraction]       `must:"scatter" label:"Scatter of one draw"`
	HandDose quantity.Stated[quantity.DoseEquivalent] `must:"hand-dose" label:"Hand dose of a draw, for each GBq in the vial"`
	// Punctures is how many a vial may have; 0 for no limit.
	Punctures int `may:"punctures" as:"count" label:"Punctures of a vial, at most"`
	// Receipt is from when a parcel is due to when its vials can be drawn from: receipt, survey
	// and opening. Where nobody says, no vial of one is planned with before it is here.
	Receipt quantity.Stated[quantity.Span] `may:"receipt" label:"Receipt, survey and opening of a parcel take"`
	// Staff are those who are here, such as "T1 08:00-16:00; T2 09:00-13:00"; empty where
	// nobody says.
	Staff string    `may:"staff" as:"shifts" label:"Who is here, from when until when"`
	From  time.Time `must:"from" label:"Holds from"`
}

// Shift is when somebody is here: clock times.
type Shift struct{ Who, From, Until string }

// Shifts are those of a text.
func Shifts(text string) (out []Shift) {
	for _, one := range strings.Split(text, "; ") {
		who, times, _ := strings.Cut(one, " ")
		from, until, ok := strings.Cut(times, "-")
		if ok {
			out = append(out, Shift{who, from, until})
		}
	}
	return out
}

func (d *DaySetup) is() (string, time.Time) { return "day-setup", d.From }

// RePlan is a plan of the day that was taken, in place of the one before it. It binds
// nobody at the bench: each draw is entered where it is made.
type RePlan struct {
	Rows   []PlannedDose `must:"rows" like:"a list of {order: P1, source: S1, draw: 2027-03-04T09:15, infuse: 2027-03-04T10:30}" label:"Doses planned"`
	Reason string        `must:"reason" label:"Reason"`
	At     time.Time     `must:"at" label:"When"`
}

func (p *RePlan) is() (string, time.Time) { return "re-plan", p.At }

// PlannedDose is one order of a plan.
type PlannedDose struct {
	// Order is served from Source, a vial or a container with a drawn dose.
	Order  string `must:"order" id:"" label:"Order"`
	Source string `must:"source" id:"" label:"From"`
	// Draw is zero where the dose is drawn.
	Draw   time.Time `may:"draw" label:"Draw"`
	Infuse time.Time `must:"infuse" label:"Infusion"`
}
