package uncertainty

import (
	"math"
	"strconv"
	"sync"
	"sync/atomic"
)

// Model is a measurement model worked out for many trials at a time:
// in[i][t] is the value of input i in trial t, and out[t] takes the output. The
// columns are short enough to stay in the processor's nearest memory. It may
// overwrite in, must not keep it, and is called by several goroutines at once.
type Model func(in [][]float64, out []float64)

// Each makes a [Model] of a function of one trial's inputs, which must not keep
// its argument and is called by several goroutines at once.
func Each(f func(in []float64) float64) Model {
	return func(in [][]float64, out []float64) {
		row := make([]float64, len(in))
		for t := range out {
			for i := range in {
				row[i] = in[i][t]
			}
			out[t] = f(row)
		}
	}
}

// Run says how long and from where a simulation runs.
type Run struct {
	Trials  int    // number of Monte Carlo trials M; at least 2
	Seed    uint64 // same seed, same result to the last bit
	Workers int    // goroutines, usually runtime.GOMAXPROCS(0); below 1 counts as 1. Never changes the result
}

// blockSize trials are drawn, worked out and summed together, from a stream of
// their own: ten input columns of 256 doubles fill less than half of a 48 KiB
// level 1 cache.
const blockSize = 256

// Simulate propagates the distributions of the inputs through the model
// (JCGM 101:2008 clause 7): the values of the model in run.Trials independent
// trials stand for the distribution of the output. The inputs' columns come in
// the order of the list. Trials are dealt out in blocks, each with a random
// stream made from the seed and the number of the block alone, so the result does
// not depend on the number of workers.
//
// Errors: too-few trials, bad-distribution, bad-covariance, and not-finite where
// the model gives no finite number in some trial. A panic in the model comes up
// in the caller's goroutine.
func Simulate(model Model, inputs []Input, run Run) (*Sample, error) {
	if run.Trials < 2 {
		return nil, refuse("too-few", "A simulation needs at least two trials.", "A million is usual.")
	}
	s, err := prepare(model, inputs)
	if err != nil {
		return nil, err
	}
	return s.run(run, 0)
}

// simulation is a model with its inputs checked and ready.
type simulation struct {
	model  Model
	fill   []filler
	widths []int
	width  int // columns in all
}

func prepare(model Model, inputs []Input) (*simulation, error) {
	s := &simulation{model: model}
	for _, in := range inputs {
		fill, err := in.prepare()
		if err != nil {
			return nil, err
		}
		s.fill = append(s.fill, fill)
		s.widths = append(s.widths, in.columns())
		s.width += in.columns()
	}
	return s, nil
}

// run makes run.Trials trials in blocks numbered from first.
func (s *simulation) run(run Run, first uint64) (*Sample, error) {
	t := &tally{simulation: s, seed: run.Seed, first: first, out: make([]float64, run.Trials)}
	t.sums = make([]sums, (run.Trials+blockSize-1)/blockSize)
	// The first block says where to put the buckets and the origin of the sums.
	w := t.worker()
	t.evaluate(w, 0)
	t.buckets = bucketsFor(t.block(0), run.Trials)
	t.count(w, 0)
	t.next.Store(1)
	if run.Workers < 2 {
		t.work(w)
	} else {
		t.share(w, min(run.Workers, len(t.sums)))
	}
	if bad := t.firstBad(); bad >= 0 {
		return nil, refuse("not-finite",
			"The model gave no finite number in trial "+strconv.Itoa(bad)+".",
			"An input can reach a value the model has no answer for, such as a denominator of 0: narrow the input or mend the model.")
	}
	return t.sample(), nil
}

// tally is one simulation under way.
type tally struct {
	*simulation
	seed, first uint64
	out         []float64
	buckets     buckets
	sums        []sums // one for each block
	next        atomic.Int64
	mu          sync.Mutex
	counts      []int // for each bucket, from the workers that are done
}

// sums are taken about the origin of the buckets, which lies among the values,
// so that squares do not cancel.
type sums struct{ d, d2 float64 }

