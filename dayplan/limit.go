package dayplan

import "strings"

// Kind is what a limit is about.
type Kind string

// The limits that can be let go to see whether they bind. Stock is what vials and
// doses there are; let go, each order has an ideal vial of its own. Serve is that an order is served at all.
const (
	Stock     Kind = "stock"
	Serve     Kind = "serve"
	Time      Kind = "time"
	Spheres   Kind = "spheres"
	Odds      Kind = "odds"
	Benches   Kind = "bench"
	People    Kind = "people"
	Suites    Kind = "suites"
	LicenceOf Kind = "licence"
	Syringes  Kind = "syringes"
	Meter     Kind = "meter"
	Expiry    Kind = "expiry"
	Punctures Kind = "punctures"
)

// Limit is one that a day keeps: Of is the order of a window, empty for those of
// the whole day.
type Limit struct {
	Kind Kind
	Of   string
}

// String says the limit in words.
func (l Limit) String() string {
	return strings.TrimSpace(strings.ReplaceAll(limitWords[l.Kind], "%", l.Of))
}

var limitWords = map[Kind]string{
	Stock:     "the vials in hand and on offer",
	Serve:     "the order %",
	Time:      "the time window of %",
	Spheres:   "the sphere window of %",
	Odds:      "the odds that the site wants",
	Benches:   "the bench and its hours",
	People:    "the people present, for draw and second check",
	Suites:    "the suites",
	LicenceOf: "the licence",
	Syringes:  "the syringes, their graduations and the largest volume of a dose",
	Meter:     "the tested range of the meter",
	Expiry:    "the expiry of the vials",
	Punctures: "the punctures of the vials",
}

// limits are those of a day, in a fixed order.
func (d Day) limits() []Limit {
	out := []Limit{{Stock, ""}}
	for _, o := range d.Orders {
		out = append(out, Limit{Serve, o.ID}, Limit{Time, o.ID})
		if o.Spheres.Least > 0 || o.Spheres.Most > 0 {
			out = append(out, Limit{Spheres, o.ID})
		}
	}
	for _, k := range []Kind{Odds, Benches, People, Suites, LicenceOf, Syringes, Meter, Expiry, Punctures} {
		out = append(out, Limit{k, ""})
	}
	return out
}

// gone are the limits that are let go.
type gone map[Limit]bool

func (g gone) has(k Kind, of string) bool { return g[Limit{k, of}] }
