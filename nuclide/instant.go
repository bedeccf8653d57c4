package nuclide

import (
	"math"
	"time"

	"vialwright/quantity"
)

// Elapsed gives to - from in seconds. A time.Duration ends at 292 years; this
// does not, and it ignores the monotonic clock reading, since a record holds
// wall-clock times only. Leap seconds are not counted.
func Elapsed(from, to time.Time) quantity.Span {
	// Whole seconds are exact in a float64 up to 2^53 s, 285 million years.
	whole := float64(to.Unix()) - float64(from.Unix())
	return quantity.Span(whole + float64(to.Nanosecond()-from.Nanosecond())/1e9)
}

// Shift gives the instant that lies by after t, to the nanosecond and in the
// same location; an *Error with code OutOfRange when it falls outside the
// years 0 to 9999 that a record can hold.
func Shift(t time.Time, by quantity.Span) (time.Time, error) {
	whole := math.Floor(float64(by))
	if !(math.Abs(whole) < 1e12) { // 32 000 years; also catches NaN
		return time.Time{}, errShift()
	}
	nanos := math.Round((float64(by) - whole) * 1e9)
	shifted := time.Unix(t.Unix()+int64(whole), int64(t.Nanosecond())+int64(nanos)).In(t.Location())
	if year := shifted.Year(); year < 0 || year > 9999 {
		return time.Time{}, errShift()
	}
	return shifted, nil
}

func errShift() error {
	return refuse(OutOfRange, "The time asked for lies outside the years 0 to 9999.", "Check the activities and the half-life.")
}
