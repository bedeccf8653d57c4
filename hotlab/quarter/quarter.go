// Package quarter makes three months of the books of a hot lab that never was, with
// faults in them or without: for practice and for tests. No person, supplier, parcel or
// vial in it is real.
//
// # The laboratory
//
// From January to March 2027 a parcel with one vial of 3.0 GBq comes in on every Tuesday
// and Thursday. It is surveyed and opened, a dose is drawn and given, what is left goes into
// a bin of the month, and the room is surveyed. A bin is closed at the end of its month and
// released when it is ready. Two people wear ring and body dosemeters.
//
// # Faults
//
// [Faults] lists them; each is one slip of one person on one day, and [Records] makes the
// history with those that are asked for. Without any nothing in it is wrong.
//
// # Domain of validity
//
// Plausible to look at, with known answers: nothing else. Readings are exact to their
// digits, so that the activities can be worked out from them by hand.
//
// Worked example: 25 parcels, 25 doses, three bins.
package quarter

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"time"

	"vialwright/casefile"
	"vialwright/fact"
	"vialwright/hotlab"
	"vialwright/journal"
)

// End is the last moment of the history.
const End = "2027-03-31T23:00:00+01:00"

const halfLife = 64.0417 // h; the site sets it

// People are the ids of those who work there.
var People = []string{"RP3", "NT2", "MP1"}

// entry is a line of a case file at its time, and who entered it.
type entry struct {
	at       time.Time
	by, line string
}

// story collects the entries.
type story struct {
	zone  *time.Location
	name  string
	weeks int
	bad   map[hotlab.Code]bool
	all   []entry
}

// dated is a day in an entry, alone, with a clock time, or with its offset as well.
var dated = regexp.MustCompile(`\b20\d\d-\d\d-\d\d(T\d\d:\d\d(Z|[+-]\d\d:\d\d)?)?`)

// moved puts the times of an entry so many weeks later, each at the time that the clock on
// the wall showed.
func (s *story) moved(line string) string {
	return dated.ReplaceAllStringFunc(line, func(text string) string {
		format, to := time.DateOnly, time.DateOnly
		if len(text) > len(format) {
			format, to = clockFormat, clockFormat
		}
		if len(text) > len(clockFormat) {
			to = clockFormat + "Z07:00"
		}
		at, err := time.ParseInLocation(format, text[:len(format)], s.zone)
		if err != nil {
			panic(err) // a slip in this file
		}
		return at.AddDate(0, 0, 7*s.weeks).Format(to)
	})
}

const clockFormat = "2006-01-02T15:04"

// Records gives the history with some faults, in the order of the journal. The error is
// that of a zone that cannot be loaded.
func Records(zones fact.Zones, faults ...hotlab.Code) ([]journal.Record, error) {
	return Placed{Zone: "Europe/Lisbon"}.Records(zones, faults...)
}

// Placed is where and when the history is put.
type Placed struct {
	// Zone is that of the site.
	Zone string
	// Weeks is how many weeks after January to March 2027 it is; below 0 before.
	Weeks int
}

// Before places the history at a site of a zone, so that it ended within the last week.
func Before(now time.Time, zone string) Placed {
	ended, err := time.Parse(time.RFC3339, End)
	if err != nil {
		panic(err) // a slip in this file
	}
	const week = 7 * 24 * time.Hour
	return Placed{zone, int(math.Floor(float64(now.Add(-24*time.Hour).Sub(ended)) / float64(week)))}
}

// Records gives the history at its place, as [Records] does.
func (x Placed) Records(zones fact.Zones, faults ...hotlab.Code) ([]journal.Record, error) {
	zone, err := zones(x.Zone)
	if err != nil {
		return nil, err
	}
	s := &story{zone: zone, name: x.Zone, weeks: x.Weeks, bad: map[hotlab.Code]bool{}}
	for _, f := range faults {
		s.bad[f] = true
	}
	s.settings()
	n := 0
	for day := s.on("2027-01-05", "00:00"); day.Before(s.on("2027-04-01", "00:00")); day = day.AddDate(0, 0, 1) {
		if day.Weekday() == time.Tuesday || day.Weekday() == time.Thursday {
			n++
			s.day(n, day.Format(time.DateOnly))
		}
	}
	s.months()
	s.single()
	return s.records(zones)
}

func (s *story) on(day, clock string) time.Time {
	t, err := time.ParseInLocation("2006-01-02 15:04", day+" "+clock, s.zone)
	if err != nil {
		panic(err) // a slip in this file
	}
	return t
}

