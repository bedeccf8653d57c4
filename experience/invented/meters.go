package invented

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"time"

	"vialwright/casefile"
	"vialwright/fact"
	"vialwright/journal"
)

// Told are the faults that [Meters] holds, and when.
type Told struct {
	// Meter has all of them.
	Meter string
	// Drift is when its constancy begins to fall, Swapped when another source was in the
	// well, BadPoint when a reading of the linearity was wrong, Lapsed when its calibration
	// for the syringe ended.
	Drift, Swapped, BadPoint, Lapsed time.Time
}

// Meters gives a year of an invented activity meter M2, a survey meter SV1, a wipe
// counter WC1 and two check sources, up to the day of until, which it is not tested on:
// background and constancy on each weekday (0.3 %), linearity twice, accuracy once. From
// day 245 on it loses 0.02 % a day, on day 100 source CS2 was in the well for CS1, the
// fourth reading of the first linearity is 2.5 % low, and its calibration for the
// syringe lapsed on day 300. The error is that of a zone that cannot be loaded.
func Meters(until time.Time, zones fact.Zones) ([]journal.Record, Told, error) {
	zone, err := zones("Atlantic/Azores")
	if err != nil {
		return nil, Told{}, err
	}
	y, m, d := until.In(zone).Date()
	on := func(day, minute int) time.Time { return time.Date(y, m, d-365+day, 7, minute, 0, 0, zone) }
	s := meterStory{on: on, g: rand.New(rand.NewPCG(12, 20270304))}
	s.begin()
	swapped := weekday(on, 100)
	for day := range 365 {
		if weekday(on, day) == day {
			s.daily(day, day == swapped)
		}
	}
	s.linearity(60, true)
	s.linearity(240, false)
	s.add("meter-test: {of: M2, test: accuracy, setting: Cs-137, with: CS1, repeatability: 0.3 %%, readings: [{gross: %.3f MBq, background: 0.2 MBq}], at: %s}", 0.2+s.source(30), s.at(30, 20))
	f, err := casefile.Decode([]byte(Header+"entries:\n  - "+strings.Join(s.entries, "\n  - ")+"\n"), zones)
	if err != nil {
		return nil, Told{}, err
	}
	var out []journal.Record
	for _, x := range f.Facts[len(f.Facts)-len(s.entries):] {
		out = append(out, journal.Record{Recorded: on(365, 0), By: "RP1", Fact: x})
	}
	return out, Told{"M2", on(weekday(on, driftDay), 10), on(swapped, 10), on(60+3, 30), on(300, 0)}, nil
}

const driftDay = 245

// weekday is the first day from one on that is no Saturday or Sunday.
func weekday(on func(int, int) time.Time, day int) int {
	for on(day, 0).Weekday() == time.Saturday || on(day, 0).Weekday() == time.Sunday {
		day++
	}
	return day
}

type meterStory struct {
	g       *rand.Rand
	on      func(day, minute int) time.Time
	entries []string
}

func (s *meterStory) add(format string, args ...any) {
	s.entries = append(s.entries, fmt.Sprintf(format, args...))
}

func (s *meterStory) at(day, minute int) string { return s.on(day, minute).Format(time.RFC3339) }

// source is the activity of CS1 on a day, in MBq: 7.4 MBq of Cs-137 two years before the
// first.
func (s *meterStory) source(day int) float64 {
	return 7.4 * math.Exp2(-(float64(day)+730)/(30.05*365.2422))
}

func (s *meterStory) begin() {
	s.add("instrument: {id: M2, what: activity-meter, model: an invented meter, serial: \"A17\", low: 10 kBq, high: 20 GBq, at: %s}", s.at(0, 0))
	s.add("instrument: {id: SV1, what: survey-meter, model: an invented meter, serial: \"B3\", rate-low: 0.05 uSv/h, rate-high: 100 mSv/h, calibrated: %s, due: %s, at: %s}", s.at(-60, 0), s.at(-60+730, 0), s.at(0, 0))
	s.add("instrument: {id: WC1, what: wipe-counter, model: an invented counter, serial: \"C5\", efficiency: 40 %%, efficiency-u: 5 %%, geometry: \"wipe at 5 mm, Y-90\", background: 1.7 cps, dead-time: 0.00001 s, calibrated: %s, due: %s, at: %s}", s.at(-30, 0), s.at(-30+730, 0), s.at(0, 0))
	for n, mbq := range []float64{7.4, 5.55} {
		s.add("check-source: {id: CS%d, nuclide: Cs-137, activity: %g MBq, u: 1.5 %%, reference: %s, serial: K-%d, certificate: an invented certificate, leak-tested: %s, leak-due: %s, at: %s}", n+1, mbq, s.at(-730, 0), n+1, s.at(200, 0), s.at(200+182, 0), s.at(0, 0))
	}
	s.add("calibration: {of: M2, container: shipping-vial, setting: Y-90, insert: dipper, factor: 1, u: 0.5 %%, basis: label, traceable-to: the labels of 12 invented vials, low: 100 MBq, high: 3 GBq, from: %s, due: %s}", s.at(0, 0), s.at(730, 0))
	s.add("calibration: {of: M2, container: shipping-vial, setting: Y-90 T, insert: dipper, factor: 0.81, u: 1.9 %%, basis: traceable, traceable-to: an invented standards laboratory, low: 100 MBq, high: 3 GBq, from: %s, due: %s}", s.at(-1, 0), s.at(729, 0))
	s.add("calibration: {of: M2, container: syringe, setting: Y-90, insert: dipper, factor: 0.94, u: 2 %%, basis: label, low: 100 MBq, high: 3 GBq, fill: [1 mL, 5 mL], from: %s, due: %s}", s.at(0, 0), s.at(300, 0))
}

func (s *meterStory) daily(day int, swapped bool) {
	s.add("meter-test: {of: M2, test: background, setting: Y-90, insert: dipper, readings: [{gross: %.3f MBq}], at: %s, by: NT1}", 0.2+0.01*s.g.NormFloat64(), s.at(day, 5))
	a := s.source(day)
	if swapped {
		a *= 5.55 / 7.4
	}
	a *= (1 + 0.003*s.g.NormFloat64()) * (1 - 0.0002*math.Max(0, float64(day-driftDay)))
	s.add("meter-test: {of: M2, test: constancy, setting: Cs-137, insert: dipper, with: CS1, repeatability: 0.3 %%, readings: [{gross: %.3f MBq, background: 0.2 MBq}], at: %s, by: NT1}", a+0.2, s.at(day, 10))
}

// linearity follows a vial of 3 GBq for 13 days.
func (s *meterStory) linearity(day int, bad bool) {
	var list []string
	for n, hours := range []float64{0, 24, 48, 72, 120, 168, 240, 312} {
		a := 3000 * math.Exp2(-hours/halfLife) * (1 + 0.002*s.g.NormFloat64())
		if bad && n == 3 {
			a *= 0.975
		}
		list = append(list, fmt.Sprintf("{at: %s, gross: %.2f MBq, background: 0.2 MBq}", s.at(day, 30+int(hours*60)), a+0.2))
	}
	s.add("meter-test: {of: M2, test: linearity, setting: Y-90, insert: dipper, nuclide: Y-90, basis: label, repeatability: 0.3 %%, readings: [%s], at: %s, by: NT1}", strings.Join(list, ", "), s.at(day, 30+312*60))
}
