package ledger_test

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"vialwright/ledger"
	"vialwright/nuclide"
	"vialwright/quantity"
)

// known is a half-life of 64.0417 h, give or take an hour.
var known = nuclide.HalfLife{Value: halfLife, U: quantity.Hour}

// TestHalfLifeByHand holds what the half-life brings against the closed form.
func TestHalfLifeByHand(t *testing.T) {
	perHour := math.Ln2 / math.Pow(64.0417, 2) // of an activity, by an hour of T and an hour of decay
	grown := func(hours float64) float64 { return math.Exp2(hours / 64.0417) }
	for _, c := range []struct {
		name  string
		reads []int // minutes at which the vial of 3 GBq is read
		drawn bool  // a draw of 1 GBq before the last of them
		at    int
		want  float64 // MBq
	}{
		{"at the time of its reading", []int{60}, false, 60, 0},
		{"six hours after its reading", []int{60}, false, 420, 3000 * perHour * 6},
		{"eight days after its reading", []int{60}, false, 60 + 8*1440, 3000 / grown(8*24-6) * perHour * 8 * 24},
		{"at the mean of two readings", []int{60, 180}, false, 120, 0},
		{"six hours after the mean of two readings", []int{0, 120}, false, 420, 3000 * perHour * 6},
		{"a draw between readings of its own time", []int{420, 420}, true, 420, 0},
		{"a draw between readings six and two hours before", []int{60, 300}, true, 420, (3000*6 - 2000*2) * perHour},
	} {
		b := newBench(t)
		b.Book = ledger.New(b.when(420), known)
		b.gain, b.vial = b.AddFactor(ledger.Factor{Name: "M1 calibration", Value: 1, U: 0.02}), b.AddFactor(ledger.Factor{Name: "M1 vial", Value: 1})
		b.receive("S1", 3e9)
		amount := func(bal *ledger.Balances) ledger.Amount { return bal.Now("S1") }
		held := 3e9
		for i, minute := range c.reads {
			if c.drawn && i == len(c.reads)-1 {
				b.open("Y1", ledger.Syringe, minute)
				b.mv(ledger.Movement{From: "S1", To: "Y1", Volume: 1, At: b.when(minute)})
				held, amount = 2e9, func(bal *ledger.Balances) ledger.Amount { return bal.Now("Y1") }
			}
			b.at("S1", minute, held, quantity.LabelBasis, b.vial)
		}
		bal := b.reconcile()
		a, at := amount(bal), b.when(c.at)
		got := math.Abs(bal.ByHalfLife(a, at).MBq())
		// Readings without scatter: what is left is the step by which the fit stops, and
		// the weights of two readings, which differ by their resolution.
		if math.Abs(got-c.want) > 1e-4*c.want+1e-3 {
			t.Errorf("%s: %.6g MBq of the half-life, want %.6g", c.name, got, c.want)
		}
		_, u := bal.Activity(a, at)
		bare := b.rest(c.at, a, bal)
		if want := math.Hypot(bare, c.want); math.Abs(float64(u)/1e6-want) > 1e-4*want {
			t.Errorf("%s: u is %.6g MBq, want %.6g", c.name, float64(u)/1e6, want)
		}
	}
}

// rest is the standard uncertainty of an amount but for its half-life, in MBq: that of its
// parts and of the common factors.
func (b *bench) rest(minute int, a ledger.Amount, bal *ledger.Balances) float64 {
	sum := math.Pow(float64(bal.Common(a, b.when(minute)))/1e6, 2)
	for _, p := range bal.Parts(a) {
		d := decayFactor(b.when(minute).Sub(p.At).Seconds())
		sum += math.Pow(p.Weight*float64(p.U)/p.Factor*d/1e6, 2)
	}
	return math.Sqrt(sum)
}

