// Package invented makes the past of a laboratory that never was: finished
// cases from a seed, the same for the same seed. It is for practice and for
// tests; no patient, site, meter or vial in it is real.
//
// # The laboratory
//
// Vials of 3 GBq in 5 mL, and every fourth of 5 GBq in 8 mL, each with an
// activity of its own about the label (3 %). One meter reads all (calibration
// 1 % high, repeatability 0.8 %, steps of 1 MBq). Three people draw, to the mark
// that a yield of 97 % asks for, set within a twentieth of a millilitre:
//
//	yield     N(m, 2.5 %), m = 92 % of NT1, 93.5 % of RP1, 93 % of RP2
//	residual  2.6 % through a straight catheter, 3.6 % through a coiled one,
//	          times exp(N(0, 30 %)); dose rates in steps of 0.1 uSv/h
//
// The 41st draw and every 75th after it comes from a vial that has settled, and
// yields 15 points less. In the 18th case and every 50th after it a reading was
// slipped and corrected; in the 61st and every 90th after it nobody read the
// vial after the draw.
//
// # Domain of validity
//
// Plausible to look at, and with known answers: nothing else.
//
// Worked example: of a thousand draws the mean yield is 92.6 %: (92 + 93.5 +
// 93)/3 % = 92.83 %, less 15 points in 13 of them.
package invented

import (
	"fmt"
	"iter"
	"math"
	"math/rand/v2"
	"regexp"
	"strings"
	"time"

	"vialwright/casefile"
	"vialwright/fact"
	"vialwright/fold"
	"vialwright/journal"
)

// Header is what stands at the head of every case, in a case file.
const Header = `case: 1
zone: Atlantic/Azores
policy:
  tolerance: 10 %
  limit: 20 %
  label-tolerance: 10 %
  confidence: 95 %
  make-up: [3 mL, 5 mL]
  graduation: 0.1 mL
  draw-yield: {q: 97 %, u: 4 %}
  residual-u: 20 %
  basis: label
  learn: yes
meters:
  - id: M1
    calibration-u: 2 %
    repeatability: 0.8 %
    geometry:
      shipping-vial: {factor: 1, u: 0.5 %, basis: label}
      syringe: {factor: 0.94, u: 2 %, basis: label}
      administration-vial: {factor: 0.98, u: 1 %, basis: label}
      residual-parts: {factor: 0.85, u: 3 %, basis: label}
`

const (
	halfLife    = 64.0417 // h
	calibration = 1.01
	repeat      = 0.008
)

// drawers are who draws, with the mean of what their draws yield.
var drawers = []struct {
	id    string
	yield float64
}{{"NT1", 0.92}, {"RP1", 0.935}, {"RP2", 0.93}}

// Cases gives n finished cases of one order each, the last of them on the day
// before until, each a few days after the one before. The error is that of a
// zone that cannot be loaded.
func Cases(n int, seed uint64, until time.Time, zones fact.Zones) ([][]journal.Record, error) {
	zone, err := zones("Atlantic/Azores")
	if err != nil {
		return nil, err
	}
	g := rand.New(rand.NewPCG(seed, 20270304))
	day := until.In(zone)
	days := make([]time.Time, n)
	for i := n - 1; i >= 0; i-- {
		day = day.AddDate(0, 0, -1-g.IntN(3))
		days[i] = time.Date(day.Year(), day.Month(), day.Day(), 8, 0, 0, 0, zone)
	}
	out := make([][]journal.Record, n)
	for i := range n {
		if out[i], err = one(i, days[i], g, zones); err != nil {
			return nil, fmt.Errorf("invented case %d: %w", i, err)
		}
	}
	return out, nil
}

