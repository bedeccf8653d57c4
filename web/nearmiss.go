package web

import (
	"strings"
	"time"

	"vialwright/fact"
	"vialwright/identity"
)

// nearMiss records what was refused before it could do harm. That it could not
// be recorded keeps nobody from the refusal.
func (q *request) nearMiss(miss fact.NearMiss) {
	miss.At = q.now.Truncate(time.Second)
	if z, err := q.Zones(q.Zone); err == nil {
		miss.At = miss.At.In(z)
	}
	if err := q.observe(&miss); err != nil {
		q.Logger.Error("near miss", "error", err)
	}
}

// shownScan is what was scanned as it may be kept: the serial of a label or the
// code of a pack. Anything else may name a person, and is left out.
func shownScan(raw string, now time.Time) string {
	switch scan := identity.Read(raw, now.Year()); {
	case scan.Kind == identity.Label:
		return scan.Serial.String()
	case scan.Kind == identity.GS1 && scan.GTIN != "":
		return elements(scan)
	}
	return ""
}

// missedAt finds the order of the page that a scan came from; empty for none.
func (q *request) missedAt(back string) (order string) {
	rest, ok := strings.CutPrefix(back, "/order/")
	if !ok {
		return ""
	}
	order, _, _ = strings.Cut(rest, "/")
	if _, known := q.orderFile(order); !known {
		return ""
	}
	return order
}

// elements are the element strings of a pack as they are printed under a code.
func elements(scan identity.Scan) string {
	var b strings.Builder
	for _, e := range scan.Elements {
		b.WriteString("(" + e.ID + ")" + e.Data)
	}
	return b.String()
}
