package journal

import "time"

// Zones loads a zone by its IANA name, as time.LoadLocation does. The packages
// of facts read no files themselves.
type Zones func(name string) (*time.Location, error)

// Load loads a zone.
func (zones Zones) Load(name string) (*time.Location, *Refusal) {
	zone, err := zones(name)
	if err != nil {
		return nil, &Refusal{Code: "unknown-zone", Path: "zone", Msg: "there is no zone called " + quote(name), Hint: "write a name of the IANA time zone database, or UTC"}
	}
	return zone, nil
}