// printed is the reference time of a vial of a day, as a label has it.
func (s *story) printed(day string) string { return s.on(day, "18:00").Format(clockFormat + "Z07:00") }

// add adds an entry at a clock time of a day; @ in it stands for that time.
func (s *story) add(day, clock, by, line string, args ...any) {
	at := s.on(day, clock)
	line = strings.ReplaceAll(fmt.Sprintf(line, args...), "@", at.Format(clockFormat+"Z07:00"))
	s.all = append(s.all, entry{at, by, line})
}

// records reads the entries, oldest first.
func (s *story) records(zones fact.Zones) ([]journal.Record, error) {
	slices.SortStableFunc(s.all, func(a, b entry) int { return a.at.Compare(b.at) })
	text := "case: 1\nzone: " + s.name + "\nhalf-life: 64.0417 h\nuse: practice\npolicy: {tolerance: 10 %, label-tolerance: 10 %, confidence: 95 %, basis: label}\n" +
		"meters:\n  - {id: M3, calibration-u: 2 %, repeatability: 0.8 %, geometry: {shipping-vial: {factor: 1, u: 0 %, basis: label}}}\nentries:\n"
	for _, e := range s.all {
		text += "  - " + s.moved(e.line) + "\n"
	}
	f, err := casefile.Decode([]byte(text), zones)
	if err != nil {
		return nil, err
	}
	head := len(f.Facts) - len(s.all)
	later := func(t time.Time) time.Time { return t.AddDate(0, 0, 7*s.weeks).UTC() }
	out := journal.Entered(f.Facts, later(s.on("2026-12-31", "12:00")), "MP1", 1)
	for i := range s.all {
		out[head+i].Recorded, out[head+i].By = later(s.all[i].at.Add(time.Minute)), s.all[i].by
	}
	return out, nil
}

// settings are what the site decided before.
func (s *story) settings() {
	const day = "2027-01-04"
	for _, line := range []string{
		"licence-line: {id: L-1, nuclide: Y-90, form: resin microspheres, most: 12 GBq, from: @}",
		`working-time: {days: Mon Tue Wed Thu Fri, opens: "08:00", closes: "17:00", from: @}`,
		"holiday: {day: 2027-02-09, name: an invented holiday}",
		"instrument: {id: SV3, what: survey-meter, calibrated: 2026-03-02T09:00, due: 2027-03-01T00:00, at: @}",
		"instrument: {id: WC3, what: wipe-counter, calibrated: 2026-09-01T00:00, due: 2027-09-01T00:00, at: @}",
		`room: {room: R1, name: hot lab, sketch: "0,0 100,0 100,80 0,80 0,0; 20,10 60,10", at: @}`,
		"survey-point: {point: R1-1, room: R1, name: bench, x: 40, y: 12, action: 0.4 Bq/cm2, at: @}",
		"survey-point: {point: R1-2, room: R1, name: floor by the door, x: 80, y: 60, action: 0.4 Bq/cm2, rate-action: 2.5 uSv/h, at: @}",
		"investigation-level: {worn: body, month: 0.5 mSv, year: 6 mSv, from: @}",
		"spill-plan: {one: Say it aloud and stop., two: Cover it., three: Keep others out., four: Take it up from the edge., five: Survey it and yourself., from: @}",
	} {
		s.add(day, "08:00", "MP1", "%s", line)
	}
	for _, who := range []string{"RP3", "NT2"} {
		s.add(day, "08:10", "MP1", "wears: {who: %s, worn: ring, from: 2027-01-01T00:00}", who)
		s.add(day, "08:10", "MP1", "wears: {who: %s, worn: body, from: 2027-01-01T00:00}", who)
		s.add(day, "08:10", "MP1", "finger-ratio: {who: %s, ratio: 3, from: @, text: invented}", who)
	}
	until := "2028-01-01T00:00"
	if s.bad[hotlab.TrainingLapsed] {
		until = "2027-03-03T00:00"
	}
	s.add(day, "08:20", "MP1", "training: {who: NT2, in: unsealed sources, at: 2026-01-03T00:00, until: %s}", until)
	if !s.bad[hotlab.MeterOverdue] {
		s.add("2027-02-26", "15:00", "MP1", "instrument: {id: SV3, what: survey-meter, calibrated: @, due: 2028-02-26T00:00, at: @, reason: calibrated}")
	}
	if s.bad[hotlab.RoomWithoutPoints] {
		s.add(day, "08:30", "MP1", "room: {room: R2, name: store, at: @}")
	}
}

