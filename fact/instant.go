package fact

import (
	"sync/atomic"
	"time"

	"vialwright/quantity"
)

// instant is a moment with the offset it was written with.
type instant struct{ p *time.Time }

func (i instant) Given() bool { return !i.p.IsZero() }
func (instant) Want() string  { return "a time such as 2027-03-04T13:30" }

func (i instant) Read(text string, how How) *Refusal {
	if how.Canonical {
		if t, ok := scanInstant(text); ok {
			*i.p = t
			return nil
		}
	}
	t, err := quantity.ParseTime(text, how.Zone)
	if err != nil {
		return fromQuantity(err)
	}
	t = withOffset(t)
	if written := quantity.FormatTime(t, nil); how.Canonical && written != text {
		return &Refusal{Code: quantity.CodeNotCanonical, Msg: Quote(text) + " is not written as a record writes it", Hint: "write " + written}
	}
	*i.p = t
	return nil
}

func (i instant) Write() (string, *Refusal) {
	s := quantity.FormatTime(*i.p, nil)
	return s, instant{new(time.Time)}.Read(s, How{Canonical: true})
}

// MomentIn is the moment that a value holds, if it is one.
func MomentIn(v Value) (time.Time, bool) {
	i, ok := v.(instant)
	if !ok {
		return time.Time{}, false
	}
	return *i.p, true
}

// UTCAt is the place of a moment that is written in UTC.
func UTCAt(p *time.Time) Scalar { return inUTC{instant{p}} }

// inUTC is an instant that is written in UTC.
type inUTC struct{ instant }

func (i inUTC) Read(text string, how How) *Refusal {
	var t time.Time
	if bad := (instant{&t}).Read(text, how); bad != nil {
		return bad
	}
	if t.Location() != time.UTC {
		return &Refusal{Code: quantity.CodeNotCanonical, Msg: Quote(text) + " is not in UTC", Hint: "write " + quantity.FormatTime(t.UTC(), nil)}
	}
	*i.p = t
	return nil
}

// withOffset is t in a zone that has only the offset of t, as a record keeps
// it; an offset that RFC 3339 cannot write becomes UTC.
func withOffset(t time.Time) time.Time {
	_, offset := t.Zone()
	if offset%60 != 0 {
		return t.UTC()
	}
	return t.In(fixedZone(offset / 60))
}

// farthestOffset is 14 h in minutes, the largest offset any clock has.
const farthestOffset = 14 * 60

// fixedZones holds the zone of each offset once made, since a journal has few
// offsets and very many times.
var fixedZones [2*farthestOffset + 1]atomic.Pointer[time.Location]

func fixedZone(minutes int) *time.Location {
	if minutes == 0 {
		return time.UTC
	}
	if minutes < -farthestOffset || minutes > farthestOffset {
		return time.FixedZone("", minutes*60)
	}
	slot := &fixedZones[minutes+farthestOffset]
	if z := slot.Load(); z != nil {
		return z
	}
	slot.CompareAndSwap(nil, time.FixedZone("", minutes*60))
	return slot.Load()
}

// scanInstant reads the commonest canonical text fast: whole seconds, and Z or
// an offset. Whatever it does not know, it leaves to quantity.ParseTime.
func scanInstant(s string) (time.Time, bool) {
	const form = "0000-00-00T00:00:00"
	if len(s) < len(form)+1 || s[4] != '-' || s[7] != '-' || s[10] != 'T' || s[13] != ':' || s[16] != ':' {
		return time.Time{}, false
	}
	bad := 0
	two := func(i int) int {
		hi, lo := int(s[i])-'0', int(s[i+1])-'0'
		if uint(hi) > 9 || uint(lo) > 9 {
			bad++
		}
		return 10*hi + lo
	}
	century, year, month, day := two(0), two(2), two(5), two(8)
	hour, minute, second := two(11), two(14), two(17)
	// Days up to 28 exist in every month; the rest are left to the calendar.
	// So are the first and the last day of the span of years recorded.
	if bad > 0 || century != 20 || month < 1 || month > 12 || day < 2 || day > 28 || hour > 23 || minute > 59 || second > 59 {
		return time.Time{}, false
	}
	zone := time.UTC
	switch rest := s[len(form):]; {
	case rest == "Z":
	case len(rest) == 6 && rest[3] == ':' && (rest[0] == '+' || rest[0] == '-'):
		h, m := two(len(form)+1), two(len(form)+4)
		offset := h*60 + m
		if bad > 0 || m > 59 || offset == 0 || offset > farthestOffset {
			return time.Time{}, false
		}
		if rest[0] == '-' {
			offset = -offset
		}
		zone = fixedZone(offset)
	default:
		return time.Time{}, false
	}
	return time.Date(2000+year, time.Month(month), day, hour, minute, second, 0, zone), true
}