// worker is what one goroutine needs for itself.
type worker struct {
	store   []float64
	columns [][]float64
	counts  []int
}

func (t *tally) worker() *worker {
	return &worker{store: make([]float64, t.width*blockSize), columns: make([][]float64, t.width)}
}

func (t *tally) block(b int) []float64 {
	return t.out[b*blockSize : min((b+1)*blockSize, len(t.out))]
}

// evaluate draws the inputs of block b and works out the model.
func (t *tally) evaluate(w *worker, b int) {
	out := t.block(b)
	for i := range w.columns {
		w.columns[i] = w.store[i*blockSize : i*blockSize+len(out) : (i+1)*blockSize]
	}
	random := newStream(t.seed, t.first+uint64(b))
	at := 0
	for i, fill := range t.fill {
		fill(random, w.columns[at:at+t.widths[i]])
		at += t.widths[i]
	}
	t.model(w.columns, out)
}

// count sums block b and sorts its values into buckets.
func (t *tally) count(w *worker, b int) {
	if w.counts == nil {
		w.counts = make([]int, t.buckets.n)
	}
	out := t.block(b)
	t.sums[b] = sumAbout(out, t.buckets.origin)
	t.buckets.count(out, w.counts)
}

// work takes blocks until none is left, then hands in its counts.
func (t *tally) work(w *worker) {
	for {
		b := int(t.next.Add(1)) - 1
		if b >= len(t.sums) {
			break
		}
		t.evaluate(w, b)
		t.count(w, b)
	}
	if w.counts == nil {
		return
	}
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.counts == nil {
		t.counts = make([]int, t.buckets.n)
	}
	for i, n := range w.counts {
		t.counts[i] += n
	}
}

// share runs n workers, this goroutine being the first.
func (t *tally) share(w *worker, n int) {
	var group sync.WaitGroup
	var panicked any
	guarded := func(w *worker) {
		defer func() {
			if p := recover(); p != nil {
				t.mu.Lock()
				panicked = p
				t.mu.Unlock()
			}
		}()
		t.work(w)
	}
	for range n - 1 {
		group.Go(func() { guarded(t.worker()) })
	}
	guarded(w)
	group.Wait()
	if panicked != nil {
		panic(panicked)
	}
}

// firstBad is the number of the first trial whose value is not finite, or -1.
// A sum of squares that overflows counts against the largest value of its block.
func (t *tally) firstBad() int {
	for b := range t.sums {
		if finite(t.sums[b].d) && finite(t.sums[b].d2) {
			continue
		}
		worst := 0
		for i, y := range t.block(b) {
			if !finite(y) {
				return b*blockSize + i
			}
			if math.Abs(y) > math.Abs(t.block(b)[worst]) {
				worst = i
			}
		}
		return b*blockSize + worst
	}
	return -1
}

// sample closes the books. Blocks are added in order, no matter who worked them out.
func (t *tally) sample() *Sample {
	var all sums
	for _, s := range t.sums {
		all.d += s.d
		all.d2 += s.d2
	}
	return newSample(t.out, t.buckets, t.counts, all)
}

// sumAbout sums d = y - origin and its square, four by four so that one addition
// need not wait for the last.
func sumAbout(y []float64, origin float64) sums {
	var d, d2 [4]float64
	for len(y) >= 4 {
		a, b, c, e := y[0]-origin, y[1]-origin, y[2]-origin, y[3]-origin
		d[0], d[1], d[2], d[3] = d[0]+a, d[1]+b, d[2]+c, d[3]+e
		d2[0], d2[1], d2[2], d2[3] = d2[0]+a*a, d2[1]+b*b, d2[2]+c*c, d2[3]+e*e
		y = y[4:]
	}
	for _, v := range y {
		a := v - origin
		d[0] += a
		d2[0] += a * a
	}
	return sums{d[0] + d[1] + (d[2] + d[3]), d2[0] + d2[1] + (d2[2] + d2[3])}
}
