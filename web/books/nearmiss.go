package books

import (
	"strings"
	"time"

	"vialwright/fact"
	"vialwright/identity"
	"vialwright/web/kit"
)

// NearMiss records what was refused before it could do harm. That it could not
// be recorded keeps nobody from the refusal.
func NearMiss(q *kit.Request, miss fact.NearMiss) {
	miss.At = q.WallTime()
	if err := q.Observe(&miss); err != nil {
		q.Logger.Error("near miss", "error", err)
	}
}

// ShownScan is what was scanned as it may be kept: the serial of a label or the
// code of a pack. Anything else may name a person, and is left out.
func ShownScan(raw string, now time.Time) string {
	switch scan := identity.Read(raw, now.Year()); {
	case scan.Kind == identity.Label:
		return scan.Serial.String()
	case scan.Kind == identity.GS1 && scan.GTIN != "":
		return Elements(scan)
	}
	return ""
}

// MissedAt finds the order of the page that a scan came from; empty for none.
func MissedAt(q *kit.Request, back string) (order string) {
	rest, ok := strings.CutPrefix(back, "/order/")
	if !ok {
		return ""
	}
	order, _, _ = strings.Cut(rest, "/")
	if _, known := q.OrderFile(order); !known {
		return ""
	}
	return order
}

// Elements are the element strings of a pack as they are printed under a code.
func Elements(scan identity.Scan) string {
	var b strings.Builder
	for _, e := range scan.Elements {
		b.WriteString("(" + e.ID + ")" + e.Data)
	}
	return b.String()
}