// Busy gives the finished cases of a network that makes so many on each day from
// one day on, as one journal and without an end of its own: who has enough
// stops. Header is recorded once, a day before the first.
func Busy(from time.Time, perDay int, seed uint64, zones fact.Zones) iter.Seq2[journal.Record, error] {
	return func(yield func(journal.Record, error) bool) {
		zone, err := zones("Atlantic/Azores")
		if err != nil {
			yield(journal.Record{}, err)
			return
		}
		g := rand.New(rand.NewPCG(seed, 20270304))
		year, month, date := from.In(zone).Date()
		head, more := 0, true
		for i := 0; more; i++ {
			day := time.Date(year, month, date+i/perDay, 8, 0, 0, 0, zone)
			c, err := one(i, day, g, zones)
			if err != nil {
				yield(journal.Record{}, fmt.Errorf("invented case %d: %w", i, err))
				return
			}
			placed := onSite(c, head, day.AddDate(0, 0, -1))
			head += len(placed)
			for k := 0; k < len(placed) && more; k++ {
				more = yield(placed[k], nil)
			}
		}
	}
}

// Site gives the same past as the journal of one site: what stands at the head of
// every case is recorded once, a day before the first.
func Site(n int, seed uint64, until time.Time, zones fact.Zones) ([]journal.Record, error) {
	cases, err := Cases(n, seed, until, zones)
	if err != nil || n == 0 {
		return nil, err
	}
	var out []journal.Record
	begin := cases[0][0].Recorded.AddDate(0, 0, -1)
	for _, c := range cases {
		out = append(out, onSite(c, len(out), begin)...)
	}
	return out, nil
}

// onSite gives a case as it stands in the journal of a site behind so many
// records; in an empty one its settings hold from begin on.
func onSite(c []journal.Record, head int, begin time.Time) []journal.Record {
	facts := make([]fact.Fact, len(c))
	for i, r := range c {
		facts[i] = r.Fact
	}
	placed := casefile.Place(facts, head, begin, func(fact.Fact) bool { return head > 0 })
	out := c[len(c)-len(placed):]
	for i, f := range placed {
		if fact.IsSetting(f) {
			out[i].Recorded = begin
		}
		out[i].Fact, out[i].N = f, head+i+1
	}
	return out
}

// vial is one of the two kinds, in GBq and mL.
type vial struct{ label, volume float64 }

// one makes a case on a day.
func one(i int, day time.Time, g *rand.Rand, zones fact.Zones) ([]journal.Record, error) {
	v := vial{3, 5}
	if i%4 == 3 {
		v = vial{5, 8}
	}
	who := drawers[g.IntN(len(drawers))]
	c := story{g: g, day: day, who: who.id, number: fmt.Sprintf("%04d", i+1)}
	prescribed := math.Round(100*(0.8+0.9*g.Float64())*v.label/3) / 100
	c.order(i, prescribed)
	activity := v.label * (1 + 0.03*g.NormFloat64()) * grow(10) // at 08:00; the label is for 18:00
	c.receive(i, v)
	before := activity * decay(1)
	reading := c.reading(before)
	c.read(60, reading)
	wanted := prescribed / 0.97 * grow(5.5-1.2)
	volume := math.Round(10*v.volume*wanted/(0.97*reading/1000)) / 10
	yield := who.yield + 0.025*g.NormFloat64()
	if i%75 == 40 {
		yield -= 0.15
	}
	moved := before * decay(0.2) * yield * (volume + 0.05*(g.Float64()-0.5)) / v.volume
	c.draw(72, volume)
	after := c.reading((before*decay(0.2) - moved) * decay(0.1))
	switch {
	case i%90 == 60: // nobody read it
	case i%50 == 17:
		c.read(78, after*10)
		c.add("correct: {entry: %d, reason: a slipped digit, with: {read: {of: S1, meter: M1, at: %s, gross: %.0f MBq, background: 0.2 MBq}}}", len(c.entries), c.at(78), after)
	default:
		c.read(78, after)
	}
	c.give(volume, moved, i)
	return c.records(zones)
}

func decay(hours float64) float64 { return math.Exp2(-hours / halfLife) }
func grow(hours float64) float64  { return math.Exp2(hours / halfLife) }

// story collects the entries of one case.
type story struct {
	g       *rand.Rand
	day     time.Time
	who     string
	number  string
	entries []string
	by      []string
}

// ownID is an id as the story below writes it.
var ownID = regexp.MustCompile(`\b([SPYA])1\b`)

