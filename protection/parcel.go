package protection

import (
	"math"
	"slices"
	"time"

	"vialwright/quantity"
)

// TransportIndex is that of a package with the highest dose rate at 1 m from its
// surface: 100 times it in mSv/h, 0 up to 0.05, else rounded up to a tenth.
func TransportIndex(metre quantity.DoseRate) float64 {
	raw := float64(metre / quantity.MilliSievertPerHour * 100)
	if raw <= 0.05*(1+1e-12) {
		return 0
	}
	return math.Ceil(raw*10*(1-1e-12)) / 10 // 0.0100 mSv/h is 1.0, and not 1.1 for the binary
}

// Category is that of a transport label; the zero value is White-I.
type Category int

// The categories. TooHigh goes under exclusive use alone.
const (
	WhiteI Category = iota
	YellowII
	YellowIII
	TooHigh
)

// String is its name, as on a label.
func (c Category) String() string {
	return [...]string{"White-I", "Yellow-II", "Yellow-III", "above Yellow-III"}[c]
}

// CategoryOf is the higher of what a transport index and a surface dose rate ask for.
func CategoryOf(index float64, surface quantity.DoseRate) Category {
	by := func(x float64, bounds ...float64) Category {
		n := slices.IndexFunc(bounds, func(b float64) bool { return x <= b*(1+1e-12) })
		if n < 0 {
			return TooHigh
		}
		return Category(n)
	}
	return max(by(index, 0, 1, 10), by(float64(surface/quantity.MilliSievertPerHour), 0.005, 0.5, 2))
}

// The transport values of Y-90: A2 is the most that a Type A package may hold of it in other than
// special form (A1 is the same), Exempt the activity of a consignment up to which it is no
// radioactive material.
const (
	A2     = 0.3 * quantity.TeraBecquerel
	Exempt = 0.1 * quantity.MegaBecquerel
)

// ExceptedLiquid is the most of it in one excepted package as a liquid: 1e-4 of A2 (49 CFR
// 173.425).
const ExceptedLiquid = 1e-4 * A2

// TransportSource says where these are from, and that the rule itself was not read.
const TransportSource = "49 CFR 173.425, 173.435 and 173.436, as a transport manual has them"

// Excepted is the highest surface dose rate of an excepted package (49 CFR 173.421).
const Excepted = 5 * quantity.MicroSievertPerHour

// Calendar is when somebody is there to receive.
type Calendar struct {
	Days []time.Weekday
	// Opens and Closes are times since midnight, as the clock on the wall shows them.
	Opens, Closes time.Duration
	// Holidays are days such as "2027-04-25".
	Holidays []string
	Zone     *time.Location
}

func (c Calendar) works(day time.Time) bool {
	return slices.Contains(c.Days, day.Weekday()) && !slices.Contains(c.Holidays, day.Format(time.DateOnly))
}

// at is a clock time of a day.
func (c Calendar) at(day time.Time, clock time.Duration) time.Time {
	return time.Date(day.Year(), day.Month(), day.Day(), 0, int(clock/time.Minute), 0, 0, c.Zone)
}

// longestBreak is how many days are looked through for one on which somebody works.
const longestBreak = 60

// Due is when a time runs out that begins with an arrival in working hours, or else
// with the next working hours; false where nobody works within 60 days. What closes at
// or before the time at which it opens closes on the day after: at the same time is all day.
func (c Calendar) Due(arrived time.Time, within quantity.Span) (time.Time, bool) {
	length := within.Duration()
	arrived = arrived.In(c.Zone)
	for n := -1; n < longestBreak; n++ { // those of the day before may not be over
		day := arrived.AddDate(0, 0, n)
		end := day
		if c.Closes <= c.Opens {
			end = day.AddDate(0, 0, 1)
		}
		opens, closes := c.at(day, c.Opens), c.at(end, c.Closes)
		switch {
		case !c.works(day) || !arrived.Before(closes):
		case arrived.After(opens):
			return arrived.Add(length), true
		default:
			return opens.Add(length), true
		}
	}
	return time.Time{}, false
}
