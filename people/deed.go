package people

import "time"

// Deed is an act that was done: which, by the person of which id, and when.
type Deed struct {
	Act Act
	By  string
	At  time.Time
}

// Recency says how recently and how often a person did something. That it was
// long ago or seldom has been a theme of the reviews of medical events by the
// United States Nuclear Regulatory Commission's advisory committee; what
// follows from it is for the person who reads it.
type Recency struct {
	// Last is when it was done last; zero for never.
	Last time.Time
	// Times is how often it was done, InYear how often in the last 365 days.
	Times, InYear int
}

// year is 365 days of 24 h.
const year = 365 * 24 * time.Hour

// Recall gives the recency of an act for a person at an instant, out of deeds
// in any order. A deed of a later time than now does not count, nor should
// those of practice be among them. A deed of exactly 365 days ago is not of
// the last year.
func Recall(deeds []Deed, by string, a Act, now time.Time) Recency {
	var r Recency
	for _, d := range deeds {
		if d.By != by || d.Act != a || d.At.After(now) {
			continue
		}
		r.Times++
		if now.Sub(d.At) < year {
			r.InYear++
		}
		if r.Times == 1 || d.At.After(r.Last) {
			r.Last = d.At
		}
	}
	return r
}
