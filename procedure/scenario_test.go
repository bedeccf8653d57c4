package procedure_test

import (
	"errors"
	"strings"
	"testing"
	"time"

	"vialwright/casefile"
	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/journal"
	"vialwright/people"
	"vialwright/procedure"
)

// An invented scenario: no real patient, site, meter or vial.
const header = `case: 1
zone: Atlantic/Azores
half-life: 64.0417 h
policy: {limit: 20 %}
meters:
  - id: M1
    calibration-u: 2 %
    repeatability: 0.8 %
    geometry:
      shipping-vial: {factor: 1, u: 0 %, basis: label}
      syringe: {factor: 0.95, u: 1 %, basis: label}
      administration-vial: {factor: 0.98, u: 1 %, basis: label}
      residual-parts: {factor: 1, u: 3 %, basis: label}
`

// The people of the scenario.
var (
	rita = people.Person{ID: "rp-1", Name: "R. Example", Roles: []people.Role{people.Radiopharmacist}, Active: true}
	tess = people.Person{ID: "tech-1", Name: "T. Example", Roles: []people.Role{people.Technologist}, Active: true}
	tom  = people.Person{ID: "tech-2", Name: "O. Example", Roles: []people.Role{people.Technologist}, Active: true}
	phil = people.Person{ID: "mp-1", Name: "P. Example", Roles: []people.Role{people.Physicist}, Active: true}
	dora = people.Person{ID: "dr-1", Name: "D. Example", Roles: []people.Role{people.Physician}, Active: true}
	nora = people.Person{ID: "sn-1", Name: "N. Example", Roles: []people.Role{people.Nurse}, Active: true}
)

// bench keeps the record of a day as it grows.
type bench struct {
	tb      testing.TB
	records []journal.Record
	now     time.Time
	zone    *time.Location
}

func newBench(tb testing.TB) *bench {
	tb.Helper()
	zone, err := time.LoadLocation("Atlantic/Azores")
	if err != nil {
		tb.Fatal(err)
	}
	b := &bench{tb: tb, zone: zone, now: time.Date(2027, 3, 4, 7, 0, 0, 0, zone)}
	f, err := casefile.Decode([]byte(header), time.LoadLocation)
	if err != nil {
		tb.Fatal(err)
	}
	for _, x := range f.Facts {
		b.put("rp-1", x)
	}
	return b
}

func (b *bench) put(by string, f fact.Fact) {
	b.records = append(b.records, journal.Record{By: by, Recorded: b.now, Fact: f})
}

// does records entries by a person. T10:30 in an entry is a time of the day;
// the clock goes to the last one.
func (b *bench) does(who people.Person, lines ...string) *bench {
	b.tb.Helper()
	for _, line := range lines {
		for part := range strings.SplitSeq(line, "@") {
			if t, err := time.ParseInLocation("15:04", part[:min(5, len(part))], b.zone); err == nil {
				b.now = time.Date(2027, 3, 4, t.Hour(), t.Minute(), 0, 0, b.zone)
			}
		}
		line = strings.ReplaceAll(line, "@", "2027-03-04T")
		f, err := casefile.Decode([]byte("case: 1\nzone: Atlantic/Azores\nentries:\n  - "+line+"\n"), time.LoadLocation)
		if err != nil {
			b.tb.Fatalf("%s: %v", line, err)
		}
		b.put(who.ID, f.Facts[1])
	}
	return b
}

func (b *bench) facts() []fact.Fact {
	out := make([]fact.Fact, len(b.records))
	for i, r := range b.records {
		out[i] = r.Fact
	}
	return out
}

// reckoned is what was recorded comes to.
func (b *bench) reckoned() *procedure.Reckoned {
	b.tb.Helper()
	k, err := procedure.Reckon(b.records, nil, time.LoadLocation, b.now, "", nil, nil)
	if err != nil {
		b.tb.Fatal(err)
	}
	return k
}

// reckon gives the case and its figures.
func (b *bench) reckon() (dispensing.Case, dispensing.Result) {
	b.tb.Helper()
	k := b.reckoned()
	return k.Case, k.Result
}

// prep gives where the preparation of an order stands.
func (b *bench) prep(order string) procedure.Preparation {
	b.tb.Helper()
	k := b.reckoned()
	if k.Order(order) < 0 {
		b.tb.Fatalf("no order %s", order)
	}
	return k.Preparation(order)
}

// permit is the code with which a step is refused, empty if it is permitted.
func (b *bench) permit(who people.Person, step procedure.Key) string {
	b.tb.Helper()
	p := b.prep("P1")
	return code(procedure.Permit(who, step, p, p.Deeds))
}