// when tells that a fault is seeded, and that the n-th day is its day.
func (s *story) when(code hotlab.Code, n int) bool {
	if !s.bad[code] {
		return false
	}
	for _, f := range Faults {
		if f.Code == code {
			return strings.HasSuffix(f.About, fmt.Sprintf("%02d", n))
		}
	}
	return false
}

// or is what stands in an entry where a fault is seeded on the n-th day, or else what is right.
func (s *story) or(code hotlab.Code, n int, wrong, right string) string {
	if s.when(code, n) {
		return wrong
	}
	return right
}

// wipe is a wipe of so many counts over a blank of 100 in a minute.
func wipe(counts int, efficiency string, area string) string {
	return fmt.Sprintf("{gross: %d counts, time: 60 s, blank: 100 counts, blank-time: 60 s, efficiency: %s, removed: 10 %%, area: %s}", counts, efficiency, area)
}

// day is one day of work, with the n-th parcel.
func (s *story) day(n int, day string) {
	parcel := fmt.Sprintf("PK-%02d", n)
	surveyed, opened := "09:10", "09:30"
	if s.when(hotlab.ParcelSurveyedLate, n) {
		surveyed, opened = "11:50", "11:55"
	}
	if s.when(hotlab.ParcelOpenedEarly, n) {
		opened = "09:00"
	}
	reference := s.printed(day)
	s.add(s.on(day, "12:00").AddDate(0, 0, -5).Format(time.DateOnly), "10:00", "RP3",
		"expect-parcel: {parcel: %s, line: L-1, vials: 1, labelled: %s, reference: %s, due: %sT08:30, at: @}", parcel, s.or(hotlab.ParcelDiffers, n, "4.0 GBq", "3.0 GBq"), reference, day)
	s.add(day, "08:40", "NT2", "parcel: {parcel: %s, line: L-1, at: @, un: UN2915, category: yellow-ii, index: 0.9, condition: intact, papers: %s, vials: 1, labelled: 3.0 GBq, reference: %s, zone: %s}",
		parcel, s.or(hotlab.ParcelPapers, n, "differ", "agree"), reference, s.or(hotlab.ParcelZone, n, "Europe/Berlin", s.name))
	s.measured(n, day, surveyed, parcel)
	if !s.when(hotlab.ParcelNotSurveyed, n) {
		s.add(day, opened, "NT2", "open-parcel: {parcel: %s, at: @}", parcel)
	}
	s.dose(n, day, parcel, reference)
	s.room(day)
}

// measured is the survey of a parcel.
func (s *story) measured(n int, day, clock, parcel string) {
	metre, swab := "8.3 uSv/h", wipe(112, "40 %", "300 cm2")
	switch {
	case s.when(hotlab.ParcelNotSurveyed, n):
		return
	case s.when(hotlab.ParcelMislabelled, n):
		metre = "15 uSv/h"
	case s.when(hotlab.ParcelAboveLimit, n):
		swab = wipe(4200, "40 %", "300 cm2")
	case s.when(hotlab.ParcelWipeBlind, n):
		swab = wipe(103, "40 %", "4 cm2")
	}
	s.add(day, clock, "NT2", "parcel-survey: {parcel: %s, at: @, meter: SV3, surface: 0.21 mSv/h, metre: %s, background: 0.1 uSv/h, counter: WC3, swab: %s}", parcel, metre, swab)
}

func decay(hours float64) float64 { return math.Exp2(-hours / halfLife) }

