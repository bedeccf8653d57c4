package quantity

import (
	"errors"
	"math"
	"strings"
	"testing"
	"time"
)

// FuzzParse: no text makes any kind panic; what is read is finite, not
// negative unless a temperature, and canonical text gives the same value and
// the same bytes again; what is refused has a code and a sentence.
func FuzzParse(f *testing.F) {
	for _, s := range []string{
		"3.0 GBq", "81mCi", "400 µCi", "2.2 ml", "2 %", "182 uSv/h", "7200 dpm/100 cm²", "-4 °C", "64.0417 h",
		"1,234 MBq", "05 GBq", ".5 GBq", "5. GBq", "1e999 Bq", "1e-999 Bq", "3E+09 Bq", "1 234 Bq", "-0 C", "0x1p3 Bq",
		"3 mBq", "5 cc", "1.3 ± 0.1 GBq", "\u22123 C", "3\u202fGBq", "\xff", "", "e", "3 ", "3 s.s", "3 \u212a",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		for k := range kinds {
			v, canonical, err := read(k, text)
			if err != nil {
				if err.Code == "" || err.Msg == "" || len(err.Input) > maxText+3 || strings.HasSuffix(err.Msg, ".") {
					t.Fatalf("%q is refused with %+v", text, err)
				}
				continue
			}
			if math.IsNaN(v) || math.IsInf(v, 0) || (math.Signbit(v) && (k != temperature || v == 0)) {
				t.Fatalf("%q is read as %v", text, v)
			}
			again, same, err := read(k, canonical)
			if err != nil || again != v || same != canonical {
				t.Fatalf("%q is read as %v, %q, and that as %v, %q, %v", text, v, canonical, again, same, err)
			}
			if strings.Trim(canonical, letters+"0123456789.-/% ") != "" || strings.Count(canonical, " ") != 1 {
				t.Fatalf("%q is read as %q", text, canonical)
			}
			if _, err := ofKind(k, v, canonical[strings.IndexByte(canonical, ' ')+1:]); err != nil {
				t.Fatalf("%q is read as %v, which cannot be stated: %v", text, v, err)
			}
		}
	})
}

// FuzzParseTime: no text panics; what is read lies in 2000 to 2099 and is
// written and read again as the same instant, in any zone.
func FuzzParseTime(f *testing.F) {
	for _, s := range []string{
		"2027-03-04T13:30", "2027-03-04T13:30:00-01:00", "2027-03-04 13:30:05.25Z", "2027-03-28T02:30", "2027-10-31T02:30",
		"2011-12-30T12:00", "11/12/2027", "2027-02-30T00:00", "2027-12-31T24:00", "2000-01-01T00:00+14:00", "2099-12-31T23:59:59-14:00",
		"2038-01-19T03:14:07", "2027-03-04", "27.3.4", "2027-03-04T13:30-00:00", "\xff", "",
	} {
		f.Add(s, uint8(1))
	}
	f.Fuzz(func(t *testing.T, text string, which uint8) {
		z := zone(t, zones[int(which)%len(zones)])
		at, err := ParseTime(text, z)
		if err != nil {
			var e *Error
			if !errors.As(err, &e) || e.Code == "" || e.Msg == "" || len(e.Input) > maxText+3 {
				t.Fatalf("%q is refused with %v", text, err)
			}
			return
		}
		if at.Before(firstInstant) || !at.Before(endInstant) {
			t.Fatalf("%q is read as %v", text, at)
		}
		for _, in := range []*time.Location{nil, z, time.UTC, time.FixedZone("odd", 3208)} {
			written := FormatTime(at, in)
			again, err := ParseTime(written, nil)
			if err != nil || !again.Equal(at) || FormatTime(again, in) != written {
				t.Fatalf("%q is written %q and read as %v, %v", text, written, again, err)
			}
		}
	})
}
