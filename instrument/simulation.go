package instrument

import (
	"math"
	"math/rand/v2"
	"strconv"
	"time"

	"vialwright/quantity"
)

// Simulation is an activity meter that does not exist: an invented instrument
// for demonstrations and tests, like no meter on the market. A sample is put
// in at one instant; what the display then shows is
//
//	S(t) = A · 2^(-t/T)                         the sample, t after it was put in
//	y(t) = (B + S(t) · (1 - e^(-t/tau))) · (1 + r·z)
//
// with background B, relative repeatability r, z a standard normal deviate,
// and tau = settling time / ln 1000, so that the display is within 0.1 % of
// its end value when it is flagged stable. Before t = 0 it shows the
// background. It never shows less than 0. The deviate follows from the seed
// and the number of the reading alone.
type Simulation struct {
	Activity      quantity.Activity // A, Bq: of the sample when it is put in; 0 or more
	In            time.Time         // when the sample is put in
	HalfLife      quantity.Span     // T, s; above 0
	Background    quantity.Activity // B, Bq; 0 or more
	Repeatability quantity.Fraction // r, relative standard deviation of one reading; 0 to 0.5
	Settling      quantity.Span     // s; 0 or more
	Unit          string            // in which it displays, one of quantity.Units
	Decimals      int               // digits after the decimal mark, 0 to 9
	Nuclide       string            // the setting it shows, where the line has {nuclide}
	Serial        string            // the serial number it shows, where the line has {serial}
	Seed          uint64
}

// settled is how near to its end value the display is when it is flagged
// stable.
const settled = 1e-3

// True gives the sample's activity at an instant, in Bq: 0 before it is put
// in, and without background, noise and settling.
func (s Simulation) True(at time.Time) quantity.Activity {
	if at.Before(s.In) {
		return 0
	}
	return s.Activity * quantity.Activity(math.Exp2(-at.Sub(s.In).Seconds()/float64(s.HalfLife)))
}

// Read gives the reading of that number at an instant. The digits are those
// displayed; Raw is empty, since no line was written yet. An *Error with
// CodeSimulation says which setting cannot be.
func (s Simulation) Read(number uint64, at time.Time) (Reading, error) {
	if err := s.check(); err != nil {
		return Reading{}, err
	}
	one, err := quantity.Parse[quantity.Activity]("1 " + s.Unit)
	if err != nil {
		return Reading{}, refuse(CodeSimulation, "", 0, "the simulated display has no such unit: "+err.Error(), "write one like MBq")
	}
	since, risen := at.Sub(s.In).Seconds(), 1.0
	if t := float64(s.Settling); t > 0 {
		// 1 - e^(-t/tau), tau = settling / ln 1000
		risen = -math.Expm1(math.Log(settled) * max(0, since) / t)
	}
	z := rand.New(rand.NewPCG(s.Seed, number)).NormFloat64()
	y := (float64(s.Background) + float64(s.True(at))*risen) * (1 + float64(s.Repeatability)*z)
	shown, err := quantity.Parse[quantity.Activity](strconv.FormatFloat(max(0, y)/float64(one.Value), 'f', s.Decimals, 64) + " " + s.Unit)
	if err != nil {
		return Reading{}, err
	}
	r := Reading{Activity: shown, State: Stable, Nuclide: s.Nuclide, Serial: s.Serial}
	if since >= 0 && since < float64(s.Settling) {
		r.State = Unstable
	}
	return r, nil
}

// Line gives the same reading as the line of the meter described, without its
// ending. A line that Parse would not read back to the same digits, unit,
// state, nuclide and serial number is refused.
func (s Simulation) Line(p *Parser, number uint64, at time.Time) ([]byte, error) {
	r, err := s.Read(number, at)
	if err != nil {
		return nil, err
	}
	return p.print(r)
}

func (s Simulation) check() *Error {
	no := func(what, hint string) *Error { return refuse(CodeSimulation, "", 0, what, hint) }
	finite := func(x float64) bool { return x >= 0 && !math.IsInf(x, 1) }
	switch {
	case !finite(float64(s.Activity)) || !finite(float64(s.Background)):
		return no("the simulated activity and background are 0 or more", "give both with their unit")
	case !(s.HalfLife > 0):
		return no("the half-life of the simulated sample is above 0", "give it with its unit, like 64 h")
	case !(s.Repeatability >= 0 && s.Repeatability <= 0.5):
		return no("the simulated repeatability is 0 % to 50 %", "a good meter has less than 1 %")
	case !finite(float64(s.Settling)):
		return no("the simulated settling time is 0 or more", "give it with its unit, like 5 s")
	case s.Decimals < 0 || s.Decimals > 9:
		return no("the simulated display has 0 to 9 decimals", "give a number like 2")
	}
	return nil
}