// dose is a vial from its receipt to the bin. The vial holds a little more or less than
// its label, and the draw is what its two readings say.
func (s *story) dose(n int, day, parcel, reference string) {
	truth := 3.0 * (1 + 0.04*math.Sin(float64(n))) // GBq at 18:00
	volume := 2.0 + 0.1*float64(n%4)
	before := truth / decay(7) // at 11:00
	after := truth / decay(6.5) * (1 - 0.97*volume/5)
	vial := fmt.Sprintf("S%02d", n)
	s.add(day, "10:00", "NT2", "receive: {vial: %s, lot: INV-%d, labelled: 3.0 GBq, reference: %s, volume: 5.0 mL, at: @, parcel: %s}", vial, n, reference, parcel)
	s.add(day, "10:30", "RP3", "order: {id: P%02d, prescribed: %.2f GBq, at: %sT13:30, residual: 2 %%}", n, truth/decay(4.5)*0.97*volume/5*0.98, day)
	s.add(day, "11:00", "NT2", "read: {of: %s, meter: M3, at: @, gross: %.4f GBq, background: 0.2 MBq}", vial, before+0.0002)
	s.add(day, "11:10", "NT2", "draw: {from: %s, into: Y%02d, for: P%02d, at: @, volume: %.1f mL}", vial, n, n, volume)
	s.add(day, "11:30", "NT2", "read: {of: %s, meter: M3, at: @, gross: %.4f GBq, background: 0.2 MBq}", vial, after+0.0002)
	s.add(day, "11:40", "NT2", "transfer: {from: Y%02d, into: A%02d, at: @}", n, n)
	s.add(day, "13:30", "RP3", "infuse: {for: P%02d, start: @, stop: %sT14:00, reason: complete}", n, day)
	s.add(day, "15:10", "RP3", "residual: {for: P%02d, before: {at: %sT11:50, rate: 10.9 uSv/h, background: 0.1 uSv/h}, after: {at: @, rate: 0.52 uSv/h, background: 0.1 uSv/h}}", n, day)
	s.leave(n, day, vial)
	s.add(day, "16:30", "RP3", "close: {for: P%02d, at: @}", n)
}

// leave is what becomes of the vial and of the parts.
func (s *story) leave(n int, day, vial string) {
	bin := "W" + strings.TrimLeft(day[5:7], "0")
	s.add(day, "16:00", "NT2", "discard: {from: A%02d, into: %s, at: @}", n, bin)
	empty := `left-site: {of: %s, how: returned, at: @, surface: 0.3 uSv/h, inside: %s, old-labels: "%s", empty-label: "yes", reason: invented}`
	into := bin
	switch {
	case s.when(hotlab.ContainerNowhere, n):
		return
	case s.when(hotlab.EmptyPackage, n):
		s.add(day, "16:10", "NT2", empty, vial, wipe(110, "40 %", "100 cm2"), "no")
		return
	case s.when(hotlab.ActivityLost, n):
		s.add(day, "16:10", "NT2", "left-site: {of: %s, how: lost, at: @, reason: invented}", vial)
		return
	case s.bad[hotlab.BinAddedAfter] && day == "2027-02-02":
		into = "W1"
	}
	s.add(day, "16:10", "NT2", "discard: {from: %s, into: %s, at: @}", vial, into)
}

// room is the survey at the end of a day.
func (s *story) room(day string) {
	bench, floor := wipe(108, "40 %", "100 cm2"), wipe(96, "40 %", "100 cm2")
	on := func(code hotlab.Code) bool {
		return s.bad[code] && slices.ContainsFunc(Faults, func(f Fault) bool { return f.Code == code && f.On == day })
	}
	if on(hotlab.PointAction) {
		floor = wipe(400, "40 %", "100 cm2")
	}
	if on(hotlab.PointBlind) {
		bench = wipe(104, "8 %", "100 cm2")
	}
	if !on(hotlab.DayNotSurveyed) {
		s.add(day, "17:00", "NT2", "point-reading: {point: R1-1, meter: SV3, at: @, shown: 1.9 cps, rate: 0.3 uSv/h, background: 0.1 uSv/h, swab: %s}", bench)
		if !on(hotlab.RoomReleasedEarly) {
			s.add(day, "17:05", "NT2", "point-reading: {point: R1-2, meter: WC3, at: @, rate: 0.2 uSv/h, background: 0.1 uSv/h, swab: %s}", floor)
		}
	}
	if day == "2027-02-18" {
		s.add(day, "17:30", "RP3", "release-room: {room: R1, at: @}")
	}
}

// months are the bins and the reports.
func (s *story) months() {
	released, gross, sensitive := "2027-02-26", 604, "yes"
	if s.bad[hotlab.BinReleasedEarly] {
		released = "2027-02-15"
	}
	s.bin("W1", "2027-01-29", released, gross, sensitive)
	if s.bad[hotlab.BinAboveBackground] {
		gross = 900
	}
	if s.bad[hotlab.BinSurveyedPoorly] {
		sensitive = "no"
	}
	s.bin("W2", "2027-02-26", "2027-03-30", gross, sensitive)
	ring, body := "4.2 mSv", "0.05 mSv"
	for i, month := range []string{"2027-01", "2027-02"} {
		to := []string{"2027-02-01", "2027-03-01"}[i]
		for k, who := range []string{"RP3", "NT2"} {
			if !(s.bad[hotlab.DosemeterMissing] && who == "NT2" && i == 0) {
				dose := ring
				if s.bad[hotlab.DoseOverLimit] && who == "RP3" && i == 1 {
					dose = "170 mSv"
				}
				s.add("2027-03-10", "09:00", "MP1", "dose-report: {who: %s, dosemeter: R-%d, worn: ring, from: %s-01T00:00, to: %sT00:00, measured: %s}", who, k, month, to, dose)
			}
			s.add("2027-03-10", "09:00", "MP1", "dose-report: {who: %s, dosemeter: B-%d, worn: body, from: %s-01T00:00, to: %sT00:00, measured: %s}", who, k, month, to, body)
		}
	}
}

