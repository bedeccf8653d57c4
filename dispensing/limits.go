package dispensing

import (
	"slices"
	"strings"

	"vialwright/quantity"
)

// Measured is a dose rate, a contamination or a staff dose as it was entered,
// beside the limit of the site for it.
type Measured struct {
	// Entry is the number of the entry it comes from, from 1.
	Entry int
	// What says what was measured, such as "dose rate at suite 2, less background".
	What string
	// Setting is where the site sets the limit, such as "limits.area-rate".
	Setting string
	// Shown is what was measured, Limit the limit, each with its unit; Limit is
	// empty where the site has set none.
	Shown, Limit string
	// Beyond tells that what was measured is more than the limit.
	Beyond bool
}

// checkMeasured warns of what is beyond a limit of the site. No limit is
// assumed: what could not be judged is said once for the case.
func (r *reckoner) checkMeasured() {
	var unset []string
	for _, m := range r.Measured {
		switch {
		case m.Limit == "" && !slices.Contains(unset, m.Setting):
			unset = append(unset, m.Setting)
		case m.Beyond:
			r.find(LimitExceeded, Warn, m.Entry, "%s: %s is beyond the site's limit of %s: act by the rule of your site", capital(m.What), m.Shown, m.Limit)
		}
	}
	if len(unset) > 0 {
		r.find(LimitNotSet, Note, 0, "what was measured was not compared with a limit, since the site has set none: %s; compare it with the rule of your site yourself, and set the limit in the settings of the site, which judges what is measured from then on", strings.Join(unset, ", "))
	}
}

// checkClock warns of a draw that was begun after the settling clock had said
// to shake again. Whole seconds are compared, as they are on the screen.
func (r *reckoner) checkClock(d Draw) {
	if d.Trusted == nil || d.Agitated.IsZero() {
		return
	}
	since := quantity.Span(d.At.Sub(d.Agitated).Truncate(1e9).Seconds())
	if since <= *d.Trusted {
		return
	}
	if *d.Trusted == 0 {
		r.find(DrawSettled, Warn, d.Entry, "this draw was begun %s after %s was resuspended; by the settling clock only a draw begun at once could be trusted", quantity.ShowSpan(since), d.From)
		return
	}
	r.find(DrawSettled, Warn, d.Entry, "this draw was begun %s after %s was resuspended; the settling clock said to resuspend again after %s",
		quantity.ShowSpan(since), d.From, quantity.ShowSpan(*d.Trusted))
}
