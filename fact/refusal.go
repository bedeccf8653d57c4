package fact

import (
	"sync"
	"time"
)

// Refusal says what is wrong with a value, or why the facts of a case cannot
// stand together. Code is stable.
type Refusal struct {
	Code string
	// Entry is the number of the entry the fault is written in, from 1; 0 for
	// a header fact, and where only a value was looked at. A fault in a
	// correction is in the correction.
	Entry int
	// Path is where the fault is, as far as that is known: empty for the value
	// itself, "before.rate[2]" in a fact; in a case "entries[4].draw.volume",
	// "entries[7].correct.with.draw.volume", "meters[1].geometry.syringe[2]",
	// "policy.tolerance", "zone".
	Path string
	// Msg is one plain sentence without a full stop, Hint the way out.
	Msg, Hint string
}

// Error gives where, what is wrong and the way out.
func (r *Refusal) Error() string {
	s := r.Path + ": " + r.Msg
	if r.Hint != "" {
		s += "; " + r.Hint
	}
	return s
}

// In puts a refusal under a field.
func (r *Refusal) In(name string) *Refusal {
	switch {
	case r.Path == "":
		r.Path = name
	case r.Path[0] == '[':
		r.Path = name + r.Path
	default:
		r.Path = name + "." + r.Path
	}
	return r
}

// AtTop is a refusal of a setting.
func AtTop(path, code, msg, hint string) *Refusal { return &Refusal{code, 0, path, msg, hint} }

// Zones loads a zone by its IANA name, as time.LoadLocation does. The packages
// of facts read no files themselves.
type Zones func(name string) (*time.Location, error)

// Kept keeps each zone that it has loaded, since a page needs the same few again and
// again. An error is not kept.
func (zones Zones) Kept() Zones {
	var kept sync.Map
	return func(name string) (*time.Location, error) {
		if zone, there := kept.Load(name); there {
			return zone.(*time.Location), nil
		}
		zone, err := zones(name)
		if err == nil {
			kept.Store(name, zone)
		}
		return zone, err
	}
}

// Load loads a zone.
func (zones Zones) Load(name string) (*time.Location, *Refusal) {
	zone, err := zones(name)
	if err != nil {
		return nil, &Refusal{Code: "unknown-zone", Path: "zone", Msg: "there is no zone called " + Quote(name), Hint: "write a name of the IANA time zone database, or UTC"}
	}
	return zone, nil
}
