package slip_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"time"

	"vialwright/ledger"
	"vialwright/nuclide"
	"vialwright/quantity"
	"vialwright/slip"
)

const halfLife = 64.0417 * quantity.Hour

var noon = time.Date(2027, 3, 4, 12, 0, 0, 0, time.UTC)

// entry is what a person wrote, and world the entries of one morning. The truth
// behind them is in the generator alone.
type entry struct {
	kind      string // receive, read, draw, transfer
	id, into  string // of, from, vial
	at        time.Time
	activity  string
	volume    string
	reference time.Time
	// gross and background are what the meter showed.
	background quantity.Activity
	// truth is what a draw carried of what its volume would have held.
	truth float64
}

type world struct {
	rng     *rand.Rand
	entries []entry
	minute  int
	unit    string
	k, s    float64 // the meter's true calibration and its factor for a syringe
	held    map[string]float64
	volume  map[string]float64
}

const (
	repeatability = 0.008
	background    = 0.3 * quantity.MegaBecquerel
	calibrationU  = 0.02
	geometryU     = 0.01
	yieldU        = 0.05
)

func decayed(at time.Time) float64 {
	return math.Exp2(-at.Sub(noon).Seconds() / float64(halfLife))
}

// honest is a morning of books that are harder than the model: yields scatter
// twice as far as it says, labels are off by up to 15 %, and 2 % of the
// readings scatter three times as far as the meter's repeatability.
func honest(seed uint64) *world {
	rng := rand.New(rand.NewPCG(seed, 9))
	w := &world{rng: rng, held: map[string]float64{}, volume: map[string]float64{}}
	w.unit = []string{"GBq", "MBq", "mCi"}[rng.IntN(3)]
	w.k, w.s = 1+calibrationU*rng.NormFloat64(), 1+geometryU*rng.NormFloat64()
	vials, draws, replicates := 1+rng.IntN(3), 1+rng.IntN(4), rng.IntN(3)
	for v := range vials {
		w.vial(v, draws, replicates)
	}
	if rng.IntN(2) == 0 { // at the end all that still holds something is read
		var ids []string
		for _, x := range w.entries {
			for _, id := range []string{x.id, x.into} {
				if w.held[id] > 0 && !slices.Contains(ids, id) {
					ids = append(ids, id)
				}
			}
		}
		for _, id := range ids {
			w.read(id, 1)
		}
	}
	return w
}

func (w *world) vial(v, draws, replicates int) {
	id := fmt.Sprint("S", v+1)
	label := 2 + 0.1*float64(w.rng.IntN(21))
	w.held[id] = label * 1e9 * (1 + 0.15*(2*w.rng.Float64()-1))
	w.volume[id] = 5
	w.entries = append(w.entries, entry{kind: "receive", id: id, at: noon.Add(-10 * time.Hour), activity: fmt.Sprintf("%.1f GBq", label), volume: "5.0 mL", reference: noon})
	w.read(id, 1+replicates)
	for d := range draws {
		y := fmt.Sprintf("Y%d%d", v+1, d+1)
		v := 0.1 * math.Round(10*w.volume[id]*(0.15+0.35*w.rng.Float64()))
		if v < 0.3 {
			break
		}
		q := max(0.4, min(1.6, 1+2*yieldU*w.rng.NormFloat64()))
		share := min(0.98, q*v/w.volume[id])
		w.entries = append(w.entries, entry{kind: "draw", id: id, into: y, at: w.now(), volume: fmt.Sprintf("%.1f mL", v), truth: q})
		w.held[y] = share * w.held[id]
		w.held[id] -= w.held[y]
		w.volume[id], w.volume[y] = w.volume[id]-v, v
		w.read(id, 1+replicates)
		if w.rng.IntN(2) == 0 {
			w.read(y, 1)
		}
		if w.rng.IntN(3) == 0 {
			a := "A" + y[1:]
			w.entries = append(w.entries, entry{kind: "transfer", id: y, into: a, at: w.now()})
			w.held[a], w.volume[a] = w.held[y], w.volume[y]
			delete(w.held, y)
			if w.rng.IntN(2) == 0 {
				w.read(a, 1)
			}
		}
	}
}

func (w *world) now() time.Time {
	w.minute += 2 + w.rng.IntN(6)
	return noon.Add(time.Duration(w.minute-120) * time.Minute)
}

func (w *world) read(id string, times int) {
	for range times {
		at := w.now()
		sd := repeatability
		if w.rng.Float64() < 0.02 {
			sd *= 3
		}
		net := w.held[id] * decayed(at) * w.k * (1 + sd*w.rng.NormFloat64())
		if id[0] != 'S' {
			net *= w.s
		}
		w.entries = append(w.entries, entry{kind: "read", id: id, at: at, activity: display(net+float64(background), w.unit), background: background})
	}
}

// display is an activity as the meter shows it.
func display(a float64, unit string) string {
	switch unit {
	case "GBq":
		return fmt.Sprintf("%.3f GBq", a/1e9)
	case "MBq":
		return fmt.Sprintf("%.0f MBq", a/1e6)
	}
	return fmt.Sprintf("%.2f mCi", a/37e6)
}

func activity(text string) quantity.Activity {
	s, err := quantity.Parse[quantity.Activity](text)
	if err != nil {
		panic(err)
	}
	return s.Value
}

func volume(text string) quantity.Volume {
	s, err := quantity.Parse[quantity.Volume](text)
	if err != nil {
		panic(err)
	}
	return s.Value
}

// stepOf is the last digit of a display.
func stepOf(unit string) quantity.Activity {
	return map[string]quantity.Activity{"GBq": 1e6, "MBq": 1e6, "mCi": 0.37e6}[unit]
}