// TestHalfLifeMonteCarlo draws a half-life, what the factors were and what was read, and compares how
// far the figures lie from what there was with what is said of it (propagation of
// distributions, JCGM 101:2008): 4000 trials know a standard deviation to 1.1 %; 5 % is allowed. The vial is
// read two days and half a day before its draw, and once after, a day later.
func TestHalfLifeMonteCarlo(t *testing.T) {
	const trials = 4000
	rnd := rand.New(rand.NewPCG(5, 9))
	wide := nuclide.HalfLife{Value: halfLife, U: 3 * quantity.Hour}
	var off, said, without [3]float64
	for range trials {
		b := newBench(t)
		b.Book = ledger.New(b.when(420), wide)
		b.gain, b.vial = b.AddFactor(ledger.Factor{Name: "M1 calibration", Value: 1, U: 0.02}), b.AddFactor(ledger.Factor{Name: "M1 vial", Value: 1})
		k, T := 1+0.02*rnd.NormFloat64(), 64.0417+3*rnd.NormFloat64()
		held := func(x float64, minute int) float64 { return x * math.Exp2(-float64(minute-4320)/60/T) } // x at three days
		read := func(x float64, minute int) {
			b.entry++
			y := held(x, minute) * k * (1 + b.rel*rnd.NormFloat64())
			must(t, b.Read(ledger.Reading{Entry: b.entry, Of: "S1", At: b.when(minute), Net: quantity.Activity(y), Relative: b.rel, Gain: b.gain, Geometry: b.vial, Basis: quantity.LabelBasis}))
		}
		b.receive("S1", 3e9)
		read(3e9, 1440)
		read(3e9, 3600)
		b.open("Y1", ledger.Syringe, 4320)
		draw := b.mv(ledger.Movement{From: "S1", To: "Y1", Volume: 2.2, At: b.when(4320)})
		read(1.7e9, 5760)
		bal := b.reconcile()
		dose, before, _ := bal.Moved(draw)
		for i, x := range []struct {
			a      ledger.Amount
			true   float64
			minute int
		}{{dose, held(1.3e9, 5000), 5000}, {before, held(3e9, 420), 420}, {bal.Now("S1"), held(1.7e9, 10000), 10000}} {
			y, u := bal.Activity(x.a, b.when(x.minute))
			h := bal.ByHalfLife(x.a, b.when(x.minute))
			off[i] += math.Pow(y.MBq()-x.true/1e6, 2)
			said[i] += math.Pow(u.MBq(), 2)
			without[i] += math.Pow(u.MBq(), 2) - math.Pow(h.MBq(), 2)
		}
	}
	for i := range off {
		scatter, u := math.Sqrt(off[i]/trials), math.Sqrt(said[i]/trials)
		t.Logf("scatter %.4g MBq, u %.4g, without the half-life %.4g", scatter, u, math.Sqrt(without[i]/trials))
		if math.Abs(scatter/u-1) > 0.05 || scatter/math.Sqrt(without[i]/trials) < 1.1 {
			t.Errorf("figure %d scatters by %.4g MBq, and its u is %.4g, without the half-life %.4g", i, scatter, u, math.Sqrt(without[i]/trials))
		}
	}
}

// TestHalfLifeAgainstFittingAgain moves the half-life of random ledgers and fits them whole
// again with gonum's dense least squares: every balance and every pair of them moves as is
// said, on either side of the epoch.
func TestHalfLifeAgainstFittingAgain(t *testing.T) {
	const step = 1e-4 // relative, of the half-life
	moved := 0
	for seed := range uint64(100) {
		w := randomTwinOf(seed, known)
		bal, err := ledger.Reconcile(w.book)
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		with := func(scale float64) []float64 {
			for i := range w.rows {
				w.rows[i].decay = math.Pow(w.rows[i].decay, 1/scale)
			}
			x, _, _ := w.dense(t)
			for i := range w.rows {
				w.rows[i].decay = math.Pow(w.rows[i].decay, scale)
			}
			return x
		}
		more, less := with(1+step), with(1-step)
		for _, hours := range []float64{-30, 0, 8, 192} {
			at := w.epoch.Add(time.Duration(hours * float64(time.Hour)))
			slope := map[string]float64{}
			for _, id := range w.names {
				up, down := 0.0, 0.0
				for j, c := range w.content[id] {
					up += c * more[j]
					down += c * less[j]
				}
				up *= math.Exp2(-hours / 64.0417 / (1 + step))
				down *= math.Exp2(-hours / 64.0417 / (1 - step))
				slope[id] = (up - down) / (2 * step * 64.0417) // Bq by an hour of half-life
				got := float64(bal.ByHalfLife(bal.Now(id), at))
				if math.Abs(got-slope[id]) > 1e-3*math.Abs(slope[id])+2e3 {
					t.Errorf("seed %d %s at %g h: %.8g Bq, fitted again %.8g", seed, id, hours, got, slope[id])
				}
				moved++
			}
			for i, id := range w.names[1:] {
				other := w.names[i]
				a, c := bal.Now(id), bal.Now(other)
				got := float64(bal.ByHalfLife(a.Minus(c), at))
				if want := slope[id] - slope[other]; math.Abs(got-want) > 1e-3*math.Abs(want)+4e3 {
					t.Errorf("seed %d %s less %s at %g h: %.8g Bq, fitted again %.8g", seed, id, other, hours, got, want)
				}
			}
		}
	}
	if moved < 1000 {
		t.Errorf("only %d balances were compared", moved)
	}
}