func code(err error) string {
	var own *procedure.Error
	var theirs *people.Error
	switch {
	case err == nil:
		return ""
	case errors.As(err, &own):
		return own.Code
	case errors.As(err, &theirs):
		return theirs.Code
	}
	return "?"
}

// The entries of a preparation in which nothing goes wrong, step by step.
const (
	theOrder    = "order: {id: P1, patient: K-0417, territory: right lobe, version: \"1\", prescribed: 1.30 GBq, at: @13:30, residual: 2 %}"
	theSign     = "sign-order: {for: P1, version: \"1\", at: @07:10}"
	theVial     = "receive: {vial: S1, lot: L-0311, labelled: 3.0 GBq, reference: @18:00, volume: 5.0 mL, at: @08:00}"
	theAssay    = "read: {of: S1, meter: M1, at: @11:00, gross: 3.24 GBq, background: 0.2 MBq}"
	theDraw     = "draw: {from: S1, into: Y1, for: P1, at: @11:10, volume: 2.2 mL, agitated: @11:09}"
	theLeft     = "read: {of: S1, meter: M1, at: @11:14, gross: 1.87 GBq, background: 0.2 MBq}"
	theMakeUp   = "make-up: {of: Y1, at: @11:18, volume: 1.3 mL, diluent: water for injection}"
	theTransfer = "transfer: {from: Y1, into: A1, at: @11:20}"
	theBefore   = "residual: {for: P1, before: {at: @11:30, rate: 182 uSv/h, background: 0.2 uSv/h}}"
	theCheck    = "second-check: {for: P1, of: S1, meter: M1, at: @11:40, gross: 1.86 GBq, background: 0.2 MBq, activity: 1.33 GBq}"
	theLabel    = "label: {serial: WK99-VFTV-W544, for: P1, of: A1, size: administration-vial, copy: 1, at: @11:45}"
	theRelease  = "release: {for: P1, serial: WK99-VFTV-W544, at: @11:50}"
	theHandOver = "hand-over: {for: P1, serial: WK99-VFTV-W544, to: sn-1, place: suite 2, at: @12:50, countersigned: sn-1}"
	theTimeOut  = "time-out: {for: P1, patient: K-0417, territory: right lobe, activity: 1.34 GBq, with: dr-1, at: @13:25}"
	theInfusion = "infuse: {for: P1, start: @13:30, stop: @14:05, reason: complete}"
	theAfter    = "residual: {for: P1, after: {at: @15:12, rate: 6.4 uSv/h, background: 0.2 uSv/h}}"
	theSurvey   = "survey: {place: suite 2, at: @15:30, rate: 0.2 uSv/h, background: 0.2 uSv/h}"
	theClose    = "close: {for: P1, at: @16:00}"
)

var theChecks = []string{
	"check: {what: meter-background, of: M1, result: pass, at: @07:30}",
	"check: {what: meter-constancy, of: M1, result: pass, at: @07:31}",
	"check: {what: survey-meter, of: G1, result: pass, at: @07:32}",
	"check: {what: area-clear, result: pass, at: @07:33}",
	"check: {what: consumables, result: pass, at: @07:34}",
	"check: {what: people, result: pass, at: @07:35}",
}

// stage is a step of the preparation with who does it.
type stage struct {
	key   procedure.Key
	who   people.Person
	lines []string
}

// walk is the whole preparation. The step adjust is not needed in it.
var walk = []stage{
	{procedure.Readiness, tess, theChecks},
	{procedure.Receipt, tess, []string{theVial}},
	{procedure.Assay, tess, []string{theAssay}},
	{procedure.Draw, tess, []string{theDraw}},
	{procedure.Remainder, tess, []string{theLeft}},
	{procedure.MakeUp, tess, []string{theMakeUp}},
	{procedure.Transfer, tess, []string{theTransfer}},
	{procedure.Baseline, tess, []string{theBefore}},
	{procedure.SecondCheck, rita, []string{theCheck}},
	{procedure.Label, tess, []string{theLabel}},
	{procedure.Release, rita, []string{theRelease}},
	{procedure.HandOver, tess, []string{theHandOver}},
	{procedure.TimeOut, nora, []string{theTimeOut}},
	{procedure.Infusion, nora, []string{theInfusion}},
	{procedure.Residual, tess, []string{theAfter}},
	{procedure.Survey, tess, []string{theSurvey}},
	{procedure.Close, rita, []string{theClose}},
}

// upTo plays the walk up to and with a step.
func upTo(tb testing.TB, last procedure.Key) *bench {
	tb.Helper()
	b := newBench(tb).does(dora, theOrder, theSign)
	for _, s := range walk {
		b.does(s.who, s.lines...)
		if s.key == last {
			return b
		}
	}
	return b
}