// books enters everything in the order of the times written. An entry that the
// books refuse (a slip that shows at once) makes them nil.
func (w *world) books() (slip.Books, error) { return write(w.entries, w.unit) }

func write(entries []entry, unit string) (slip.Books, error) {
	b := ledger.New(noon, nuclide.HalfLife{Value: halfLife})
	gain := b.AddFactor(ledger.Factor{Name: "M1 calibration", Value: 1, U: calibrationU})
	vial := b.AddFactor(ledger.Factor{Name: "M1 vial", Value: 1})
	small := b.AddFactor(ledger.Factor{Name: "M1 syringe", Value: 1, U: geometryU})
	out := slip.Books{Book: b, Typed: map[int]slip.Typed{}}
	order := make([]int, len(entries))
	for i := range order {
		order[i] = i
	}
	sortByTime(order, entries)
	for _, i := range order {
		x, n := entries[i], i+1
		if err := enter(b, x, n, unit, gain, map[bool]ledger.FactorID{true: vial, false: small}[x.id[0] == 'S']); err != nil {
			return out, err
		}
		t := slip.Typed{Activity: x.activity, Volume: x.volume, Usual: background}
		if x.kind == "read" {
			t.Gross, t.Background = activity(x.activity), x.background
		}
		out.Typed[n] = t
	}
	return out, nil
}

func sortByTime(order []int, entries []entry) {
	for i := range order {
		for j := i; j > 0 && entries[order[j]].at.Before(entries[order[j-1]].at); j-- {
			order[j], order[j-1] = order[j-1], order[j]
		}
	}
}

func enter(b *ledger.Book, x entry, n int, unit string, gain, geometry ledger.FactorID) error {
	switch x.kind {
	case "receive":
		if err := b.Open(ledger.Container{ID: x.id, Kind: ledger.ShippingVial}, x.at); err != nil {
			return err
		}
		a := activity(x.activity)
		return b.Move(ledger.Movement{Entry: n, To: x.id, At: x.at, Volume: volume(x.volume), Label: a, LabelU: a / 17.320508, Reference: x.reference})
	case "read":
		gross := activity(x.activity)
		return b.Read(ledger.Reading{
			Entry: n, Of: x.id, At: x.at, Net: gross - x.background, Relative: repeatability, Background: 0.008 * background,
			Floor: stepOf(unit) / 3.4641, Gain: gain, Geometry: geometry, Basis: quantity.LabelBasis,
		})
	}
	kind, whole, v := ledger.Syringe, x.kind == "transfer", quantity.Volume(0)
	if whole {
		kind = ledger.AdministrationVial
	} else {
		v = volume(x.volume)
	}
	if _, ok := b.Container(x.into); !ok {
		if err := b.Open(ledger.Container{ID: x.into, Kind: kind}, x.at); err != nil {
			return err
		}
	}
	return b.Move(ledger.Movement{Entry: n, From: x.id, To: x.into, At: x.at, Whole: whole, Volume: v, Yield: ledger.Share{Value: 1, U: yieldU}})
}

// redo makes the morning again with one draw done otherwise than written.
func (w *world) redo(rng *rand.Rand, i int, k slip.Kind) (put, bool) {
	x := w.entries[i]
	p := put{entry: i + 1, datum: ledger.VolumeDatum, kind: k}
	from, into, times := x.id, x.into, 1.0
	switch k {
	case slip.NothingMoved:
		times = 0
	case slip.MovedTwice:
		times = 2
	case slip.OtherSource:
		for _, y := range w.entries[:i] {
			if y.kind == "receive" && y.id != x.id {
				from = y.id
			}
		}
		p.place = from
	case slip.OtherTarget:
		for _, y := range w.entries[:i] {
			if y.kind == "draw" && y.id == x.id {
				into = y.into
			}
		}
		p.place = into
	}
	if p.place == x.id || p.place == x.into {
		return p, false
	}
	return p, w.replay(i, from, into, times)
}

// tank holds activity and liquid.
type tank struct{ a, v float64 }

// flow moves a volume of which the activity is q times what it would hold.
func flow(h map[string]tank, from, into string, v, q float64) bool {
	s, t := h[from], h[into]
	if s.v <= 0 || v > s.v+1e-6 {
		return false
	}
	x := min(0.98, q*v/s.v) * s.a
	if q < 0 { // all of it
		v, x = s.v, s.a
	}
	h[from], h[into] = tank{s.a - x, s.v - v}, tank{t.a + x, t.v + v}
	return true
}

// replay reads every container anew, with movement i as it truly was.
func (w *world) replay(i int, from, into string, times float64) bool {
	is, was := map[string]tank{}, map[string]tank{}
	for j := range w.entries {
		x, ok := &w.entries[j], true
		switch x.kind {
		case "receive":
			is[x.id] = tank{float64(activity(x.activity)), 5}
			was[x.id] = is[x.id]
		case "transfer":
			ok = flow(was, x.id, x.into, 0, -1) && (is[x.id].v == 0 || flow(is, x.id, x.into, 0, -1))
		case "draw":
			v := float64(volume(x.volume))
			if j != i {
				ok = flow(was, x.id, x.into, v, x.truth) && flow(is, x.id, x.into, v, x.truth)
			} else {
				ok = flow(was, x.id, x.into, v, x.truth) && flow(is, from, into, v*times, x.truth)
			}
		case "read":
			net := float64(activity(x.activity)-x.background) * is[x.id].a / was[x.id].a
			x.activity = display(net+float64(background), w.unit)
		}
		if !ok {
			return false
		}
	}
	return true
}