// add adds an entry. Each case has ids of its own: S1 is S0007 in the seventh.
func (c *story) add(format string, args ...any) {
	c.entries = append(c.entries, ownID.ReplaceAllString(fmt.Sprintf(format, args...), "${1}"+c.number))
	c.by = append(c.by, c.who)
}

func (c *story) at(minutes int) string {
	return c.day.Add(time.Duration(minutes) * time.Minute).Format(time.RFC3339)
}

// reading is what the meter shows of an activity in GBq, in MBq.
func (c *story) reading(gbq float64) float64 {
	return math.Round(1000*gbq*calibration*(1+repeat*c.g.NormFloat64()) + 0.2)
}

func (c *story) read(minutes int, mbq float64) {
	c.add("read: {of: S1, meter: M1, at: %s, gross: %.0f MBq, background: 0.2 MBq}", c.at(minutes), mbq)
}

func (c *story) order(i int, prescribed float64) {
	c.add("order: {id: P1, patient: PAST-%04d, one-identifier: an invented patient, territory: %s, version: \"1\", prescribed: %.2f GBq, at: %s, residual: 3 %%, by: an invented physician}",
		i+1, []string{"right lobe", "left lobe", "segment 4"}[c.g.IntN(3)], prescribed, c.at(330))
}

func (c *story) receive(i int, v vial) {
	c.add("receive: {vial: S1, lot: PAST-%03d, labelled: %g GBq, reference: %s, volume: %g mL, at: %s}", i/5+1, v.label, c.at(600), v.volume, c.at(0))
}

func (c *story) draw(minutes int, volume float64) {
	c.add("agitate: {of: S1, at: %s}", c.at(minutes-1))
	c.add("draw: {from: S1, into: Y1, for: P1, at: %s, volume: %.1f mL, agitated: %s}", c.at(minutes), volume, c.at(minutes-1))
}

// give is the rest of the case: what was drawn goes into an administration
// vial, is given, and the residual is read.
func (c *story) give(volume, moved float64, i int) {
	catheter, f := "straight", 0.026
	if c.g.IntN(3) == 0 {
		catheter, f = "coiled", 0.036
	}
	f *= math.Exp(0.3 * c.g.NormFloat64())
	rate := 140 * moved * decay(0.8) * (1 + 0.01*c.g.NormFloat64())
	rest := rate * f * decay(4.2) * (1 + 0.05*c.g.NormFloat64())
	if volume < 3 {
		c.add("make-up: {of: Y1, at: %s, volume: %.1f mL, diluent: water for injection, lot: W-%d}", c.at(85), 3.2-volume, i/20+1)
	}
	c.add("transfer: {from: Y1, into: A1, for: P1, at: %s}", c.at(90))
	c.add("residual: {for: P1, before: {at: %s, rate: %.1f uSv/h, background: 0.2 uSv/h}}", c.at(120), rate+0.2)
	c.add("infuse: {for: P1, from: A1, start: %s, stop: %s, reason: complete, catheter: %s}", c.at(330), c.at(352), catheter)
	c.add("residual: {for: P1, after: {at: %s, rate: %.1f uSv/h, background: 0.2 uSv/h}}", c.at(372), rest+0.2)
	c.add("discard: {from: S1, into: W%s, at: %s}", c.day.Format("0601"), c.at(395))
	c.add("close: {for: P1, at: %s}", c.at(400))
}

// records are the facts of the case, recorded a minute apart from 08:00 on.
func (c *story) records(zones fact.Zones) ([]journal.Record, error) {
	f, err := casefile.Decode([]byte(Header+"entries:\n  - "+strings.Join(c.entries, "\n  - ")+"\n"), zones)
	if err != nil {
		return nil, err
	}
	if _, err := fold.File(f); err != nil {
		return nil, err
	}
	out := make([]journal.Record, len(f.Facts))
	head := len(f.Facts) - len(c.entries)
	for i, x := range f.Facts {
		by := "RP1"
		if i >= head {
			by = c.by[i-head]
		}
		out[i] = journal.Record{Recorded: c.day.Add(time.Duration(i) * time.Minute), By: by, Fact: x}
	}
	return out, nil
}
