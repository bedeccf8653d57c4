package ledger_test

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"vialwright/ledger"
	"vialwright/nuclide"
	"vialwright/quantity"
)

// twin is a ledger beside a plain restatement of it: every container's
// content as a dense row over the movements, kept by the generator itself.
type twin struct {
	book    *ledger.Book
	rng     *rand.Rand
	epoch   time.Time
	minute  int
	entry   int
	truth   []float64 // epoch activity of each movement, Bq
	content map[string][]float64
	rows    []twinRow
	factors []ledger.Factor
	gains   []ledger.FactorID
	geoms   []ledger.FactorID
	names   []string
}

type twinRow struct {
	coef       []float64
	y          float64
	rel, floor float64
	bg         float64
	decay      float64
	gain, geom int
	entry      int
}

func newTwin(seed uint64, meters int, of nuclide.HalfLife) *twin {
	w := &twin{rng: rand.New(rand.NewPCG(seed, 1)), epoch: time.Date(2027, 3, 4, 19, 0, 0, 0, time.UTC), content: map[string][]float64{}}
	w.book = ledger.New(w.epoch, of)
	for m := range meters {
		g := ledger.Factor{Name: fmt.Sprint("gain ", m), Value: 1, U: 0.01 + 0.02*w.rng.Float64()}
		s := ledger.Factor{Name: fmt.Sprint("geometry ", m), Value: 0.95 + 0.1*w.rng.Float64(), U: 0.01 * w.rng.Float64()}
		if w.rng.IntN(4) == 0 {
			s.U = 0
		}
		w.factors = append(w.factors, g, s)
		w.gains = append(w.gains, w.book.AddFactor(g))
		w.geoms = append(w.geoms, w.book.AddFactor(s))
	}
	return w
}

func (w *twin) now() time.Time { return w.epoch.Add(time.Duration(w.minute-600) * time.Minute) }

func (w *twin) next() int { w.entry++; w.minute += 1 + w.rng.IntN(5); return w.entry }

func (w *twin) open(id string, k ledger.Kind) {
	if err := w.book.Open(ledger.Container{ID: id, Kind: k}, w.now()); err != nil {
		panic(err)
	}
	w.content[id] = nil
	w.names = append(w.names, id)
}

func (w *twin) at(id string, j int) float64 {
	if j < len(w.content[id]) {
		return w.content[id][j]
	}
	return 0
}

func (w *twin) bump(id string, j int, by float64) {
	for len(w.content[id]) <= j {
		w.content[id] = append(w.content[id], 0)
	}
	w.content[id][j] += by
}

// held is the true content of a container at the epoch.
func (w *twin) held(id string) float64 {
	s := 0.0
	for j, c := range w.content[id] {
		s += c * w.truth[j]
	}
	return s
}

func (w *twin) move(from, to string, activity float64, volume quantity.Volume) {
	m := ledger.Movement{Entry: w.next(), At: w.now(), From: from, To: to, Volume: volume}
	if from == "" {
		m.Label, m.LabelU, m.Reference = quantity.Activity(activity), quantity.Activity(activity/17), w.epoch
	}
	if err := w.book.Move(m); err != nil {
		panic(err)
	}
	j := len(w.truth)
	w.truth = append(w.truth, activity)
	w.bump(to, j, 1)
	if from != "" {
		w.bump(from, j, -1)
	}
}

func (w *twin) read(id string, meter int) {
	rel := 0.003 + 0.01*w.rng.Float64()
	w.next()
	decay := decayFactor(w.now().Sub(w.epoch).Seconds())
	g, s := w.factors[2*meter], w.factors[2*meter+1]
	y := w.held(id) * decay * g.Value * s.Value * (1 + rel*w.rng.NormFloat64())
	r := ledger.Reading{Entry: w.entry, Of: id, At: w.now(), Net: quantity.Activity(y), Relative: rel, Background: 2e3, Floor: 1e5, Gain: w.gains[meter], Geometry: w.geoms[meter], Basis: quantity.LabelBasis}
	if err := w.book.Read(r); err != nil {
		panic(err)
	}
	w.rows = append(w.rows, twinRow{append([]float64(nil), w.content[id]...), y, rel, 1e5, 2e3, decay, 2 * meter, 2*meter + 1, w.entry})
}

// vial receives one and draws from it, with readings that determine all.
func (w *twin) vial(i, meters int) {
	id := fmt.Sprint("S", i)
	w.open(id, ledger.ShippingVial)
	w.move("", id, 2e9+2e9*w.rng.Float64(), 5)
	repeat := func() {
		for range 1 + w.rng.IntN(3) {
			w.read(id, w.rng.IntN(meters))
		}
	}
	repeat()
	for d := range w.rng.IntN(4) {
		y := fmt.Sprint("Y", i, "-", d)
		w.open(y, ledger.Syringe)
		w.move(id, y, w.held(id)*(0.1+0.4*w.rng.Float64()), 1)
		repeat()
		if w.rng.IntN(3) == 0 {
			w.read(y, w.rng.IntN(meters))
		}
		if w.rng.IntN(3) == 0 {
			w.move(y, id, w.held(y)*0.3, 0.2)
			repeat()
		}
	}
}

func randomTwin(seed uint64) *twin { return randomTwinOf(seed, nuclide.HalfLife{Value: halfLife}) }

func randomTwinOf(seed uint64, of nuclide.HalfLife) *twin {
	meters := 1 + int(seed%3)
	w := newTwin(seed, meters, of)
	for i := range 1 + w.rng.IntN(4) {
		w.vial(i, meters)
	}
	return w
}

func TestTwinIsItselfBalanced(t *testing.T) {
	w := randomTwin(7)
	for j := range w.truth {
		sum := 0.0
		for _, id := range w.names {
			sum += w.at(id, j)
		}
		if sum != 0 && sum != 1 {
			t.Fatalf("movement %d adds up to %g over all containers", j, sum)
		}
	}
}
