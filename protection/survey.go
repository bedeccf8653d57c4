package protection

import (
	"math"

	"vialwright/counting"
	"vialwright/quantity"
)

// State is what a count says of an action level.
type State string

// The states.
const (
	BelowCritical State = "below the critical level"
	BelowAction   State = "above, below action"
	AtAction      State = "action"
	CannotSee     State = "cannot see the action level"
	NoLevel       State = "no action level is set"
)

// Judged is a count beside an action level.
type Judged struct {
	State State
	counting.Result
	// Count is how long sample and blank have to be counted to see the level; for
	// CannotSee.
	Count quantity.Span
}

// Judge holds a count against an action level: what is below the critical level is so
// only where the level itself would have been seen. A level of 0 is none.
func Judge(m counting.Method, gross, blank counting.Count, action quantity.Contamination) (Judged, error) {
	r, err := m.Judge(gross, blank)
	if err != nil {
		return Judged{}, err
	}
	j := Judged{Result: r}
	switch {
	case action <= 0:
		j.State = NoLevel
	case r.Detected && quantity.Reaches(r.Surface, action):
		j.State = AtAction
	case r.Detectable > action:
		j.State = CannotSee
		if j.Count, err = m.Time(action, blank); err != nil {
			return Judged{}, err
		}
	case r.Detected:
		j.State = BelowAction
	default:
		j.State = BelowCritical
	}
	return j, nil
}

// String is the state in words: "cannot see the action level: count 15 min".
func (j Judged) String() string {
	if j.State != CannotSee {
		return string(j.State)
	}
	return string(j.State) + ": count " + j.Counting()
}

// Counting is Count in words, up to the next minute, or below one minute to the next second.
func (j Judged) Counting() string {
	if j.Count < quantity.Minute {
		return quantity.ShowSpan(quantity.Span(math.Ceil(float64(j.Count))))
	}
	return quantity.ShowSpan(quantity.Span(math.Ceil(float64(j.Count)/60)) * quantity.Minute)
}