// bin closes a bin, reads it and releases it.
func (s *story) bin(id, closed, released string, gross int, sensitive string) {
	s.add(closed, "16:45", "NT2", "close-bin: {bin: %s, at: @, mass: 2.4 kg, store: decay store}", id)
	for i, days := range []float64{1, 7, 14} {
		day := s.on(closed, "12:00").AddDate(0, 0, int(days)).Format(time.DateOnly)
		rate := 40 * decay(24*days)
		if s.bad[hotlab.BinSlow] && id == "W2" && i > 0 {
			rate = 12
		}
		s.add(day, "12:00", "NT2", "bin-reading: {bin: %s, meter: SV3, at: @, rate: %.2f uSv/h, background: 0.1 uSv/h}", id, rate+0.1)
	}
	s.add(released, "15:00", "RP3", `release-bin: {bin: %s, meter: SV3, at: @, gross: %d counts, time: 300 s, blank: 598 counts, blank-time: 300 s, sensitive: "%s", bare: "yes", labels: defaced, route: trash}`, id, gross, sensitive)
}

// single are what happens once.
func (s *story) single() {
	ended := ", ended: 2027-02-23T11:40"
	if s.bad[hotlab.SpillOpen] {
		ended = ""
	}
	s.add("2027-02-23", "11:16", "NT2", "spill: {place: \"hot lab, floor\", what: a drop from the needle, at: @%s}", ended)
	s.add("2027-02-25", "11:20", "NT2", "contaminated: {event: C1, who: RP3, part: left index finger, at: @, since: 2027-02-25T11:16, level: 60 kBq/cm2, area: 1 cm2}")
	if !s.bad[hotlab.SkinOpen] {
		s.add("2027-02-25", "11:35", "NT2", `contaminated: {event: C1, who: RP3, part: left index finger, at: @, level: 40 Bq/cm2, area: 1 cm2, ended: "yes", text: washed}`)
	}
	if s.bad[hotlab.DoseOfNobody] {
		s.add("2027-03-10", "09:05", "MP1", "dose-report: {who: xy-9, dosemeter: B-7, worn: body, from: 2027-02-01T00:00, to: 2027-03-01T00:00, measured: 0.1 mSv}")
	}
	if s.bad[hotlab.FetusDose] {
		s.add("2027-02-10", "09:00", "MP1", "pregnancy: {who: NT2, at: @}")
		s.add("2027-03-10", "09:06", "MP1", "dose-report: {who: NT2, dosemeter: F-1, worn: fetus, from: 2027-02-10T00:00, to: 2027-03-10T00:00, measured: 5.4 mSv}")
	}
	if s.bad[hotlab.LineExceeded] {
		s.add("2027-03-12", "10:00", "RP3", "expect-parcel: {parcel: PK-90, line: L-1, vials: 4, labelled: 3.0 GBq, reference: %s, due: 2027-03-16T09:00, at: @}", s.printed("2027-03-16"))
		s.add("2027-03-16", "09:00", "NT2", "parcel: {parcel: PK-90, line: L-1, at: @, category: yellow-ii, condition: intact, papers: agree, vials: 4, labelled: 3.0 GBq, reference: %s}", s.printed("2027-03-16"))
		s.add("2027-03-16", "09:20", "NT2", "parcel-survey: {parcel: PK-90, at: @, meter: WC3, surface: 0.21 mSv/h, metre: 8.3 uSv/h, background: 0.1 uSv/h, swab: %s}", wipe(112, "40 %", "300 cm2"))
	}
	if s.bad[hotlab.ParcelOverdue] {
		s.add("2027-03-25", "10:00", "RP3", "expect-parcel: {parcel: PK-99, line: L-1, vials: 1, labelled: 3.0 GBq, reference: %s, due: 2027-03-30T08:30, at: @}", s.printed("2027-03-30"))
	}
}
