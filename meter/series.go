package meter

import (
	"cmp"
	"slices"
	"time"
)

// Case is one finished case's value on a chart: dispensed over prescribed,
// residual, drawn over planned, or any other.
type Case[Q ~float64] struct {
	Entry                 int // the caller's number for the fact this came from
	At                    time.Time
	Person, Lot, Catheter string
	// Value in its own unit.
	Value Q
}

// By says what one series has in common.
type By string

// What a series can have in common.
const (
	ByPerson   By = "person"
	ByLot      By = "lot"
	ByCatheter By = "catheter"
)

// Series is the cases that have something in common, in order of time.
type Series[Q ~float64] struct {
	By    By
	Name  string
	Cases []Case[Q]
}

// Split sorts cases into series by name; cases without one are left out. Cases
// of one instant stand in order of their entries. It panics for a By of no kind.
func Split[Q ~float64](cases []Case[Q], by By) []Series[Q] {
	name := map[By]func(Case[Q]) string{
		ByPerson:   func(c Case[Q]) string { return c.Person },
		ByLot:      func(c Case[Q]) string { return c.Lot },
		ByCatheter: func(c Case[Q]) string { return c.Catheter },
	}[by]
	if name == nil {
		panic("meter: no series by " + string(by))
	}
	sorted := slices.Clone(cases)
	slices.SortStableFunc(sorted, func(a, b Case[Q]) int {
		return cmp.Or(cmp.Compare(name(a), name(b)), a.At.Compare(b.At), cmp.Compare(a.Entry, b.Entry))
	})
	var out []Series[Q]
	for _, c := range sorted {
		switch n := name(c); {
		case n == "":
		case len(out) > 0 && out[len(out)-1].Name == n:
			last := &out[len(out)-1]
			last.Cases = append(last.Cases, c)
		default:
			out = append(out, Series[Q]{by, n, []Case[Q]{c}})
		}
	}
	return out
}

// Values gives the values in order.
func (s Series[Q]) Values() []Q {
	out := make([]Q, len(s.Cases))
	for i, c := range s.Cases {
		out[i] = c.Value
	}
	return out
}
