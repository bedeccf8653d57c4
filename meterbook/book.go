package meterbook

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"vialwright/dispensing"
	"vialwright/fact"
	"vialwright/fold"
	"vialwright/meter"
	"vialwright/quantity"
)

// Finding is something that is wrong with an instrument or a source.
type Finding struct {
	Code     dispensing.Code
	Severity dispensing.Severity
	// Of is the instrument, or the source.
	Of string
	// At is since when.
	At    time.Time
	Entry int    // the number of its entry, 0 for none
	Text  string // one sentence
	Hint  string // the way out
}

// Verdict is what a test came to.
type Verdict string

// The verdicts. Unjudged is a test that nothing could be made of.
const (
	Good     Verdict = "good"
	Warned   Verdict = "warned"
	Bad      Verdict = "bad"
	Unjudged Verdict = "unjudged"
)

// Test is one test with what it came to.
type Test struct {
	*fact.MeterTest
	Entry   int // the number of its entry
	Verdict Verdict
	// Says is what it came to, in one sentence.
	Says string
	// Deviation is the departure that was held against Limit; the largest, of several.
	Deviation, U quantity.Fraction
	Limit        Limit
	// Expected and Net, the mean of the readings, are in the unit of the reading, Unit: Bq,
	// uSv/h or cps. Range is how far the readings lie apart, of their mean.
	Expected, Net float64
	Unit          string
	Range         quantity.Fraction
	// Low and High bound the readings that a good test of linearity was made with, by sleeves
	// too, those of a counter in its own unit; 0 for other tests.
	Low, High quantity.Activity
	// series is what it is charted with, read the mean as a reading.
	series string
	read   meter.Reading
}

// Instrument is one instrument with all that is known of it.
type Instrument struct {
	ID string
	// Now is what it is at the moment of the book; nil where only tests name it.
	Now          *fact.Instrument
	Versions     []fold.Version[*fact.Instrument]
	Tests        []Test
	Calibrations []fold.Version[*fact.Calibration]
	Series       []Series
	Due          []Due
}

// Book is the book of a site as of a moment.
type Book struct {
	Zone        *time.Location
	At          time.Time
	Rules       Rules
	Instruments []*Instrument
	Sources     map[string][]fold.Version[*fact.CheckSource]
	// DueSources are the leak tests.
	DueSources []Due
	// Findings are in the order of time.
	Findings []Finding
}

// Of draws the book of entries as of a moment. Entries of other kinds may be among
// them: readings tell where an instrument was used, see [Uses].
func Of(entries []fold.Entry, r Rules, zone *time.Location, at time.Time) *Book {
	b := &Book{Zone: cmp.Or(zone, time.UTC), At: at, Rules: r, Sources: map[string][]fold.Version[*fact.CheckSource]{}}
	for _, e := range entries {
		switch x := e.Fact.(type) {
		case *fact.Instrument:
			i := b.instrument(x.ID)
			i.Versions = append(i.Versions, fold.Version[*fact.Instrument]{Entry: e.Number, Fact: x})
		case *fact.CheckSource:
			b.Sources[x.ID] = append(b.Sources[x.ID], fold.Version[*fact.CheckSource]{Entry: e.Number, Fact: x})
		case *fact.Calibration:
			i := b.instrument(x.Of)
			i.Calibrations = append(i.Calibrations, fold.Version[*fact.Calibration]{Entry: e.Number, Fact: x})
		case *fact.MeterTest:
			i := b.instrument(x.Of)
			i.Tests = append(i.Tests, Test{MeterTest: x, Entry: e.Number})
		}
	}
	for _, list := range b.Sources {
		fold.ByTime(list)
	}
	slices.SortFunc(b.Instruments, func(x, y *Instrument) int { return cmp.Compare(x.ID, y.ID) })
	for _, i := range b.Instruments {
		b.draw(i)
	}
	b.leaks()
	b.Findings = b.With(Uses(entries))
	return b
}

// Kept tells the facts that the book is drawn from, and corrections, which may be of
// them.
func Kept(f fact.Fact) bool {
	switch f.(type) {
	case *fact.Instrument, *fact.CheckSource, *fact.MeterTest, *fact.Calibration, *fact.Correct, *fact.PointReading, *fact.ParcelSurvey, *fact.BinReading, *fact.ReleaseBin:
		return true
	}
	return false
}

// Find is the instrument of an id; nil for none.
func (b *Book) Find(id string) *Instrument {
	if n := slices.IndexFunc(b.Instruments, func(i *Instrument) bool { return i.ID == id }); n >= 0 {
		return b.Instruments[n]
	}
	return nil
}

func (b *Book) instrument(id string) *Instrument {
	if i := b.Find(id); i != nil {
		return i
	}
	i := &Instrument{ID: id}
	b.Instruments = append(b.Instruments, i)
	return i
}

func (b *Book) draw(i *Instrument) {
	fold.ByTime(i.Versions)
	fold.ByTime(i.Calibrations)
	slices.SortStableFunc(i.Tests, func(x, y Test) int { return x.At.Compare(y.At) })
	i.Now = i.As(b.At)
	for n := range i.Tests {
		b.judge(i, n)
	}
	b.bases(i)
	b.chart(i)
	b.lapses(i)
	b.due(i)
}

// As is what an instrument was at a moment; nil before it was in the books.
func (i *Instrument) As(at time.Time) *fact.Instrument {
	x, _ := fold.InForce(i.Versions, at)
	return x
}

// Source is a check source as it was at a moment; nil where none was in the books.
func (b *Book) Source(id string, at time.Time) *fact.CheckSource {
	x, _ := fold.InForce(b.Sources[id], at)
	return x
}

// Calibration is the one of an instrument for a kind of container that held at a moment,
// for a fill where v is not 0 and on a basis where one is named; nil for none.
func (i *Instrument) Calibration(container string, v quantity.Volume, basis quantity.Basis, at time.Time) *fact.Calibration {
	of := slices.DeleteFunc(slices.Clone(i.Calibrations), func(c fold.Version[*fact.Calibration]) bool {
		f := c.Fact.Fill
		return c.Fact.Container != container || basis != "" && c.Fact.Basis != basis || f != nil && v > 0 && (v < f.Min.Value || v > f.Max.Value)
	})
	x, _ := fold.InForce(of, at)
	return x
}

// Last is the newest test of an instrument that is one; nil for none.
func (i *Instrument) Last(is func(*Test) bool) *Test {
	for n := range slices.Backward(i.Tests) {
		if t := &i.Tests[n]; is(t) {
			return t
		}
	}
	return nil
}

// LastOfEach are the newest tests of an instrument of each kind.
func (i *Instrument) LastOfEach() (out []*Test) {
	for _, kind := range fact.Tests() {
		if t := i.Last(func(t *Test) bool { return t.Test == kind }); t != nil {
			out = append(out, t)
		}
	}
	return out
}

func (b *Book) found(f Finding) { b.Findings = append(b.Findings, f) }

// finds adds one of a test of an instrument.
func (b *Book) finds(i *Instrument, t *Test, s dispensing.Severity, code dispensing.Code, hint, text string, args ...any) {
	b.found(Finding{code, s, i.ID, t.At, t.Entry, fmt.Sprintf(text, args...), hint})
}

// day is a calendar day in the zone of the site.
func (b *Book) day(t time.Time) string { return t.In(b.Zone).Format(time.DateOnly) }

// On is a day as it is said.
func (b *Book) On(t time.Time) string { return t.In(b.Zone).Format("2 Jan 2006") }
